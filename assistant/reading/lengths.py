"""Lengths in the words of a note: "half an inch", "inch and a half", "1/16 in", "5 cm"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from assistant.reading.number_words import part
from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet
from assistant.reading.wordlists import meanings, words

_UNITS = meanings("units", "length")
_SURE = words("units", "length_words", "sure_inch")
_NOT_AFTER_UNIT = words("units", "length_words", "after_preposition")
_ARTICLES = frozenset({"a", "an"})


@dataclass(frozen=True, slots=True)
class Length:
    """A length with its unit (``in``, ``mm``, ``cm`` or ``ft``); ``last`` is the token after the unit."""

    number: Number
    unit: str
    last: int

    @property
    def first(self) -> int:
        """The first token of the words."""
        return self.number.first


def lengths(sheet: Sheet) -> list[Length]:
    """Every length, in the order of the words."""
    found = [one for number in sheet.numbers if (one := length_of(sheet, number))]
    taken = sheet.taken.union(*(range(one.first, one.last) for one in found))
    found += _unnumbered(sheet, taken)
    return sorted(found, key=lambda one: one.first)


def length_of(sheet: Sheet, number: Number) -> Length | None:
    """The length that a number and the unit behind it say."""
    if number.tail:
        unit = _UNITS.get(number.tail.rstrip("."))
        return _with_half(sheet, Length(number, unit, number.last)) if unit else None
    at = number.last
    at += sheet.word(at) == "-"
    if number.fraction:
        at += sheet.word(at) == "of"
        at += sheet.word(at) in _ARTICLES
    unit = _UNITS.get(sheet.word(at))
    if unit is None or number.decade or not _is_unit(sheet, number, at):
        return None
    return _with_half(sheet, Length(number.alone(), unit, at + 1))


def _is_unit(sheet: Sheet, number: Number, at: int) -> bool:
    """Whether the word is a unit: "in" and a quotation mark only behind figures.

    "In" is none before a number, a date or an article either ("3 in 20", "5 in the low ground").
    """
    word = sheet.word(at)
    if word.isalpha() and word != "in":
        return True
    typed = any(figure.isdecimal() or figure in "½¼¾⅓⅔⅛⅜⅝⅞" for figure in sheet.words[number.last - 1])
    if word != "in":
        return typed
    dated = sheet.word(at + 1) == "on" and "/" in sheet.word(at + 2)  # "1.4 in on 7/23"
    if dated:
        return typed
    return typed and sheet.word(at + 1) not in _NOT_AFTER_UNIT and part(sheet.words, at + 1) is None


def _with_half(sheet: Sheet, length: Length) -> Length:
    """Adds "and a half" said behind the unit."""
    rest = _and_part(sheet, length.last)
    if rest is None or length.number.fraction or length.number.is_range:
        return length
    added, last = rest
    number = length.number
    return Length(replace(number, low=number.low + added, high=number.high + added), length.unit, last)


def _and_part(sheet: Sheet, at: int) -> tuple[float, int] | None:
    if sheet.word(at) != "and":
        return None
    rest = part(sheet.words, at + 1)
    if rest is None or not rest.fraction or rest.high >= 1 or sheet.word(rest.last) in _UNITS:
        return None
    return rest.low, rest.last


def _unnumbered(sheet: Sheet, taken: frozenset[int]) -> Iterator[Length]:
    """Reads "An inch", "inch and a half", "inch long"."""
    for at, word in enumerate(sheet.words):
        if word not in _SURE or at in taken or not word.isalpha():
            continue
        article = sheet.word(at - 1) in _ARTICLES
        rest = _and_part(sheet, at + 1)
        if not article and rest is None and sheet.word(at + 1) not in ("long", "wide", "across"):
            continue
        added, last = rest or (0.0, at + 1)
        first = at - article
        yield Length(Number(first=first, core=first, last=at + 1, low=1 + added, high=1 + added), "in", last)
