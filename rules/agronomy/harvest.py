"""From black layer to the combine, and the last day that a harvest interval leaves.

The earliest plausible harvest protects an interval, so it takes the shortest published days
left and the fastest drydown.  The label in hand governs.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor

from rules.agronomy.days import days_after_silk, order, shortest_days_left
from rules.agronomy.errors import ImpossibleValue, OutsideTable, check_range
from rules.agronomy.shapes_loss import Ripe
from rules.agronomy.tables import Agronomy


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Does a spray today leave its days to harvest?  ``spare_days`` below 0: it does not."""

    fits: bool
    spare_days: int
    latest_spray: date


def drydown_days(moisture: float, target: float, points_per_day: float) -> float:
    """Days from one grain moisture to a lower one (percent), at points a day."""
    check_range("moisture", moisture, 0, 100, "%")
    check_range("target", target, 0, 100, "%")
    if not points_per_day > 0:
        raise ImpossibleValue("points_per_day", points_per_day, "above 0")
    return max(0.0, moisture - target) / points_per_day


def drydown_rate(on: date, tables: Agronomy) -> tuple[float, float]:
    """Points of moisture lost a day at that time of the fall, as a range."""
    rows = [row for row in tables.harvest.drydown if row.used]
    reached = [row for row in rows if date.fromisoformat(f"{on.year}-{row.from_day}") <= on]
    return (reached[-1] if reached else rows[0]).points_per_day


def drydown_heat(moisture: float, target: float, tables: Agronomy) -> float:
    """Heat units (F-days) from one grain moisture to a lower one.

    Raises:
        OutsideTable: a moisture that the rule does not reach.
    """
    steps = [step for step in tables.harvest.drydown_heat if step.used]
    low, high = steps[-1].to_moisture, steps[0].from_moisture
    for name, value in (("moisture", moisture), ("target", target)):
        if not low <= value <= high:
            raise OutsideTable(name, value, f"{low:g} to {high:g} %")
    return sum(
        max(0.0, min(moisture, step.from_moisture) - max(target, step.to_moisture)) * step.gdd_per_point
        for step in steps
    )


def harvest_on(r6_on: date, moisture: float, target: float, points_per_day: float) -> date:
    """The day on which grain at ``moisture`` at black layer has come down to ``target`` percent."""
    return r6_on + timedelta(days=ceil(drydown_days(moisture, target, points_per_day)))


def earliest_harvest(
    on: date, stage: str, tables: Agronomy, milk_line: float | None = None, crop_type: str = "dent"
) -> date:
    """The earliest plausible harvest of a crop that stands at ``stage`` on a day.

    Grain: shortest published days to black layer, then the fastest drydown from the driest
    black layer to the wettest harvest.  Silage, earlage and sweet corn are cut sooner, at
    the stage their record names.  Early death of the crop can be sooner still.

    Raises:
        OutsideTable: no record of this kind of corn.
    """
    ripe = _ripe(crop_type, tables)
    days = _shortest_to(ripe.stage, stage, tables, milk_line)
    if ripe.dries:
        grain, fastest = tables.harvest.grain, tables.harvest.fastest
        days += floor(drydown_days(grain.at_r6[0], grain.harvest_at[1], fastest.points_per_day))
    return on + timedelta(days=days)


def _ripe(crop_type: str, tables: Agronomy) -> Ripe:
    for item in tables.harvest.ripe:
        if item.crop_type == crop_type:
            return item
    raise OutsideTable("crop_type", crop_type, ", ".join(item.crop_type for item in tables.harvest.ripe))


def _shortest_to(goal: str, stage: str, tables: Agronomy, milk_line: float | None) -> int:
    """Fewest days from a stage to another, earlier than or at black layer."""
    to_black_layer = shortest_days_left(stage, tables, milk_line)
    if goal == tables.rows[-1].code:
        return to_black_layer
    if order(stage, tables) >= order(goal, tables):
        return 0
    early = _after(goal, tables, 0) - _after(stage, tables, 1)
    return max(0, min(to_black_layer, floor(early)))


def _after(stage: str, tables: Agronomy, end: int) -> float:
    """Days after silking of a stage at one end of its range; leaf stages count as silk."""
    for item in tables.stages.milestone:
        if item.stage == stage and item.after_shown is not None:
            return item.after_shown[end]
    return max(0.0, days_after_silk(stage, tables))


def latest_spray(earliest: date, interval_days: int) -> date:
    """The last day to spray when the label wants so many days before a harvest."""
    check_range("interval_days", interval_days, 0, float("inf"), "days")
    return earliest - timedelta(days=interval_days)


def interval_fits(on: date, earliest: date, interval_days: int) -> Interval:
    """Whether a spray on a day keeps a label's days to harvest."""
    latest = latest_spray(earliest, interval_days)
    return Interval(fits=on <= latest, spare_days=(latest - on).days, latest_spray=latest)
