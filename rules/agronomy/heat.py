"""Heat units (growing degree days, 86/50) and what they say about stage.

All heat units are in degrees F-days unless a name ends in ``_c``; a figure in C-days is
5/9 of the same figure in F-days, and the two must never be mixed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from rules.agronomy.errors import ImpossibleValue, OutsideTable, check_range
from rules.agronomy.shapes import CollarRate, HeatLeft
from rules.agronomy.tables import Agronomy

#: Exact by definition.
F_PER_C = 9 / 5


def degree_day_f(high: float, low: float, tables: Agronomy) -> float:
    """Heat units of one day from its high and low, degrees F.

    Both are first brought within base and cap (50 and 86), so a day is never negative.

    Raises:
        ImpossibleValue: a reading that no thermometer in a field shows, or high below low.
    """
    unit = tables.heat.unit
    return _degree_day(high, low, unit.base_f, unit.cap_f, unit.possible_f, "F")


def degree_day_c(high: float, low: float, tables: Agronomy) -> float:
    """Heat units of one day from its high and low, degrees C-days (base 10, cap 30).

    Raises:
        ImpossibleValue: as :func:`degree_day_f`.
    """
    unit = tables.heat.unit
    return _degree_day(high, low, unit.base_c, unit.cap_c, unit.possible_c, "C")


def _degree_day(
    high: float, low: float, base: float, cap: float, possible: tuple[float, float], unit: str
) -> float:
    check_range("high", high, *possible, unit)
    check_range("low", low, *possible, unit)
    if high < low:
        raise ImpossibleValue("high", high, f"at least the low, {low:g} {unit}")
    return (_within(high, base, cap) + _within(low, base, cap)) / 2 - base


def _within(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def heat_sum_f(days: Iterable[tuple[float, float]], tables: Agronomy) -> float:
    """Sum of heat units over days given as (high, low) in degrees F."""
    return sum(degree_day_f(high, low, tables) for high, low in days)


# --------------------------------------------------------------------------- leaf collars


def collars(gdd_since_planting: float, tables: Agronomy, emergence: float | None = None) -> float:
    """Leaf collars reached, with a fraction, after heat units since planting.

    Purdue's two rates: one to the tenth collar, a faster one after.  Shortage of water or
    nutrients makes it less exact.  ``emergence``: heat units from planting to emergence.

    Raises:
        ImpossibleValue: heat units below 0.
    """
    check_range("gdd_since_planting", gdd_since_planting, 0, float("inf"), "F-days")
    left = gdd_since_planting - (tables.heat.emergence.gdd if emergence is None else emergence)
    leaf = 0.0
    for rate in _rates(tables):
        span = (rate.to_leaf - rate.from_leaf) * rate.gdd
        if left <= span:
            return max(leaf, rate.from_leaf + left / rate.gdd)
        left -= span
        leaf = float(rate.to_leaf)
    return leaf


def heat_at_collar(leaf: float, tables: Agronomy) -> float:
    """Heat units from emergence to a leaf collar (fraction allowed); inverse of :func:`collars`."""
    check_range("leaf", leaf, 0, _rates(tables)[-1].to_leaf, "collars")
    total = 0.0
    for rate in _rates(tables):
        total += max(0.0, min(leaf, rate.to_leaf) - rate.from_leaf) * rate.gdd
    return total


def _rates(tables: Agronomy) -> tuple[CollarRate, ...]:
    return tuple(rate for rate in tables.heat.collar_rate if rate.used)


# --------------------------------------------------------------------------- heat left to black layer


def gdd_left(stage: str, relative_maturity: float, tables: Agronomy) -> float:
    """Heat units from the start of ``stage`` to black layer, by relative maturity (days).

    Within a zone of the table its figure, between two zones a straight line.  The table is
    one scheme of equal steps, not an independent measurement of each stage.

    Raises:
        OutsideTable: a stage or a maturity that the table does not have.
    """
    zones = [row for row in tables.heat_left if row.stage == stage]
    if not zones:
        have = ", ".join(dict.fromkeys(row.stage for row in tables.heat_left))
        raise OutsideTable("stage", stage, have)
    low, high = zones[0].rm_low, zones[-1].rm_high
    if not low <= relative_maturity <= high:
        raise OutsideTable("relative_maturity", relative_maturity, f"{low} to {high}")
    return _between_zones(zones, relative_maturity)


def _between_zones(zones: list[HeatLeft], rm: float) -> float:
    below = [zone for zone in zones if zone.rm_low <= rm][-1]
    if rm <= below.rm_high:
        return below.gdd_left
    above = next(zone for zone in zones if zone.rm_low > rm)
    part = (rm - below.rm_high) / (above.rm_low - below.rm_high)
    return below.gdd_left + part * (above.gdd_left - below.gdd_left)


def days_for_heat(gdd: float, gdd_per_day: float) -> float:
    """Days in which ``gdd`` heat units come together at ``gdd_per_day``.

    Raises:
        ImpossibleValue: heat units below 0, or a pace that is not above 0.
    """
    check_range("gdd", gdd, 0, float("inf"), "F-days")
    if not gdd_per_day > 0:
        raise ImpossibleValue("gdd_per_day", gdd_per_day, "above 0 F-days a day")
    return gdd / gdd_per_day


def fill_share(gdd: float, gdd_at_silk: float, gdd_at_black_layer: float) -> float:
    """Share of the heat from silk to black layer that is gone at ``gdd``."""
    if not gdd_at_silk < gdd_at_black_layer:
        raise ImpossibleValue("gdd_at_silk", gdd_at_silk, "less than at black layer")
    return (gdd - gdd_at_silk) / (gdd_at_black_layer - gdd_at_silk)


# --------------------------------------------------------------------------- hybrids


def late_planting(rating: float, planted_on: date, tables: Agronomy) -> float:
    """Heat units that a hybrid will need when planted late (rating: from planting, F-days).

    Raises:
        OutsideTable: planted later than the trials went.
    """
    rule = tables.heat.late_planting
    start, end = (date.fromisoformat(f"{planted_on.year}-{day}") for day in (rule.after, rule.until))
    if planted_on > end:
        raise OutsideTable("planted_on", planted_on.isoformat(), f"planting up to {end.isoformat()}")
    return rating - max(0, (planted_on - start).days) * rule.gdd_per_day


def rating_from_planting(rating_from_emergence: float, tables: Agronomy) -> float:
    """A heat rating counted from emergence, turned into one from planting (F-days)."""
    return rating_from_emergence + tables.heat.rating_basis.from_emergence_add


def maturity_by_moisture(standard_rm: float, points_wetter: float, tables: Agronomy) -> float:
    """Relative maturity of a hybrid so many points of moisture wetter than a standard."""
    return standard_rm + points_wetter / tables.heat.maturity_step.points_per_day
