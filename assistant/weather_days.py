"""The days of a weather file, and the readings that they are put together from.

Degrees F, inches, percent.  A reading that was not made, or not kept, is None.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from rules.agronomy.heat import F_PER_C
from rules.agronomy.tables import Agronomy
from rules.agronomy.weather_bounds import WeatherBounds, bound_of
from rules.model import Fault, WrongWords

#: Exact by definition.
MM_PER_IN = 25.4
_F_AT_0_C = 32
_NUMBER = re.compile(r"[+-]?[0-9]+\.?[0-9]*|[+-]?\.[0-9]+")

#: Faults shown in one message; the rest are counted.
_SHOWN = 30

#: What a day holds, in words.
SAY = {"high_f": "the high", "low_f": "the low", "rain_in": "the rain", "rh_pct": "the humidity"}


class WrongWeather(WrongWords):
    """A weather file with faults: the line of each, what stands there, and what is allowed."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        more = f"\n… and {len(faults) - _SHOWN} more" if len(faults) > _SHOWN else ""
        super().__init__("\n".join(str(fault) for fault in faults[:_SHOWN]) + more)


class Origin(StrEnum):
    """Where a day's figures come from."""

    OBSERVED = "observed"
    FORECAST = "forecast"
    AVERAGE = "average"  # of the file's other years


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One day's weather; ``filled`` names the readings that were put in between neighbours."""

    on: date
    high_f: float | None = None
    low_f: float | None = None
    rain_in: float | None = None
    rh_pct: float | None = None
    origin: Origin = Origin.OBSERVED
    filled: tuple[str, ...] = ()

    @property
    def high_low(self) -> tuple[float, float] | None:
        """High and low, which heat units are reckoned from; None unless both are there."""
        return None if self.high_f is None or self.low_f is None else (self.high_f, self.low_f)

    @property
    def has_heat(self) -> bool:
        """Whether heat units can be reckoned for it."""
        return self.high_low is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherFile:
    """What a weather file holds: days in order, and what was left out of it.

    ``flagged``: readings that the archive itself doubts, by element; ``notes`` are sentences
    for the user.
    """

    name: str
    station: str | None
    days: tuple[Day, ...]
    flagged: tuple[tuple[str, int], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading in degrees F, inches or percent; ``said`` is how the file has it."""

    line: int
    on: date
    what: str
    value: float
    said: str


def f_of_c(celsius: float) -> float:
    """Degrees F out of degrees C."""
    return celsius * F_PER_C + _F_AT_0_C


def number_of(text: str) -> float | None:
    """A plain decimal number, or None for anything else (an exponent, nan, 1_0, 1,5)."""
    return float(text) if _NUMBER.fullmatch(text.strip()) else None


def line_fault(file: str, line: int, message: str) -> Fault:
    """A fault in one line of a file."""
    return Fault(file=file, record=f"line {line}", message=message)


def days_of(
    readings: Iterable[Reading], file: str, bounds: WeatherBounds, tables: Agronomy, faults: list[Fault]
) -> tuple[Day, ...]:
    """The days that readings make, in order; every impossible or double one is noted."""
    table: dict[date, dict[str, Reading]] = {}
    for reading in readings:
        day = table.setdefault(reading.on, {})
        first = day.setdefault(reading.what, reading)
        if first is not reading:
            message = f"{SAY[reading.what]} of {reading.on.isoformat()} stands in line {first.line} already"
            faults.append(line_fault(file, reading.line, message))
        faults += _impossible(reading, file, bounds, tables)
    for day in table.values():
        faults += _crossed(day, file)
    return tuple(_day(on, table[on]) for on in sorted(table))


def _impossible(reading: Reading, file: str, bounds: WeatherBounds, tables: Agronomy) -> list[Fault]:
    low, high, unit = bound_of(reading.what, bounds, tables)
    if low <= reading.value <= high:
        return []
    message = f"{SAY[reading.what]}, {reading.said}, is impossible; allowed is {low:g} to {high:g} {unit}"
    return [line_fault(file, reading.line, message)]


def _crossed(day: dict[str, Reading], file: str) -> list[Fault]:
    high, low = day.get("high_f"), day.get("low_f")
    if high is None or low is None or high.value >= low.value:
        return []
    message = f"the high of {high.on.isoformat()}, {high.said}, is below its low, {low.said}"
    return [line_fault(file, max(high.line, low.line), message)]


def _day(on: date, readings: dict[str, Reading]) -> Day:
    held = {what: reading.value for what, reading in readings.items()}
    return Day(
        on=on,
        high_f=held.get("high_f"),
        low_f=held.get("low_f"),
        rain_in=held.get("rain_in"),
        rh_pct=held.get("rh_pct"),
    )
