"""Quantities in a note: numbers with the unit or the noun that says what they measure.

``find`` hands back plain facts; scope (denied, doubted, past), the place on the plant
and corrections are settled by the caller.  A value beyond its plausible range comes
back as ``out_of_bounds``; a percentage of nothing that is named as ``percent``.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.reading.counts import lesions_each, plants
from assistant.reading.crop_said import populations, ratings, volumes
from assistant.reading.leaves_said import leaves_from_ear
from assistant.reading.money import costs, prices
from assistant.reading.numbers import plain
from assistant.reading.push_test import push_share, push_tests
from assistant.reading.shares import PERCENT, every_plant, shares
from assistant.reading.sheet import NO_FACT, OUT_OF_BOUNDS, Bounds, Rule, Sheet, bounds, sheet_of
from assistant.reading.sizes import compared, mark_sizes, rain, row_spacing
from assistant.reading.stages_said import milk_lines, stages
from assistant.reading.tokens import Found, Token
from assistant.reading.waits import waits
from assistant.reading.weather_said import temperatures, winds
from assistant.reading.yields_said import yields

__all__ = ["OUT_OF_BOUNDS", "PERCENT", "find"]


def _shares(sheet: Sheet) -> list[Found]:
    return [push_share(sheet, found) for found in shares(sheet)]


#: The rules in the order in which they may claim a number; the first that can, has it.
RULES: tuple[Rule, ...] = (
    compared,
    ratings,
    milk_lines,
    every_plant,
    _shares,
    push_tests,
    waits,
    rain,
    row_spacing,
    lesions_each,
    plants,
    winds,
    volumes,
    yields,
    prices,
    costs,
    populations,
    mark_sizes,
    temperatures,
)


def find(tokens: Sequence[Token], limits: Bounds | None = None) -> list[Found]:
    """Every quantity that the tokens state, in the order of the words."""
    plain_words = plain(tokens)
    found = stages(plain_words) + leaves_from_ear(plain_words)
    taken = frozenset(at for one in found for at in range(one.first, one.last))
    sheet = sheet_of(tokens, plain_words, taken, bounds() if limits is None else limits)
    for rule in RULES:
        more = rule(sheet)
        found += more
        sheet = sheet.without(more)
    return sorted((one for one in found if one.attribute != NO_FACT), key=lambda one: (one.first, one.last))
