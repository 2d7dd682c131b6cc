"""GHCN-Daily as NOAA publishes it: one reading a line, or one day a line.

One reading a line (by-year and by-station files): id, date, element, value, measurement flag,
quality flag, source flag, time; TMAX and TMIN in tenths of a degree C, PRCP in tenths of a
millimetre.  One day a line (daily summaries): STATION, DATE, TMAX, TMIN, PRCP, and flags as
"measurement,quality,source" in TMAX_ATTRIBUTES …  A value with a quality flag failed one of the
archive's own checks: it is left out and counted.  Menne and others 2012, Journal of Atmospheric
and Oceanic Technology 29:897; the layout is that of the archive's readme files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from assistant.weather_days import MM_PER_IN, Reading, f_of_c, line_fault, number_of
from rules.model import Fault

#: A line of a file with its number.
Line = tuple[int, list[str]]

WHAT = {"TMAX": "high_f", "TMIN": "low_f", "PRCP": "rain_in"}
_MISSING = "-9999"
_LEAST_CELLS = 7  # the time of day may be left off
_QUALITY = 1  # place of the quality flag in an ATTRIBUTES cell


class Units(StrEnum):
    """The units of a file that has one day a line."""

    TENTHS = "tenths"  # of a degree C, of a millimetre: as archived
    METRIC = "metric"  # degrees C, millimetres
    STANDARD = "standard"  # degrees F, inches


@dataclass(slots=True, kw_only=True)
class Sifted:
    """What is gathered while a file is read: stations seen, doubted values, faults."""

    file: str
    station: str | None
    stations: set[str] = field(default_factory=set)
    flagged: Counter[str] = field(default_factory=Counter)
    faults: list[Fault] = field(default_factory=list)

    def wants(self, station: str) -> bool:
        """Whether readings of that station are to be read; it is remembered either way."""
        self.stations.add(station)
        return self.station is None or station == self.station

    def wrong(self, line: int, message: str) -> None:
        """Notes a fault of one line."""
        self.faults.append(line_fault(self.file, line, message))


def is_by_reading(first: list[str]) -> bool:
    """Does a first line belong to a file with one reading a line, with headings or without?"""
    if [cell.strip().casefold() for cell in first[:3]] == ["id", "date", "element"]:
        return True
    return len(first) >= _LEAST_CELLS and _day(first[1].strip()) is not None and first[2].strip().isalnum()


def is_by_day(first: list[str]) -> bool:
    """Does a first line head a file with one day a line?"""
    return {"STATION", "DATE"} <= {cell.strip().upper() for cell in first}


def by_reading(lines: Iterable[Line], sifted: Sifted) -> Iterator[Reading]:
    """Readings of a file with one reading a line, headings or none."""
    for number, cells in lines:
        if cells[0].strip().casefold() == "id":
            continue
        if len(cells) < _LEAST_CELLS:
            sifted.wrong(
                number, f"{len(cells)} cells; a reading has 8 (id, date, element, value, three flags, time)"
            )
            continue
        station, day, element, value, _, quality = (cell.strip() for cell in cells[:6])
        if sifted.wants(station) and element in WHAT:
            yield from _reading(number, day, element, value, quality, Units.TENTHS, sifted)


def by_day(lines: Iterable[Line], units: Units, sifted: Sifted) -> Iterator[Reading]:
    """Readings of a file with one day a line, headings first."""
    rows = iter(lines)
    number, first = next(rows)
    place = {cell.strip().upper(): n for n, cell in enumerate(first)}
    lacking = [name for name in ("TMAX", "TMIN") if name not in place]
    if lacking:
        sifted.wrong(number, f"the column {' and '.join(lacking)} is missing; PRCP may be left out")
        return
    for number, cells in rows:
        if len(cells) != len(first):
            sifted.wrong(number, f"{len(cells)} cells under {len(first)} headings")
            continue
        if not sifted.wants(cells[place["STATION"]].strip()):
            continue
        row = {name: cells[n].strip() for name, n in place.items()}
        for element in (name for name in WHAT if name in place):
            doubt = _doubt(row, element)
            yield from _reading(number, row["DATE"], element, row[element], doubt, units, sifted)


def _doubt(row: dict[str, str], element: str) -> str:
    """The quality flag out of "measurement,quality,source"; empty where there is none."""
    flags = row.get(f"{element}_ATTRIBUTES", "").split(",")
    return flags[_QUALITY].strip() if len(flags) > _QUALITY else ""


def _reading(
    number: int, day: str, element: str, value: str, quality: str, units: Units, sifted: Sifted
) -> Iterator[Reading]:
    """The reading, unless there is none, or it is doubted, or wrong."""
    on, amount = _day(day), number_of(value)
    if on is None:
        sifted.wrong(number, f"{day!r} is no date; it is written 20270728 or 2027-07-28")
    elif value in ("", _MISSING):
        return
    elif quality:
        sifted.flagged[element] += 1
    elif amount is None:
        sifted.wrong(number, f"{element} {value!r} is no number")
    elif units is Units.TENTHS and not amount.is_integer():
        sifted.wrong(number, f"{element} {value} cannot be tenths, which are whole numbers; say the units")
    else:
        made = _converted(element, amount, units)
        yield Reading(line=number, on=on, what=WHAT[element], value=made, said=_said(element, value, made))


def _converted(element: str, amount: float, units: Units) -> float:
    if units is Units.STANDARD:
        return amount
    metric = amount / 10 if units is Units.TENTHS else amount
    return metric / MM_PER_IN if element == "PRCP" else f_of_c(metric)


def _said(element: str, value: str, made: float) -> str:
    return f"{element} {value} ({made:.4g} {'in' if element == 'PRCP' else 'F'})"


def _day(text: str) -> date | None:
    for form in ("%Y%m%d", "%Y-%m-%d"):
        try:
            day = datetime.strptime(text, form).date()
        except ValueError:
            continue
        if len(text) == len(day.strftime(form)):
            return day
    return None
