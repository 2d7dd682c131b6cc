"""Finds the fields that the casebook knows, by their names and by what is short for them.

"N80" is short for North Eighty, "P7" for Pivot Seven, "voss" for the Voss place.  What is
short for two known names is short for none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from assistant.reading.field_words import FieldName, Line, NameWords
from assistant.reading.shorthand import Cutter

_FIGURES = {
    "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8",
    "nine": "9", "ten": "10", "eleven": "11", "twelve": "12", "sixteen": "16", "twenty": "20",
    "forty": "40", "sixty": "60", "eighty": "80",
}  # fmt: skip
_ONE_SIXTY = ("1", "60")
_CORNERS = {"northeast": "ne", "northwest": "nw", "southeast": "se", "southwest": "sw"}


def known_names(line: Line, known: Sequence[str], cut: Cutter, tables: NameWords) -> list[FieldName]:
    """Every stretch of ``line`` that is one of the ``known`` names or short for it."""
    if not known:
        return []
    full = {name: levelled(tuple(token.text for token in cut(name))) for name in known}
    short = Counter(form for name in known for form in set(_short(full[name], tables)))
    said: list[tuple[tuple[str, ...], str]] = [(full[name], name) for name in known if full[name]]
    taken = set(full.values())
    said += [
        (form, name) for name in known for form in _short(full[name], tables)
        if short[form] == 1 and form not in taken
    ]  # fmt: skip
    words = tuple(_FIGURES.get(word, word) for word in line.words)
    found = []
    for form, name in sorted(said, key=lambda pair: -len(pair[0])):
        for first, last in _places(words, form):
            found.append(FieldName(first, last, name))
    return found


def levelled(words: tuple[str, ...]) -> tuple[str, ...]:
    """The words of a name with its numbers in figures."""
    figured = tuple(_FIGURES.get(word, word) for word in words if word != "the")
    return (*figured[:-2], "160") if figured[-2:] == _ONE_SIXTY else figured


def _places(words: tuple[str, ...], form: tuple[str, ...]) -> Iterator[tuple[int, int]]:
    for i in range(len(words) - len(form) + 1):
        if words[i : i + len(form)] == form:
            yield i, i + len(form)
    if form[-1:] == ("160",):
        yield from _places(words, (*form[:-1], *_ONE_SIXTY))


def _short(name: tuple[str, ...], tables: NameWords) -> Iterator[tuple[str, ...]]:
    """What people say and write for ``name``."""
    if len(name) < 2:
        return
    *front, last = name
    if last.isdigit() and len(front) == 1:
        letters = _CORNERS.get(front[0], front[0][:1])
        yield (letters + last,)
        yield (letters, last)
        if _alone(front[0], tables):
            yield (front[0],)
    elif last in _CORNERS or last in ("north", "south", "east", "west"):
        yield (*front, _CORNERS.get(last, last[:1]))
    elif last in tables.heads and len(front) == 1 and _alone(front[0], tables):
        yield (front[0],)


def _alone(word: str, tables: NameWords) -> bool:
    """Whether ``word`` names the field without its head noun."""
    return tables.strange(word) and word not in tables.persons
