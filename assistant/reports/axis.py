"""Days along a line, and the marks of a season's problems."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from assistant.reports.drawing import INK, RULE, SERIES, SOFT, Line, Mark, Shape, Words, spread
from assistant.reports.season import Season
from assistant.reports.wording import short_day

Series = Mapping[str, tuple[str, Shape]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """Days between two ends of a line."""

    first: date
    last: date
    left: float
    right: float

    def x(self, on: date) -> float:
        """Where a day lies; a season of one day lies in the middle."""
        span = (self.last - self.first).days
        if span == 0:
            return (self.left + self.right) / 2
        return self.left + (self.right - self.left) * (on - self.first).days / span


def days_over(days: Iterable[date], left: float, right: float) -> Days | None:
    """The line that takes in all of the days; None where there are none."""
    known = sorted(days)
    return Days(first=known[0], last=known[-1], left=left, right=right) if known else None


def series_of(season: Season) -> Series:
    """A colour and a shape for every problem found, in the order of the first find."""
    found = dict.fromkeys(f.disorder for visit in season.visits for f in visit.finds)
    return {disorder: SERIES[place % len(SERIES)] for place, disorder in enumerate(found)}


def day_labels(
    scale: Days, days: Sequence[date], y: float, below: Mapping[date, str] | None = None
) -> list[Mark]:
    """The days under a line, as many as there is room for, with a word (a stage) under each."""
    once = sorted(set(days))
    shown = spread([scale.x(d) for d in once], 44)
    marks: list[Mark] = []
    for on, fits in zip(once, shown, strict=True):
        marks.append(Line(scale.x(on), y - 14, scale.x(on), y - 10, SOFT))
        if fits:
            marks.append(Words(scale.x(on), y, short_day(on), 11, SOFT, "middle"))
            if below and below.get(on):
                marks.append(Words(scale.x(on), y + 14, below[on], 11, INK, "middle", bold=True))
    return marks


def month_lines(scale: Days, top: float, bottom: float) -> list[Mark]:
    """A thin line at the first of every month, with its name."""
    marks: list[Mark] = []
    on = (scale.first.replace(day=1) + timedelta(days=31)).replace(day=1)
    while on <= scale.last:
        marks.append(Line(scale.x(on), top, scale.x(on), bottom, RULE))
        marks.append(Words(scale.x(on) + 3, top + 9, short_day(on), 10, SOFT))
        on = (on + timedelta(days=31)).replace(day=1)
    return marks
