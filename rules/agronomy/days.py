"""The corn calendar: order of stages, days after silking, days left to black layer.

"Days after silking" puts silk (R1) at 0; before silk the count is negative.  Every figure
comes from knowledge/stages.toml, which keeps the published disagreements beside it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from math import ceil, floor

from rules.agronomy.errors import UnknownStage, check_range
from rules.agronomy.heat import collars, heat_at_collar
from rules.agronomy.lines import between
from rules.agronomy.shapes import Milestone, StageRow
from rules.agronomy.tables import Agronomy

_LEAF = re.compile(r"V(\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysLeft:
    """Days to black layer: the default, the range to show, and what they rest on."""

    default: int
    low: int
    high: int
    sources: tuple[str, ...]


# --------------------------------------------------------------------------- stages in order


def row(code: str, tables: Agronomy) -> StageRow:
    """The record of one stage.

    Raises:
        UnknownStage: no such stage.
    """
    for item in tables.rows:
        if item.code == code:
            return item
    raise UnknownStage(code)


def order(code: str, tables: Agronomy) -> int:
    """Place of a stage in the season, rising from VE to R6."""
    return tables.rows.index(row(code, tables))


def main_stage(code: str, tables: Agronomy) -> str:
    """The stage that a sub-stage belongs to (R5.5 -> R5); a main stage itself."""
    return row(code, tables).part_of or code


def bbch(code: str, tables: Agronomy) -> str:
    """The BBCH code, or range of codes, that describes the same look of the plant."""
    return row(code, tables).bbch


def stage_group(code: str, tables: Agronomy) -> str:
    """The time of the crop (``ve_v5`` … ``r6``) that a stage falls into."""
    return row(code, tables).group


def following(code: str, tables: Agronomy) -> str:
    """The next main stage; black layer follows itself, and the last leaf stage gives way to tassel."""
    return _neighbour(code, 1, tables)


def preceding(code: str, tables: Agronomy) -> str:
    """The main stage before; emergence comes before itself, and the last leaf stage before tassel."""
    return _neighbour(code, -1, tables)


def _neighbour(code: str, step: int, tables: Agronomy) -> str:
    line = [item.code for item in tables.rows if item.part_of is None and not _is_spare(item.code, tables)]
    if _is_spare(code, tables):
        code = tables.stages.leaves.last
    place = line.index(main_stage(code, tables)) + step
    return line[min(max(place, 0), len(line) - 1)]


def _is_spare(code: str, tables: Agronomy) -> bool:
    """A leaf stage past the last one that the calendar reckons with."""
    number, last = leaf_number(code), leaf_number(tables.stages.leaves.last)
    return number is not None and last is not None and number > last


def leaf_number(code: str) -> int | None:
    """Collars at a leaf stage (V7 -> 7), or None at any other stage."""
    match = _LEAF.fullmatch(code)
    return int(match[1]) if match else None


# --------------------------------------------------------------------------- adjusters' leaves


def adjuster_leaf(collar: int, tables: Agronomy) -> int:
    """Leaves that a hail adjuster counts where the collar method counts ``collar`` (give or take one)."""
    return collar + tables.stages.adjuster.leaves_ahead


def collar_from_adjuster(leaf: int, tables: Agronomy) -> int:
    """Collars where a hail adjuster counts ``leaf`` leaves (give or take one)."""
    return max(0, leaf - tables.stages.adjuster.leaves_ahead)


# --------------------------------------------------------------------------- days after silking


def days_after_silk(code: str, tables: Agronomy) -> float:
    """Days from silk to the start of a stage; negative before silk.

    Leaf stages are reckoned back from tassel by heat units at a midsummer pace.
    """
    for item in tables.stages.milestone:
        if item.stage == row(code, tables).code:
            return item.after
    if code == "VT":
        return _tassel_day(tables)
    return _tassel_day(tables) - _leaf_days(leaf_number(code) or 0, tables)


def _tassel_day(tables: Agronomy) -> float:
    return -sum(tables.stages.tassel.days_to_silk) / 2


def _leaf_days(leaf: float, tables: Agronomy) -> float:
    """Days from a leaf count to tassel at the default pace."""
    return _heat_to_tassel(leaf, tables) / tables.stages.pace.gdd_per_day


def _heat_to_tassel(leaf: float, tables: Agronomy) -> float:
    last = leaf_number(tables.stages.leaves.last) or 0
    return max(0.0, heat_at_collar(last, tables) - heat_at_collar(min(leaf, last), tables))


def middle_of(code: str, tables: Agronomy, milk_line: float | None = None) -> float:
    """Days after silking half way through a stage, or at a milk line.

    Dent without a milk line is taken to be early dent: half way to the quarter milk line.
    """
    if milk_line is not None:
        return _at_milk_line(milk_line, "after", tables)
    start = days_after_silk(code, tables)
    if code == tables.rows[-1].code:
        return start
    return (start + _end_of(code, tables)) / 2


def _end_of(code: str, tables: Agronomy) -> float:
    number, last = leaf_number(code), leaf_number(tables.stages.leaves.last)
    if number is not None and last is not None:
        return days_after_silk("VT" if number >= last else f"V{number + 1}", tables)
    return days_after_silk(tables.rows[order(code, tables) + 1].code, tables)


def stage_on_day(after: float, tables: Agronomy) -> str:
    """The main stage that contains a day counted from silking (negative: before silk)."""
    if after < 0:
        return _leaf_stage(after, tables)
    reached = [item.stage for item in tables.stages.milestone if item.after <= after]
    return main_stage(reached[-1], tables)


def _leaf_stage(after: float, tables: Agronomy) -> str:
    to_tassel = _tassel_day(tables) - after
    if to_tassel <= 0:
        return "VT"
    last = leaf_number(tables.stages.leaves.last) or 0
    heat = heat_at_collar(last, tables) - to_tassel * tables.stages.pace.gdd_per_day
    number = floor(collars(heat, tables, emergence=0)) if heat > 0 else 0
    return f"V{number}" if number else "VE"


def stage_at(silk_date: date, on: date, tables: Agronomy) -> str:
    """The stage to be expected on a day, by the default days after silking."""
    return stage_on_day((on - silk_date).days, tables)


def project(code: str, seen_on: date, on: date, tables: Agronomy, milk_line: float | None = None) -> str:
    """The stage to be expected on a day from a stage seen on another.

    The crop is taken to have been half way through the stage when it was seen.
    """
    if on == seen_on:
        return main_stage(code, tables)
    return stage_on_day(middle_of(code, tables, milk_line) + (on - seen_on).days, tables)


# --------------------------------------------------------------------------- days left


def days_left(code: str, tables: Agronomy, milk_line: float | None = None) -> DaysLeft | None:
    """Days to black layer from a stage, as a range to show; None where nothing supports one.

    From the published table at and after silk; between milk lines a straight line, rounded
    outward.  Leaf stages from V10 on: heat units to tassel at the midsummer pace, and the
    whole of grain fill.
    """
    if milk_line is not None:
        return left_at_milk_line(milk_line, tables)
    stage = row(code, tables).code
    for item in tables.stages.milestone:
        if item.stage == stage:
            return DaysLeft(
                default=item.left, low=item.left_shown[0], high=item.left_shown[1], sources=item.source
            )
    return left_before_silk(stage, tables) if is_summer(stage, tables) else None


def left_at_milk_line(milk_line: float, tables: Agronomy) -> DaysLeft:
    """Days to black layer at a milk line (fraction from the crown), on a straight line between rows."""
    low, high = (_at_milk_line(milk_line, name, tables) for name in ("low", "high"))
    default = round(_at_milk_line(milk_line, "left", tables))
    lines = _lines(tables)
    older = next(n for n, m in enumerate(lines) if milk_line <= (m.milk_line or 0.0))
    sources = tuple(dict.fromkeys(lines[max(0, older - 1)].source + lines[older].source))
    return DaysLeft(default=default, low=floor(low), high=ceil(high), sources=sources)


def is_summer(code: str, tables: Agronomy) -> bool:
    """True from the stage on from which the midsummer pace of heat may be reckoned with."""
    return order(code, tables) >= order(tables.stages.pace.from_stage, tables)


def left_before_silk(code: str, tables: Agronomy) -> DaysLeft:
    """Days from a stage before silk to black layer at the midsummer pace, however early."""
    pace, tassel, silk = tables.stages.pace, tables.stages.tassel, tables.stages.milestone[0]
    number = leaf_number(code)
    heat = 0.0 if code == "VT" else _heat_to_tassel(number or 0, tables)
    slow, fast = pace.gdd_per_day_shown
    low = floor(heat / fast) + tassel.days_to_silk[0] + silk.left_shown[0]
    high = ceil(heat / slow) + tassel.days_to_silk[1] + silk.left_shown[1]
    default = round(silk.left - days_after_silk(code, tables))
    sources = silk.source + tassel.source + (() if code == "VT" else pace.source)
    return DaysLeft(default=default, low=low, high=high, sources=tuple(dict.fromkeys(sources)))


def shortest_days_left(code: str, tables: Agronomy, milk_line: float | None = None) -> int:
    """Fewest published days from a stage to black layer: for harvest intervals, never to plan by.

    Leaf stages count as silk, which can only be too short.
    """
    if milk_line is not None:
        return floor(_at_milk_line(milk_line, "shortest", tables))
    place = order(code, tables)
    reached = [m for m in tables.stages.milestone if order(m.stage, tables) <= place]
    return (reached[-1] if reached else tables.stages.milestone[0]).left_shortest


def _at_milk_line(milk_line: float, what: str, tables: Agronomy) -> float:
    check_range("milk_line", milk_line, 0, 1)
    return between([(m.milk_line or 0.0, _figure(m, what)) for m in _lines(tables)], milk_line)


def _lines(tables: Agronomy) -> list[Milestone]:
    """The milestones that a milk line marks, from beginning dent to black layer."""
    return [m for m in tables.stages.milestone if m.milk_line is not None]


def _figure(item: Milestone, what: str) -> float:
    figures = {
        "after": item.after,
        "left": item.left,
        "low": item.left_shown[0],
        "high": item.left_shown[1],
        "shortest": item.left_shortest,
    }
    return figures[what]
