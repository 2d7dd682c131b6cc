"""What a station's reading can be at all (weather_bounds.toml; temperatures from heat.toml)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from rules.agronomy.books import load_book
from rules.agronomy.shapes import Sourced
from rules.agronomy.tables import Agronomy


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound(Sourced):
    """The least and the most that a figure can be."""

    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolFile(Sourced):
    """A whole file cooler than this (degrees F) was probably read in the wrong unit."""

    warmest_f: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherBounds:
    """weather_bounds.toml."""

    rain_in: Bound
    rh_pct: Bound
    cool_file: CoolFile


@cache
def load() -> WeatherBounds:
    """The shipped bounds.

    Raises:
        BrokenTables: the table has a fault.
    """
    return load_book(WeatherBounds, "weather_bounds.toml")


def bound_of(what: str, bounds: WeatherBounds, tables: Agronomy) -> tuple[float, float, str]:
    """Least, most and unit of a reading: high_f, low_f, rain_in or rh_pct."""
    if what in ("high_f", "low_f"):
        low, high = tables.heat.unit.possible_f
        return low, high, "F"
    bound: Bound = getattr(bounds, what)
    return bound.low, bound.high, bound.unit
