"""The crop's stage on the day of a note: seen, said, or projected, always with its range.

What stands in the note itself comes first (a milk line was seen; a stage was said), then
dates and counts of days in it, then the latest earlier note of the case carried forward by
the calendar, then heat units since planting.  The calendar is :mod:`rules.agronomy.days`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from math import ceil, floor

from rules.agronomy.claim import Standing, claimed
from rules.agronomy.days import (
    DaysLeft,
    adjuster_leaf,
    bbch,
    collar_from_adjuster,
    days_after_silk,
    days_left,
    following,
    is_summer,
    left_before_silk,
    main_stage,
    middle_of,
    order,
    preceding,
    project,
    shortest_days_left,
    stage_at,
    stage_group,
    stage_on_day,
)
from rules.agronomy.heat import collars
from rules.agronomy.tables import Agronomy
from rules.model import Basis, Earlier, Fact, StageReading, Status

__all__ = [
    "DaysLeft",
    "adjuster_leaf",
    "bbch",
    "collar_from_adjuster",
    "days_left",
    "following",
    "order",
    "preceding",
    "project",
    "read_stage",
    "shortest_days_left",
    "stage_at",
    "stage_group",
]


def read_stage(
    facts: Iterable[Fact],
    on: date,
    earlier: Iterable[Earlier],
    tables: Agronomy,
    gdd_since_planting: float | None = None,
) -> StageReading:
    """The stage on the day ``on``, with days left to black layer and the dates that follow.

    ``earlier`` are the notes of the same case; those after ``on`` are left aside.  Heat units
    since planting (F-days), where weather is at hand, serve only if nothing else does.

    Raises:
        UnknownStage: a fact names a stage that the calendar does not have.
    """
    standing = _from_note(tuple(facts), on, on, tables)
    past = sorted((e for e in earlier if e.on <= on), key=lambda e: e.on, reverse=True)
    for note in past:
        if standing is None:
            standing = _from_note(note.facts, note.on, on, tables)
    if standing is None and gdd_since_planting is not None:
        standing = _from_heat(gdd_since_planting, tables)
    return StageReading() if standing is None else _reading(standing, on, tables)


def _from_note(facts: tuple[Fact, ...], said_on: date, on: date, tables: Agronomy) -> Standing | None:
    """What one note says of the stage, carried forward to ``on``."""
    present = tuple(fact for fact in facts if fact.status is Status.PRESENT)
    seen_on = _day_seen(present, said_on)
    standing = claimed(present, tables)
    dated = _from_dates(present, seen_on, tables)
    if standing is None:
        standing = dated
    elif dated is not None:
        standing = _narrowed(standing, dated, present)
    return None if standing is None else _carried(standing, (on - seen_on).days, tables)


def _day_seen(facts: tuple[Fact, ...], said_on: date) -> date:
    """The day that the note speaks of: the one it names, if that is not after it was said."""
    days = [f.value for f in facts if f.attribute == "observed_on" and isinstance(f.value, date)]
    return days[-1] if days and days[-1] <= said_on else said_on


def _narrowed(said: Standing, dated: Standing, facts: tuple[Fact, ...]) -> Standing:
    """The stage as said, its days left narrowed by a date where the two overlap.

    Days to black layer that were themselves said stand as they are.
    """
    told = any(fact.attribute == "days_to_maturity" for fact in facts)
    if told or said.left is None or dated.left is None:
        return replace(said, left=dated.left or said.left)
    low, high = max(said.left[0], dated.left[0]), min(said.left[1], dated.left[1])
    if low > high:
        return said
    return replace(said, left=(low, high), sources=said.sources + dated.sources)


def _carried(standing: Standing, days: int, tables: Agronomy) -> Standing:
    """The same crop so many days later."""
    if days == 0:
        return standing
    after = standing.after + days
    code = stage_on_day(after, tables)
    if standing.ripe:
        return replace(standing, basis=Basis.PROJECTED)
    left = standing.left or standing.rough_left
    carried = None if left is None else (left[0] - days, left[1] - days)
    shown = carried if is_summer(code, tables) else None
    sources = standing.sources + tables.stages.pace.source if standing.after < 0 else standing.sources
    return replace(standing, code=code, after=after, left=shown, basis=Basis.PROJECTED, sources=sources)


# --------------------------------------------------------------------------- dates and counts of days


def _from_dates(facts: tuple[Fact, ...], on: date, tables: Agronomy) -> Standing | None:
    for attribute, reckon in _DATED.items():
        for fact in reversed(facts):
            if fact.attribute == attribute:
                standing = reckon(fact, on, tables)
                if standing is not None:
                    return standing
    return None


def _to_maturity(fact: Fact, on: date, tables: Agronomy) -> Standing | None:
    """Days to black layer, as said: they are the range."""
    low, high = _span(fact)
    ripe = tables.stages.milestone[-1]
    after = max(0.0, ripe.after - (low + high) / 2)
    return _projected(after, (floor(low), ceil(high)), ripe.source, tables)


def _from_silk(fact: Fact, on: date, tables: Agronomy) -> Standing | None:
    if not isinstance(fact.value, date):
        return None
    after, silk = (on - fact.value).days, tables.stages.milestone[0]
    low, high = silk.left_shown
    return _projected(after, (low - after, high - after), silk.source, tables)


def _to_tassel(fact: Fact, on: date, tables: Agronomy) -> Standing | None:
    low, high = _span(fact)
    tassel = days_left("VT", tables)
    if tassel is None:
        return None
    left = (floor(low) + tassel.low, ceil(high) + tassel.high)
    after = days_after_silk("VT", tables) - (low + high) / 2
    return _projected(after, left, tassel.sources, tables)


def _from_emergence(fact: Fact, on: date, tables: Agronomy) -> Standing | None:
    if not isinstance(fact.value, date):
        return None
    days, whole = (on - fact.value).days, left_before_silk("VE", tables)
    after = days_after_silk("VE", tables) + days
    sources = whole.sources + tables.stages.leaves.source
    return _projected(after, (whole.low - days, whole.high - days), sources, tables)


def _projected(after: float, left: tuple[int, int], sources: tuple[str, ...], tables: Agronomy) -> Standing:
    code = stage_on_day(after, tables)
    shown = left if is_summer(code, tables) else None
    return Standing(
        code=code, after=after, left=shown, rough_left=left, basis=Basis.PROJECTED, sources=sources
    )


def _span(fact: Fact) -> tuple[float, float]:
    """A number of days, or a range of them, as a range."""
    if isinstance(fact.value, tuple):
        return fact.value
    number = float(fact.value) if isinstance(fact.value, int | float) else 0.0
    return number, number


#: What a note may say instead of a stage, the surest first.
_DATED = {
    "days_to_maturity": _to_maturity,
    "silked_on": _from_silk,
    "days_to_tassel": _to_tassel,
    "emerged_on": _from_emergence,
}


def _from_heat(gdd: float, tables: Agronomy) -> Standing | None:
    """A leaf stage out of heat units since planting; none once the last leaf is out."""
    number = floor(collars(gdd, tables))
    code = f"V{number}" if number else "VE"
    if gdd < tables.heat.emergence.gdd or order(code, tables) > order(tables.stages.leaves.last, tables):
        return None
    left = days_left(code, tables)
    return Standing(
        code=code,
        after=middle_of(code, tables),
        left=None if left is None else (left.low, left.high),
        basis=Basis.PROJECTED,
        sources=tables.heat.collar_rate[0].source,
    )


# --------------------------------------------------------------------------- the reading


def _reading(standing: Standing, on: date, tables: Agronomy) -> StageReading:
    code = main_stage(standing.code, tables)
    left = (0, 0) if standing.ripe else standing.left
    return StageReading(
        code=code,
        bbch=bbch(code, tables),
        basis=standing.basis,
        days_to_r6=None if left is None else (max(0, left[0]), max(0, left[1])),
        # Black layer that was seen has a date in the past that nobody said.
        r6_on=None if left is None or standing.ripe else _dates(on, left),
        sources=tuple(dict.fromkeys(standing.sources)),
    )


def _dates(on: date, left: tuple[int, int]) -> tuple[date, date]:
    return on + timedelta(days=left[0]), on + timedelta(days=left[1])
