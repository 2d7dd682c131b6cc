"""Field names with a noun that says so: "the Miller farm", "north eighty", "Kessler north", "section 12"."""

from __future__ import annotations

from assistant.reading.field_words import FieldName, Line, NameWords, longest_at, plain

_MOST = 4
_COUNTED = frozenset({"percent", "%", "of", "inch", "to", "-", "/", "acres", "degrees", "in"})
_MEASURED = frozenset(
    {"percent", "%", "degrees", "degree", "bushel", "bushels", "dollars", "of", "acres", "inch", "bu", "pct",
     "an", "a", "milk", "plants", "plts", "stalks", "ears", "rows", "days", "pounds", "gallons", "feet", "ft",
     "inches", "miles", "mph", "cents", "minutes", "hours"}
)  # fmt: skip
_OF_PLANT = frozenset({"leaf", "leaves", "canopy", "side", "sides", "surface", "line"})
_ARTICLES = frozenset(
    {"the", "that", "this", "my", "our", "his", "their", "a", "an", "them", "those", "two", "i"}
)
_HALVES = frozenset({"half", "last", "double", "high", "dry", "wet", "sweet", "good"})
_MINE = frozenset({"grandpa", "grandma", "mama", "papa", "dad", "mom", "uncle", "aunt", "old"})


def headed(line: Line, tables: NameWords) -> list[FieldName]:
    """Names that end with a head noun, or with a head noun and its number."""
    found: list[FieldName] = []
    for i in range(len(line) - 1, -1, -1):
        if (
            line.words[i] not in tables.heads
            or (found and i >= found[-1].first)
            or not _stands(line, tables, i)
        ):
            continue
        first = _name_before(line, tables, i)
        last = i + 1
        if line.words[i] in tables.numbered and _numbered(line, tables, i + 1):
            first, last = min(first, i), i + 2
        elif first < i and _suffixed(line, i + 1):
            last = i + 2
        if (first < i or last > i + 1) and not line.form(first, last):
            found.append(line.named(first, last))
    return found


def _stands(line: Line, tables: NameWords, i: int) -> bool:
    """Whether the noun at ``i`` is a field's: no measure and no part of the plant."""
    after = line.word(i + 1)
    counts = line.words[i] in tables.numbers and line.word(i - 1) in tables.landmarks
    if after == "of" or (after in _OF_PLANT and not line.ends(i + 1) and not counts):
        return False
    return not (line.words[i] in tables.weak and after in _MEASURED and not line.ends(i + 1))


def _numbered(line: Line, tables: NameWords, i: int) -> bool:
    """Whether a small number stands at ``i`` that counts nothing: "field 12", "section twelve"."""
    small = not line.ends(i) and (line.words[i] in tables.numbers or line.figures(i))
    return small and line.word(i + 1) not in _COUNTED


def _suffixed(line: Line, i: int) -> bool:
    """Whether a letter of the compass closes the name: "Half Section E"."""
    return not line.ends(i) and line.compass(i) and not line.words[i][-1:].isdigit()


def _name_before(line: Line, tables: NameWords, i: int) -> int:
    """Where the name before the head at ``i`` begins (``i`` if there is none)."""
    strong = line.words[i] not in tables.weak or _led_in(line, tables, i)
    first, named = i, False
    while first > 0 and i - first < _MOST and not line.rows[first].new_line:
        word = line.words[first - 1]
        if word == "'s" and first > 1 and plain(line.words[first - 2]) and _owner(line, tables, first - 2):
            first, named = first - 2, True
        elif _in_name(line, tables, first - 1, inner=first < i, strong=strong) or _between(line, first - 1):
            named = named or word not in tables.weak or strong
            first -= 1
        else:
            break
    while first < i and line.words[first] in tables.hollow and not line.capital(first):
        first += 1
    return first if named and first < i else i


def _between(line: Line, i: int) -> bool:
    """Whether a word of the trade stands inside a name: "the Tamsin inbred block"."""
    return i > 0 and line.form(i, i + 1) and line.capital(i - 1) and not line.form(i - 1, i)


def _owner(line: Line, tables: NameWords, i: int) -> bool:
    return line.words[i] not in tables.never or line.words[i] in _MINE


