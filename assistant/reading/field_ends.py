"""Field names with no noun of their own inside a sentence: "Rust, Amundson.", "Vance 7", "at pattersons"."""

from __future__ import annotations

from assistant.reading.field_words import FieldName, Line, NameWords, plain

_MOST = 3
_CLOSE = frozenset({".", ",", ":", ";", "-", "--", "/", "="})
_LETTERS = frozenset("ABCDEF")
_BROTHERS = frozenset({"bros", "brothers", "sons", "estate", "farms"})
_VERBS = frozenset(
    {"is", "was", "are", "has", "had", "got", "looks", "at", "needs", "still", "r", "on", "and"}
)
_LED = frozenset({"at", "walked", "scouted", "in", "over"})
_CALLED = frozenset({"called", "named"})
_UNITS = frozenset({"percent", "%", "of", "inch", "inches", "acres", "degrees", "plants", "plts", "per",
                    "out", "pct", "days", "day", "bushel", "bushels", "dollars", "miles", "/"})  # fmt: skip
_HYBRIDS = frozenset({"hybrid", "hybrids", "hyb", "variety"})
_HUNDREDS = frozenset({"one", "two", "three"})


def closing(line: Line, tables: NameWords) -> list[FieldName]:
    """A name in capitals between a comma and the end of its sentence: "Rust, Amundson."."""
    found = []
    for i in range(1, len(line)):
        if line.words[i - 1] not in (",", "-", ":") or not _family(line, tables, i):
            continue
        last = _extended(line, tables, i)
        if line.ends(last) or line.word(last) in _CLOSE:
            found += _named(line, tables, i, last)
    return found


def numbered(line: Line, tables: NameWords) -> list[FieldName]:
    """A name with its number or letter: "Vance 7", "Nelms A - VT", "at kruse two"; and its sisters."""
    found: list[FieldName] = []
    stems: set[str] = set()
    for i in range(len(line) - 1):
        last = _number_end(line, tables, i + 1)
        if last == i + 1 or not _stem(line, tables, i) or line.word(last) in _UNITS:
            continue
        large = line.written_large(i)
        led = line.word(i - 1) in _LED
        if large or led or line.words[i] in stems or (i == 0 and line.opens):
            stems.add(line.words[i])
            found += _named(line, tables, i, last)
    return found


def _stem(line: Line, tables: NameWords, i: int) -> bool:
    word = line.words[i]
    return tables.strange(word) and word not in tables.openers and not line.form(i, i + 1)


def households(line: Line, tables: NameWords) -> list[FieldName]:
    """A family's place without its apostrophe: "at pattersons", "bergmans has rust"."""
    found = []
    for i in range(1, len(line)):
        word = line.words[i]
        family = word.endswith("s") and _stem(line, tables, i) and len(word) > 4
        if family and (line.words[i - 1] == "at" or _stated(line, i)):
            found.append(line.named(i, i + 1, sure=False))
        elif word.endswith("s") and word[:-1] in tables.relatives and line.words[i - 1] == "at":
            found.append(line.named(i, i + 1))
    return found


def _stated(line: Line, i: int) -> bool:
    """Whether something is said of the place, or of a part of it: "the low end of barneys is"."""
    behind = line.word(i + 1) in ("has", "is", "got")
    return behind and line.words[i - 1] not in ("the", "a", "an", "these", "those", "that")


def called(line: Line, tables: NameWords) -> list[FieldName]:
    """As in "the field is called Old Schoolhouse"."""
    found = []
    for i in range(1, len(line)):
        if line.words[i - 1] not in _CALLED:
            continue
        last = i
        while last < len(line) and last - i < _MOST and line.capital(last):
            last += 1
        if last > i and "field" in line.words[max(0, i - 5) : i]:
            found.append(line.named(i, last))
    return found


def _family(line: Line, tables: NameWords, i: int) -> bool:
    word = line.words[i]
    known = word in tables.persons or line.form(i, i + 1) or line.stage(i)
    return plain(word) and line.capital(i) and not known and tables.strange(word)


def _extended(line: Line, tables: NameWords, first: int) -> int:
    """The end of the name with what closes it: a number, a letter, "N", "Bros", "'s"."""
    last = first + 1
    while last - first < _MOST and not line.ends(last) and line.capital(last) and plain(line.words[last]):
        last += 1
    if line.word(last) in _BROTHERS or line.word(last) == "'s":
        return last + 1
    return _number_end(line, tables, last) if not line.ends(last) else last


def _number_end(line: Line, tables: NameWords, at: int) -> int:
    """The token after a number of a field or a letter at ``at``; ``at`` itself where there is none."""
    if line.ends(at):
        return at
    said = line.text[line.rows[at].start : line.rows[at].end]
    if line.figures(at) or said in _LETTERS or (line.compass(at) and len(said) <= len("NW")):
        return at + 1
    if line.words[at] not in tables.numbers:
        return at
    more = at + 1 + (line.word(at + 1) == "-")
    return more + 1 if line.words[at] in _HUNDREDS and line.word(more) in tables.numbers else at + 1


def _named(line: Line, tables: NameWords, first: int, last: int) -> list[FieldName]:
    dated = any(word in tables.dates for word in line.words[first:last])
    hybrid = _HYBRIDS & set(line.words[max(0, first - 3) : first])
    return [] if dated or hybrid or line.form(first, last) else [line.named(first, last)]
