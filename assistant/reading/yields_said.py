"""Yields: "two ten bushel corn", "yield potential 220", "12.4 t/ha"."""

from __future__ import annotations

from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, nothing, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrases, table, words

_PER_ACRE = phrases("units", "money", "acre")
_CORN = words("units", "money", "corn")
_BUSHELS = words("units", "yield", "bushels")
_TONNES = phrases("units", "yield", "tonnes")
_GLUED_TONNES = words("units", "yield", "glued_tonnes")
_YIELD_CUES = words("units", "yield", "cues")
_SURE_YIELD = words("units", "yield", "sure_cues")
_CHANGE = words("units", "yield", "change")
_AFTER_YIELD = words("units", "yield", "after")
_LOWEST_YIELD: int = table("units")["heard"]["lowest_bare_yield"]


def yields(sheet: Sheet) -> list[Found]:
    """Yield in bushels an acre or tonnes a hectare; a yield lost or gained is none."""
    found: list[Found] = []
    for number in sheet.numbers:
        if one := _bushels(sheet, number) or _tonnes(sheet, number) or _yield_word(sheet, number):
            found.append(one)
    return found


def _bushels(sheet: Sheet, number: Number) -> Found | None:
    at = number.last + (sheet.word(number.last) == "-")
    if number.tail in _BUSHELS:
        last = number.last
    elif not number.tail and sheet.word(at) in _BUSHELS:
        last = at + 1
    else:
        return None
    last += sheet.phrase(last, _PER_ACRE)
    before = sheet.near(number.core, number.first - 4, number.first)
    changed = _CHANGE.intersection((*before, *sheet.near(number.core, last, last + 3)))
    if changed and not _SURE_YIELD.intersection(before):
        return nothing(number.first, last)
    last += _corn(sheet, last) and sheet.word(last + 1) not in ("on", "after")
    return said(sheet, "yield_potential_bu_ac", number, last, unit="bu/ac")


def _tonnes(sheet: Sheet, number: Number) -> Found | None:
    glued = number.tail in _GLUED_TONNES
    if number.tail and not glued:
        return None
    size = sheet.phrase(number.last, _TONNES)
    if glued and sheet.words[number.last : number.last + 2] == ("/", "ha"):
        size = 2
    return said(sheet, "yield_potential_t_ha", number, number.last + size, unit="t/ha") if size else None


def _yield_word(sheet: Sheet, number: Number) -> Found | None:
    """Reads "Two ten corn", "180 corn", "yield potential 220", "shooting for 220"."""
    if number.tail or number.fraction or number.decade or number.low < _LOWEST_YIELD or number.high >= 1000:
        return None
    if sheet.word(number.first - 1) == "$" or number.low != int(number.low):
        return None
    if sheet.word(number.last) in _CORN and _is_yield(number):
        return said(sheet, "yield_potential_bu_ac", number, number.last, unit="bu/ac")
    at = sheet.skip_back(
        number.first - 1,
        frozenset(
            {
                "of",
                "for",
                "is",
                "at",
                "around",
                "potential",
                "goal",
                "about",
                ":",
                "to",
                "i",
                "'m",
                "figuring",
                "est",
            }
        ),
        4,
    )
    sure = sheet.word(at) in _SURE_YIELD or (at != number.first - 1 and sheet.word(at + 1) in _SURE_YIELD)
    cue = sure or sheet.word(at) in _YIELD_CUES
    after = sheet.word(number.last)
    ended = not after[:1].isalnum() or after in _AFTER_YIELD or (sure and not sheet.has_unit(number.last))
    if cue and _is_yield(number) and ended and number.low >= _LOWEST_YIELD and after != "%":
        return said(sheet, "yield_potential_bu_ac", number, number.last, unit="bu/ac")
    return None


def _is_yield(number: Number) -> bool:
    """Before "corn" an elided hundred of 3 or more is a price ("four ten corn")."""
    return number.pair[0] < 3 if number.pair else number.low >= _LOWEST_YIELD


def _corn(sheet: Sheet, last: int) -> bool:
    return sheet.word(last) in _CORN