def _led_in(line: Line, tables: NameWords, i: int) -> bool:
    """Whether an article or the beginning of the note stands before a plain name: "the stop sign forty"."""
    for first in range(i - 1, max(-1, i - _MOST - 1), -1):
        word = line.words[first]
        if word == "the" and first < i - 1:
            return True
        if not plain(word) or (
            word in tables.never and word not in tables.landmarks and not line.capital(first)
        ):
            return False
        if line.begins(first) and line.opens:
            return True
    return False


def _in_name(line: Line, tables: NameWords, i: int, *, inner: bool, strong: bool) -> bool:
    word = line.words[i]
    if plain(word) and word not in _ARTICLES and (line.capital(i) or _opens_with_capitals(line, tables, i)):
        return True
    if not plain(word):
        return False
    if word in tables.never:
        return inner and word in tables.landmarks
    if word in tables.places or word in tables.surnames:
        return True
    if line.form(i, i + 1):
        return False
    return strong or tables.strange(word)


def _opens_with_capitals(line: Line, tables: NameWords, i: int) -> bool:
    """As in "Half Moon forty, ...": the second capital shows that the first is of the name too."""
    if line.words[i] not in tables.adjectives | tables.numbers | _HALVES:
        return False
    return line.begins(i) and line.written_large(i) and i + 1 < len(line) and line.capital(i + 1)


def tailed(line: Line, tables: NameWords) -> list[FieldName]:
    """As in "tar spot on Kessler north": a strange name with a word that ends names behind it."""
    found: list[FieldName] = []
    for i in range(1, len(line)):
        last = _tail(line, tables, i)
        if not last:
            continue
        first = i
        while first > 0 and i - first < _MOST - 1 and _strange(line, tables, first - 1):
            first -= 1
        if first == i and _two_landmarks(line, tables, i):
            first -= 1
        if first < i and not line.form(first, last):
            found.append(line.named(first, last))
    return found


def _two_landmarks(line: Line, tables: NameWords, i: int) -> bool:
    """As in "in the river bend", "... prairie ten": two words that name places make a name."""
    if line.words[i - 1] not in tables.landmarks:
        return False
    led = line.word(i - 2) == "the" and line.words[i] in tables.landmarks - tables.weak
    return led or line.words[i] in tables.numbers or line.figures(i)


def _tail(line: Line, tables: NameWords, i: int) -> int:
    """The end of what closes a name at ``i``: "north", "bend", "W"; 0 where nothing does."""
    word = line.words[i]
    if line.rows[i].new_line:
        return 0
    if (word in tables.numbers or line.figures(i)) and i + 1 == len(line):
        return i + 1 if line.words[i - 1] in tables.landmarks else 0
    if word in tables.never and word not in tables.landmarks:
        return 0
    if word in tables.tails and word.isalpha():
        return i + 1 + _suffixed(line, i + 1)
    return i + 1 if line.compass(i) and line.written_large(i - 1) and not line.form(i - 1, i + 1) else 0


def _strange(line: Line, tables: NameWords, i: int) -> bool:
    """Whether a word can only be a name: unknown, or with a capital inside a sentence."""
    word = line.words[i]
    if not plain(word) or len(word) < 3 or line.form(i, i + 1):
        return False
    return line.capital(i) or (tables.strange(word) and word not in tables.never)


def moved_to(line: Line, tables: NameWords) -> list[FieldName]:
    """A bare name behind "over at": "same thing over at Hodge's"."""
    found: list[FieldName] = []
    for i in range(len(line)):
        size = longest_at(line.words, i, tables.moving)
        if size:
            first = i + size + (line.word(i + size) == "the")
            last = _bare(line, tables, first)
            if last > first:
                found.append(line.named(first, last, moved=True))
    return found


def _bare(line: Line, tables: NameWords, first: int) -> int:
    """The end of a name without a head noun that begins at ``first``, or ``first``."""
    last = first
    while last < len(line) and last - first < 3 and nameable(line, tables, last, last - first):
        last += 1
    strange = any(tables.strange(word) for word in line.words[first:last])
    if last > first and line.word(last) == "'s":
        return last + 1
    return last if strange else first


def nameable(line: Line, tables: NameWords, i: int, place: int) -> bool:
    """Whether the word at ``i``, the ``place``-th of a name, may stand in one."""
    word = line.words[i]
    if place and (word in tables.tails or line.compass(i)):
        return True
    if not plain(word) or word in tables.never or word in tables.openers or line.form(i, i + 1):
        return False
    return tables.strange(word) or word in tables.landmarks or line.capital(i)
