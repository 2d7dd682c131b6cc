"""Dates as they stand in file names and at the head of old notes.  Nothing is guessed.

Read are year-month-day (2027-07-28, 20270728), month/day/year (7/28/2027) and names of months
(July 28, 2027; 28 Jul 2027).  A year that is left out, or has two digits, must be told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_MONTH = rf"(?P<name>{'|'.join([*_MONTHS, 'sept', *(month[:3] for month in _MONTHS)])})\.?(?![a-z])"
_GAP = r"[\s,._-]*"
_BREAK = r"[\s,._-]+"
_DAY = r"(?P<d>\d{1,2})(?!\d)(?:st|nd|rd|th)?"
_YEAR = r"(?P<y>\d{4}|'?\d{2})"
_PATTERNS = tuple(
    re.compile(rf"(?<![\w]){pattern}(?![\w])", re.IGNORECASE)
    for pattern in (
        r"(?P<y>\d{4})(?P<sep>[-_.])(?P<m>\d{1,2})(?P=sep)(?P<d>\d{1,2})",
        r"(?P<y>(?:19|20)\d\d)(?P<m>\d\d)(?P<d>\d\d)",
        r"(?P<m>\d{1,2})(?P<sep>[-/._])(?P<d>\d{1,2})(?P=sep)(?P<y>\d{4}|\d{2})",
        rf"{_MONTH}{_GAP}{_DAY}{_BREAK}{_YEAR}",
        rf"{_DAY}{_GAP}{_MONTH}{_GAP}{_YEAR}",
        rf"{_MONTH}{_GAP}{_DAY}",
        rf"{_DAY}{_GAP}{_MONTH}",
        r"(?P<m>\d{1,2})/(?P<d>\d{1,2})",
    )
)
_HUNDRED = 100
#: What may stand before the date of a first line.
_LEAD = re.compile(
    r"[\s#*>\[(]*(?:(?:date|on)\b:?\s*)?(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s*)?", re.IGNORECASE
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A date as written: where it stands, the day or what is wrong with it."""

    span: tuple[int, int]
    text: str
    day: date | None
    fault: str = ""


def dates_in(text: str, year: int | None = None) -> tuple[Written, ...]:
    """Every date in the text, from left to right; ``year`` is that of dates which have none of their own."""
    # An underscore joins words in a file name, but counts as a letter to the patterns.
    plain = re.sub(r"_(?=[A-Za-z])|(?<=[A-Za-z])_", " ", text)
    free, found = plain, []
    for pattern in _PATTERNS:
        for met in list(pattern.finditer(free)):
            found.append(_written(met, text, year))
            free = free[: met.start()] + "\0" * (met.end() - met.start()) + free[met.end() :]
    return tuple(sorted(found, key=lambda each: each.span))


def heads(text: str, written: Written) -> bool:
    """Whether the date is what the line begins with (a weekday or the word "date" may stand before it)."""
    lead = _LEAD.match(text)
    return lead is not None and lead.end() >= written.span[0]


def the_one(found: tuple[Written, ...]) -> tuple[date | None, str]:
    """The day that all of the dates mean, or None and why there is no one day."""
    faults = [each.fault for each in found if each.day is None]
    if faults:
        return None, faults[0]
    days = sorted({each.day for each in found if each.day})
    if not days:
        return None, "no date"
    if len(days) > 1:
        return None, f"more than one date ({', '.join(each.text for each in found)})"
    return days[0], ""


def _written(met: re.Match[str], text: str, year: int | None) -> Written:
    parts, said = met.groupdict(), text[met.start() : met.end()]
    day, fault = _day(parts, said, year)
    return Written(span=met.span(), text=said, day=day, fault=fault)


def _day(parts: dict[str, str | None], said: str, year: int | None) -> tuple[date | None, str]:
    month = _number(parts.get("m")) or _month(parts.get("name") or "")
    written = (parts.get("y") or "").lstrip("'")
    if len(written) == len("2027"):
        which: int | None = int(written)
    else:
        which = year if year is not None and (not written or int(written) == year % _HUNDRED) else None
    if which is None:
        what = f'the year of "{said}" has two digits' if written else f'"{said}" has no year'
        return None, f"{what}; say which year is meant"
    try:
        return date(which, month, _number(parts["d"])), ""
    except ValueError:
        order = "a year, month and day" if said.startswith(written) and written else "a month, day and year"
        return None, f'"{said}" is no date: it is read as {order}'


def _number(digits: str | None) -> int:
    return int(digits) if digits else 0


def _month(name: str) -> int:
    return next((n for n, month in enumerate(_MONTHS, start=1) if month.startswith(name.lower())), 0)


def without(text: str, found: tuple[Written, ...]) -> str:
    """The text without its dates, separators as spaces: what is left of a file's name."""
    kept = "".join(_around(text, found))
    return " ".join(re.sub(r"[\s_,.;()\[\]-]+", " ", kept).split())


def _around(text: str, found: tuple[Written, ...]) -> Iterator[str]:
    end = 0
    for each in found:
        yield text[end : each.span[0]] + " "
        end = each.span[1]
    yield text[end:]
