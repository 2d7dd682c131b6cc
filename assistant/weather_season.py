"""A stretch of days out of a weather file: observed, forecast, and beyond, with every gap told.

Nothing is put in unless it is asked for: short gaps between neighbours by a straight line, and
after the last day of the file the file's own averages by day of the year.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from assistant.weather_days import SAY, Day, Origin, WeatherFile
from rules.model import WrongWords

_DAY = timedelta(days=1)
_HEAT = ("high_f", "low_f")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Days in a row of which one reading is lacking, or was put in."""

    what: str
    first: date
    last: date

    @property
    def days(self) -> int:
        """How many days."""
        return (self.last - self.first).days + 1

    def __str__(self) -> str:
        span = self.first.isoformat()
        return f"{SAY[self.what]} of {span}" + (f" to {self.last.isoformat()}" if self.days > 1 else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """The days from first to last, one each, and what they rest on.

    ``filled`` and ``lacking`` tell of highs and lows alone: rain is never put in.
    ``average_years``: the fewest years that an average rests on, None where there is none.
    """

    days: tuple[Day, ...]
    filled: tuple[Gap, ...]
    lacking: tuple[Gap, ...]
    forecast_from: date | None
    average_from: date | None
    average_years: int | None

    def notes(self) -> tuple[str, ...]:
        """What a reader of any sum over these days has to know."""
        told = [f"{gap} was put in between its neighbours" for gap in self.filled]
        told += [f"{gap} is lacking" for gap in self.lacking]
        if self.forecast_from:
            told.append(f"forecast from {self.forecast_from.isoformat()} on")
        if self.average_from:
            years = f"{self.average_years} year{'' if self.average_years == 1 else 's'}"
            told.append(f"from {self.average_from.isoformat()} on the file's own averages of {years}")
        return tuple(told)


def season(
    file: WeatherFile, first: date, last: date, *, today: date, fill_days: int = 0, averages: bool = False
) -> Season:
    """The days from ``first`` to ``last``, both included.

    Args:
        file: what was read.
        first: the first day wanted.
        last: the last day wanted.
        today: the last day that was observed; later days of the file are forecast.
        fill_days: the longest gap, in days, that is put in by a straight line; 0 puts in nothing.
        averages: whether days after the file's last are its averages by day of the year, over
            the days observed up to ``today``.

    Raises:
        WrongWords: the days run backwards, or ``fill_days`` is below 0.
    """
    if first > last or fill_days < 0:
        raise WrongWords(f"{first} to {last}, gaps up to {fill_days} days: nothing to be had")
    known = {day.on: day for day in file.days}
    for what in _HEAT:
        known = _filled(known, what, fill_days)
    known = {on: _uncrossed(day) for on, day in known.items()}
    means = _Averages(day for day in file.days if day.on <= today) if averages else None
    ends = max((day.on for day in file.days if day.has_heat), default=date.min)
    days = [_placed(known.get(on, Day(on=on)), today) for on in _span(first, last)]
    if means is not None:
        days = [means.of(day) if day.on > ends else day for day in days]
    return _told(tuple(days), means)


def _placed(day: Day, today: date) -> Day:
    return replace(day, origin=Origin.FORECAST) if day.on > today else day


def _span(first: date, last: date) -> Iterator[date]:
    on = first
    while on <= last:
        yield on
        on += _DAY


# --------------------------------------------------------------------------- gaps


def _filled(days: dict[date, Day], what: str, most: int) -> dict[date, Day]:
    """The days with the gaps of one reading up to ``most`` days long on a straight line."""
    made = dict(days)
    have = [(on, getattr(days[on], what)) for on in sorted(days) if getattr(days[on], what) is not None]
    for (before, low), (after, high) in pairwise(have):
        steps = (after - before).days
        if not 1 < steps <= most + 1:
            continue
        for step in range(1, steps):
            on = before + step * _DAY
            day = made.get(on, Day(on=on))
            value = low + (high - low) * step / steps
            made[on] = replace(day, **{what: value}, filled=(*day.filled, what))
    return made


def _uncrossed(day: Day) -> Day:
    """The same day; where what was put in crosses the other reading, it is taken out again."""
    if day.high_f is None or day.low_f is None or day.high_f >= day.low_f:
        return day
    high = None if "high_f" in day.filled else day.high_f
    low = None if "low_f" in day.filled else day.low_f
    return replace(day, high_f=high, low_f=low, filled=())


# --------------------------------------------------------------------------- averages


class _Averages:
    """Means of highs and lows by day of the year, over the days that have both."""

    def __init__(self, days: Iterable[Day]) -> None:
        self._seen: dict[tuple[int, int], list[tuple[float, float]]] = {}
        for day in days:
            if day.high_low is not None:
                self._seen.setdefault((day.on.month, day.on.day), []).append(day.high_low)

    def years(self, on: date) -> int:
        """How many years the average of a day rests on."""
        return len(self._rows(on))

    def of(self, day: Day) -> Day:
        """The day with the averages in it, or as it was where no year has that day."""
        rows = self._rows(day.on)
        if not rows:
            return day
        highs, lows = zip(*rows, strict=True)
        return replace(
            day, high_f=sum(highs) / len(rows), low_f=sum(lows) / len(rows), origin=Origin.AVERAGE, filled=()
        )

    def _rows(self, on: date) -> list[tuple[float, float]]:
        """A leap day without years of its own goes by the day before."""
        rows = self._seen.get((on.month, on.day), [])
        return rows if rows or (on.month, on.day) != (2, 29) else self._rows(on - _DAY)


# --------------------------------------------------------------------------- what is told


def _told(days: tuple[Day, ...], means: _Averages | None) -> Season:
    average = [day.on for day in days if day.origin is Origin.AVERAGE]
    years = [means.years(on) for on in average] if means else []
    return Season(
        days=days,
        filled=_gaps(days, lambda day, what: what in day.filled),
        lacking=_gaps(days, lambda day, what: getattr(day, what) is None),
        forecast_from=next((day.on for day in days if day.origin is Origin.FORECAST and day.has_heat), None),
        average_from=average[0] if average else None,
        average_years=min(years) if years else None,
    )


def _gaps(days: tuple[Day, ...], is_in: Callable[[Day, str], bool]) -> tuple[Gap, ...]:
    """Runs of days, of highs first, then of lows."""
    made: list[Gap] = []
    for what in _HEAT:
        for on in (day.on for day in days if is_in(day, what)):
            if made and made[-1].what == what and made[-1].last == on - _DAY:
                made[-1] = replace(made[-1], last=on)
            else:
                made.append(Gap(what=what, first=on, last=on))
    return tuple(made)
