"""Field names by where they stand: at the head of a note, a line, a sentence, or behind "in", "at", "on the".

What ends such a name is a mark, a verb of being, a stage or the first word of the trade.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.reading.field_words import FieldName, Line, NameWords, longest_at, plain

_LEAD = 4
_SKIPPED = frozenset(
    {"the", ",", "and", "so", "ok", "okay", "well", "then", "now", "-", "*", "•", ":", "(", "um", "uh"}
)
_BEING = frozenset(
    {
        "is",
        "'s",
        "has",
        "had",
        "looks",
        "was",
        "got",
        "still",
        "needs",
        "at",
        "though",
        "today",
        "this",
        "not",
        "planted",
    }
)
_STRONG = frozenset({":", "-", "--", "=", "/", "("})
_ACRES = frozenset(
    {"percent", "%", "of", "inch", "inches", "acres", "degrees", "plants", "plts", "leaves", "per"}
)
_ARTICLES = frozenset(
    {"the", "a", "an", "this", "that", "i", "we", "it", "he", "she", "they", "no", "my", "our"}
)


def leading(line: Line, tables: NameWords) -> list[FieldName]:
    """Names at the head of the note and of its sentences and lines."""
    found = []
    for start, head in _starts(line, tables):
        last = _run(line, tables, start, head=head)
        while last > start and not _reads_as_name(line, tables, start, last, head=head):
            last -= 1
        if last > start and not line.form(start, last) and not _dated(line, tables, start, last):
            sure = last - start > 1 or not line.form(last, last + 1)
            found.append(line.named(start, _with_own(line, tables, last), sure=sure))
    return found


def _starts(line: Line, tables: NameWords) -> Iterator[tuple[int, bool]]:
    """Where sentences and lines begin, behind words that only open them; and whether the note does."""
    for i in range(len(line)):
        if not line.begins(i):
            continue
        at = i
        if line.figures(at) and line.word(at + 1) in (".", ")"):
            at += 2
        if line.word(at) in tables.stops and line.figures(at + 1):
            at += 2
        while at < len(line) and line.words[at] in _SKIPPED:
            at += 1
        size = longest_at(line.words, at, tables.begins)
        at += size
        while size and at < len(line) and line.words[at] in _SKIPPED:
            at += 1
        if at < len(line):
            yield at, line.opens and i == 0


def _run(line: Line, tables: NameWords, start: int, *, head: bool) -> int:
    """The end of the words from ``start`` on that may be a name."""
    last = start
    while last < len(line) and last - start < _LEAD and not (last > start and line.rows[last].new_line):
        if last > start and (line.compass(last) or line.figures(last) or line.words[last] in tables.numbers):
            return last + 1 + (line.figures(last + 1) and line.compass(last))
        if line.code(last) and last == start and head and line.word(last + 1) in _STRONG:
            return last + 1
        if not _fits(line, tables, start, last):
            break
        last += 1
    return last


def _fits(line: Line, tables: NameWords, start: int, i: int) -> bool:
    word = line.words[i]
    if not plain(word) or (
        i == start
        and (
            word in _ARTICLES
            or (
                word in tables.numbers
                and not (line.written_large(i) and i + 1 < len(line) and line.capital(i + 1))
            )
            or len(word) < 2
        )
    ):
        return False
    large = line.written_large(i) and (i > start or line.capital(i + 1) if i + 1 < len(line) else i > start)
    if large and i > start and not line.stage(i) and not line.form(i, i + 1):
        return True
    if word in tables.landmarks or (i > start and word in tables.places):
        return True
    if word in tables.never | tables.openers:
        return large
    return not line.form(i, i + 1) or (large and line.capital(i) and word in tables.places)


def _reads_as_name(line: Line, tables: NameWords, start: int, last: int, *, head: bool) -> bool:
    """Whether the run says by its words and by what follows that it is a name."""
    said = line.words[start:last]
    if any(word in tables.persons for word in said) and last - start == 1:
        return False
    strange = any(tables.strange(word) for word in said)
    large = any(line.capital(i) for i in range(start + 1, last))
    tailed = last - start > 1 and (said[-1] in tables.nouns or _lettered(line, tables, start, last))
    follows, new_line = line.word(last), line.ends(last)
    if _counted(line, tables, last):
        return False
    if head and (follows in _STRONG or new_line):
        return strange or large or tailed or last == len(line) or line.written_large(start) or follows == ":"
    if head and follows == "," and (last - start == 1 or strange or large or tailed):
        return True
    own = follows == "'s"
    closed = new_line or own or follows in _BEING or follows in (",", ".", *_STRONG) or line.stage(last)
    if closed:
        return tailed or large or strange
    return head and (tailed or (strange and line.form(last, last + 1)))


def _lettered(line: Line, tables: NameWords, start: int, last: int) -> bool:
    """Whether the name ends with a letter of the compass or a number: "Knox W", "prairie ten", "Dell 120"."""
    at = last - 1
    named = (
        line.written_large(start)
        or line.words[start] in tables.landmarks
        or tables.strange(line.words[start])
    )
    return named and (line.compass(at) or line.figures(at) or line.words[at] in tables.numbers)


def _counted(line: Line, tables: NameWords, last: int) -> bool:
    """Whether the run ends with a number that counts what follows."""
    number = line.figures(last - 1) or line.words[last - 1] in tables.numbers
    return number and line.word(last) in _ACRES


def _with_own(line: Line, tables: NameWords, last: int) -> int:
    """The end with the "'s" of "Wendell's, ..."; that of "Wendell's clean" is a verb."""
    if line.word(last) != "'s" or last + 1 >= len(line):
        return last
    return last + 1 if line.words[last + 1] in (",", ":", ".", "-", "=") else last


def _dated(line: Line, tables: NameWords, start: int, last: int) -> bool:
    return any(word in tables.dates for word in line.words[start:last])


def behind_preposition(line: Line, tables: NameWords) -> list[FieldName]:
    """Names in capitals (or of families) behind "in", "at", "on the", "@": "on the Cutler"."""
    found = []
    for i in range(1, len(line)):
        if line.word(i - 1) not in tables.at or line.rows[i].new_line:
            continue
        last = _proper(line, tables, i)
        if last == i or line.form(i, last) or _dated(line, tables, i, last):
            continue
        if line.word(i - 2) in tables.of_towns and line.words[i - 1] != "the":
            continue
        article = line.words[i - 1] == "the"
        if _free(line, tables, last) or (last - i > 1 and not article):
            found.append(line.named(i, _with_verb(line, tables, i, last)))
    return found


def _with_verb(line: Line, tables: NameWords, first: int, last: int) -> int:
    """As in "at gibson's is R2": behind a preposition without an article, the "'s" is of the name."""
    return last + 1 if line.word(last) == "'s" and line.words[first - 1] not in ("the", "walked") else last


def _proper(line: Line, tables: NameWords, first: int) -> int:
    """The end of the run of words from ``first`` on that are proper names."""
    last = first
    while last < len(line) and last - first < _LEAD and not (last > first and line.rows[last].new_line):
        word = line.words[last]
        if last > first and (line.compass(last) or line.figures(last) or word in tables.tails):
            last += 1
            if not plain(word) or line.compass(last - 1):
                break
        elif _proper_word(line, tables, last):
            last += 1
        else:
            break
    return first if _counted(line, tables, last) and last > first else last


def _proper_word(line: Line, tables: NameWords, i: int) -> bool:
    word = line.words[i]
    if not plain(word) or len(word) < 2 or word in tables.persons or line.stage(i):
        return False
    if line.capital(i) and not line.form(i, i + 1):
        return True
    if line.capital(i) and word in tables.places:
        return True
    return (word in tables.surnames or line.word(i + 1) == "'s") and tables.strange(word)


def _free(line: Line, tables: NameWords, last: int) -> bool:
    """Whether no noun stands behind the name that it belongs to: not "the Hoover kid"."""
    if line.ends(last):
        return True
    word = line.words[last]
    grammar = word in tables.grammar and word not in tables.landmarks
    return not plain(word) or grammar or line.form(last, last + 1) or line.stage(last)


def listed(line: Line, tables: NameWords) -> list[FieldName]:
    """As in "two fields hanover clean dent mapleton has rust": strange words, once fields are announced."""
    if not any(longest_at(line.words, i, tables.several) for i in range(len(line))):
        return []
    return [
        line.named(i, i + 1)
        for i in range(1, len(line))
        if tables.strange(line.words[i])
        and (line.word(i + 1) in _BEING or line.form(i + 1, i + 2))
        and line.word(i - 1) not in tables.at
    ]


def bracketed(line: Line, tables: NameWords) -> list[FieldName]:
    """As in "ours (Blue Heifer 60)": words in brackets with capitals throughout and a number behind."""
    found = []
    for i in range(1, len(line) - 2):
        last = i
        while last < len(line) and plain(line.words[last]) and line.written_large(last):
            last += 1
        if line.words[i - 1] == "(" and last > i and line.figures(last) and line.word(last + 1) == ")":
            found.append(line.named(i, last + 1))
    return found
