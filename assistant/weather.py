"""Station and forecast files: read, put in order, and summed to heat units.

Three layouts are known by their first line: GHCN-Daily with one reading a line, GHCN-Daily
with one day a line, and a plain CSV with the units in its headings.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TextIO

from assistant.weather_days import Day, Origin, Reading, WeatherFile, WrongWeather, days_of, line_fault
from assistant.weather_ghcn import Line, Sifted, Units, by_day, by_reading, is_by_day, is_by_reading
from assistant.weather_plain import is_plain, plain
from assistant.weather_season import Gap, Season, season
from rules.agronomy import tables as agronomy_tables
from rules.agronomy import weather_bounds
from rules.agronomy.heat import heat_sum_f
from rules.agronomy.tables import Agronomy
from rules.model import WrongWords

__all__ = [
    "Day",
    "Gap",
    "Heat",
    "Origin",
    "Season",
    "Units",
    "WeatherFile",
    "WrongWeather",
    "heat_since",
    "read",
    "read_lines",
    "season",
]

_LAYOUTS = (
    "a weather file is GHCN-Daily (id,date,element,value,flags … or STATION,DATE,TMAX,TMIN,PRCP …) "
    "or a CSV with the headings date, high_f or high_c, low_f or low_c, rain_in or rain_mm, rh_pct"
)
_STATIONS_SHOWN = 5


def read(path: Path, *, station: str | None = None, units: Units | None = None) -> WeatherFile:
    """The weather file at ``path``.

    Args:
        path: the file; a packed one has to be unpacked first.
        station: the station wanted, where the file holds several.
        units: the units of a file with one day a line; None = tenths, as archived.

    Raises:
        WrongWeather: lines with faults; the error lists all of them.
        WrongWords: the file cannot be read, or is no weather file, or holds several stations.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as lines:
            return read_lines(lines, path.name, station=station, units=units)
    except (OSError, UnicodeDecodeError) as error:
        raise WrongWords(f"{path} cannot be read: {error}") from error


def read_lines(
    lines: TextIO | Iterable[str], name: str, *, station: str | None = None, units: Units | None = None
) -> WeatherFile:
    """The weather file that ``lines`` make up; see :func:`read`."""
    sifted = Sifted(file=name, station=station)
    bounds, tables = weather_bounds.load(), agronomy_tables.load()
    readings = list(_readings(_rows(lines, sifted), units, sifted))
    _one_station(sifted)
    days = days_of(readings, name, bounds, tables, sifted.faults)
    if sifted.faults:
        raise WrongWeather(tuple(sorted(sifted.faults, key=lambda fault: int(fault.record.split()[-1]))))
    if not any(day.has_heat for day in days):
        raise WrongWords(f"{name} holds no day with a high and a low")
    return WeatherFile(
        name=name,
        station=station or next(iter(sifted.stations), None),
        days=days,
        flagged=tuple(sorted(sifted.flagged.items())),
        notes=tuple(_notes(days, sifted, bounds.cool_file.warmest_f)),
    )


def _rows(lines: Iterable[str], sifted: Sifted) -> Iterator[Line]:
    """Cells of each line that holds any, with its number."""
    rows = csv.reader(lines, strict=True)
    try:
        for cells in rows:
            if any(cell.strip() for cell in cells):
                yield rows.line_num, cells
    except csv.Error as error:
        sifted.faults.append(line_fault(sifted.file, rows.line_num, f"not readable as CSV: {error}"))


def _readings(rows: Iterator[Line], units: Units | None, sifted: Sifted) -> Iterator[Reading]:
    first = next(rows, None)
    if first is None:
        raise WrongWords(f"{sifted.file} is empty; {_LAYOUTS}")
    whole = _with(first, rows)
    if is_by_day(first[1]):
        return by_day(whole, units or Units.TENTHS, sifted)
    if units is not None:
        raise WrongWords(f"{sifted.file} says its units itself; tell them only of STATION,DATE,TMAX files")
    if is_by_reading(first[1]):
        return by_reading(whole, sifted)
    if is_plain(first[1]):
        return plain(whole, sifted)
    raise WrongWords(f"{sifted.file}, line {first[0]}: this is no heading known here; {_LAYOUTS}")


def _with(first: Line, rows: Iterator[Line]) -> Iterator[Line]:
    yield first
    yield from rows


def _one_station(sifted: Sifted) -> None:
    """Refuses a file of several stations where none was named, or one that lacks the one named."""
    shown = ", ".join(sorted(sifted.stations)[:_STATIONS_SHOWN])
    if sifted.station is None and len(sifted.stations) > 1:
        raise WrongWords(
            f"{sifted.file} holds {len(sifted.stations)} stations ({shown} …): say which one is meant"
        )
    if sifted.station is not None and sifted.stations and sifted.station not in sifted.stations:
        raise WrongWords(f"{sifted.file} holds nothing of the station {sifted.station!r}; it has {shown}")


def _notes(days: tuple[Day, ...], sifted: Sifted, warmest_f: float) -> Iterator[str]:
    for element, count in sorted(sifted.flagged.items()):
        yield f"{count} {element} left out: the archive's own checks doubt them"
    highest = max(day.high_f for day in days if day.high_f is not None)
    if highest < warmest_f:
        yield f"no day is warmer than {highest:.0f} F: is the file in the units that it was read in?"


# --------------------------------------------------------------------------- heat units


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """Heat units (86/50, F-days) over days in a row.

    With days ``lacking`` the sum is too small: a lower bound, for no day has less than 0.
    """

    gdd: float
    days: int
    lacking: tuple[date, ...]
    forecast: int
    averaged: int
    filled: int

    @property
    def is_whole(self) -> bool:
        """Whether every day was there."""
        return not self.lacking


def heat_since(days: Iterable[Day], start: date, end: date, tables: Agronomy) -> Heat:
    """Heat units from ``start`` to ``end``, both included.

    Counting from planting, Purdue counts the day of planting itself and Ohio the day after:
    the caller says which by ``start``.  An average day's heat is that of its mean high and
    low, a little more than the mean of the heat where days run across base or cap.

    Raises:
        WrongWords: the days run backwards.
    """
    if start > end:
        raise WrongWords(f"heat units from {start.isoformat()} to {end.isoformat()}: the days run backwards")
    by_date = {day.on: day for day in days}
    span = [start + timedelta(days=n) for n in range((end - start).days + 1)]
    there = [by_date[on] for on in span if on in by_date and by_date[on].has_heat]
    return Heat(
        gdd=heat_sum_f((day.high_low for day in there if day.high_low is not None), tables),
        days=len(there),
        lacking=tuple(on for on in span if on not in by_date or not by_date[on].has_heat),
        forecast=sum(day.origin is Origin.FORECAST for day in there),
        averaged=sum(day.origin is Origin.AVERAGE for day in there),
        filled=sum(bool(day.filled) for day in there),
    )
