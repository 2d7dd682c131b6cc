"""Days reckoned from the day of a note: the 14th, July 9, Tuesday, Labor Day.

A ``Lean`` says on which side of the note's day to look.
"""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum

_WEEK = 7


class Lean(StrEnum):
    """Whether a date lies before the note, after it, or where it is nearest."""

    PAST = "past"
    FUTURE = "future"
    NEAR = "near"


def day_or_none(year: int, month: int, day: int) -> date | None:
    """That day, or None where the calendar has none (31 June)."""
    try:
        return date(year, month, day)
    except ValueError:  # the calendar's own answer to "is there such a day?"
        return None


def day_of_month(day: int, base: date, lean: Lean) -> date | None:
    """Reads "The 14th": the latest such day up to ``base``, or the next one from it.

    Months without that day are passed over.  No lean means the past.
    """
    ahead = lean is Lean.FUTURE
    for step in range(3):
        month = base.month + (step if ahead else -step)
        year = base.year + (month - 1) // 12
        found = day_or_none(year, (month - 1) % 12 + 1, day)
        if found and (found >= base if ahead else found <= base):
            return found
    return None


def month_day(month: int, day: int, base: date, lean: Lean) -> date | None:
    """Reads "July 9": the last one, the next one (``base`` itself counts), or the nearest."""
    years = range(base.year - 4, base.year + 5)
    days = [found for year in years if (found := day_or_none(year, month, day))]
    if lean is Lean.PAST:
        return max((found for found in days if found <= base), default=None)
    if lean is Lean.FUTURE:
        return min((found for found in days if found >= base), default=None)
    return min(days, key=lambda found: abs(found - base), default=None)


def weekday(number: int, base: date, lean: Lean) -> date:
    """Reads "Tuesday" (1): the next one for the future, else the last; never ``base`` itself."""
    if lean is Lean.FUTURE:
        return base + timedelta(days=(number - base.weekday() - 1) % _WEEK + 1)
    return base - timedelta(days=(base.weekday() - number - 1) % _WEEK + 1)


def this_weekday(number: int, base: date) -> date:
    """Reads "This Friday": the next one, ``base`` itself counting."""
    return base + timedelta(days=(number - base.weekday()) % _WEEK)


def nth_weekday(month: int, number: int, nth: int, year: int) -> date:
    """The ``nth`` weekday ``number`` of a month; -1 is the last one."""
    if nth < 0:
        following = date(year + month // 12, month % 12 + 1, 1)
        return weekday(number, following, Lean.PAST)
    return this_weekday(number, date(year, month, 1)) + timedelta(weeks=nth - 1)


def holiday(month: int, number: int, nth: int, base: date, lean: Lean) -> date:
    """A holiday that falls on the ``nth`` weekday of a month, on the side of ``lean``."""
    days = [nth_weekday(month, number, nth, year) for year in range(base.year - 1, base.year + 2)]
    if lean is Lean.PAST:
        return max(day for day in days if day <= base)
    if lean is Lean.FUTURE:
        return min(day for day in days if day >= base)
    return min(days, key=lambda day: abs(day - base))
