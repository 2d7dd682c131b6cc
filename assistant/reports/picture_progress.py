"""Disease progress in one field: how high on the plant each problem stood, day by day, with the stages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from assistant.reports.axis import Days, Series, day_labels, days_over
from assistant.reports.drawing import (
    ACCENT,
    BAND,
    INK,
    RULE,
    SOFT,
    Box,
    Dot,
    Line,
    Mark,
    Picture,
    Words,
    legend,
)
from assistant.reports.positions import EAR, RUNGS, Span, Spot, spots
from assistant.reports.season import FieldSeason, Season
from assistant.reports.wording import clipped, counted, short_day

_WIDTH, _LEFT, _RIGHT = 720, 118, 690
_STEP = 24
_UNTOLD = -1  # the rung for "nobody said where"


def progress(field: FieldSeason, season: Season, series: Series) -> Picture:
    """Where each problem stood on each visit: filled where it was seen, hollow where looked and clean."""
    seen = [spot for visit in field.visits for spot in spots(visit)]
    title = f"How far up the plant: {clipped(field.title, 60)}"
    scale = days_over((v.on for v in field.visits), _LEFT + 24, _RIGHT - 24)
    if not seen or scale is None:
        note = "No visit of this season says what was or was not on the plants."
        return Picture(
            width=_WIDTH, height=44, title=title, told=note, marks=(Words(10, 26, note, 12, SOFT),)
        )
    found = [d for d in series if any(s.disorder == d for s in seen)]
    keys, top = legend(_keys(found, season, series, seen), 10, 16, _WIDTH - 20)
    untold = any(s.reach is None for s in seen)
    rungs = _Rungs(top + 8, untold)
    marks = [*keys, *rungs.ladder(), *_sprays(field, scale, rungs), *_seen(seen, found, scale, rungs, series)]
    stages = {v.on: v.row.stage or "" for v in field.visits}
    marks += day_labels(scale, [v.on for v in field.visits], rungs.bottom + 24, stages)
    told = _told(seen, season)
    return Picture(width=_WIDTH, height=rungs.bottom + 46, title=title, told=told, marks=tuple(marks))


class _Rungs:
    """The ladder's place on the picture."""

    def __init__(self, top: float, untold: bool) -> None:
        self.top, self.untold = top, untold
        self.bottom = top + _STEP * (len(RUNGS) + (1 if untold else 0))

    def y(self, rung: float) -> float:
        return self.top + _STEP * (len(RUNGS) - 1 - rung) + _STEP / 2

    def ladder(self) -> list[Mark]:
        marks: list[Mark] = [Box(_LEFT, self.y(EAR) - _STEP / 2, _RIGHT - _LEFT, _STEP, BAND)]
        for rung, words in enumerate(RUNGS):
            marks.append(Line(_LEFT, self.y(rung), _RIGHT, self.y(rung), RULE))
            marks.append(Words(_LEFT - 8, self.y(rung) + 4, words, 11, INK, "end", bold=rung == EAR))
        if self.untold:
            marks.append(Words(_LEFT - 8, self.y(_UNTOLD) + 4, "place not said", 11, SOFT, "end"))
        return marks


def _keys(
    found: Sequence[str], season: Season, series: Series, seen: Sequence[Spot]
) -> list[tuple[Dot | None, str]]:
    keys: list[tuple[Dot | None, str]] = [
        (Dot(0, 0, 5, series[d][0], series[d][1]), season.name(d)) for d in found
    ]
    if any(s.clean for s in seen):
        keys.append((Dot(0, 0, 4, SOFT, "round", hollow=True), "looked at, clean"))
    if any(s.incidence is not None for s in seen):
        keys.append((None, "figures: % of plants with it"))
    return keys


def _sprays(field: FieldSeason, scale: Days, rungs: _Rungs) -> Iterator[Mark]:
    for on in sorted({v.on for v in field.visits if v.sprayed}):
        x = scale.x(on)
        yield Line(x, rungs.top - 2, x, rungs.bottom, ACCENT, 1.5, dashed=True)
        yield Words(x, rungs.top - 5, f"spray told {short_day(on)}", 10, ACCENT, "middle")


def _seen(
    seen: Sequence[Spot], found: Sequence[str], scale: Days, rungs: _Rungs, series: Series
) -> Iterator[Mark]:
    taken: dict[tuple[float, float], int] = {}
    for spot in (s for s in seen if s.clean):
        low, high = spot.reach or (_UNTOLD, _UNTOLD)
        for rung in range(low, high + 1):
            yield Dot(scale.x(spot.on), rungs.y(rung), 4, SOFT, "round", hollow=True)
    for disorder in found:
        own = [s for s in seen if s.disorder == disorder and not s.clean]
        yield from _path(own, scale, rungs, series[disorder][0])
        for spot in own:
            yield from _spot(spot, scale, rungs, series, taken)


def _path(own: Sequence[Spot], scale: Days, rungs: _Rungs, ink: str) -> Iterator[Mark]:
    """The line through the highest leaf of each day."""
    tops: dict[date, int] = {}
    for spot in own:
        if spot.reach:
            tops[spot.on] = max(spot.reach[1], tops.get(spot.on, 0))
    days = sorted(tops)
    for one, other in pairwise(days):
        yield Line(scale.x(one), rungs.y(tops[one]), scale.x(other), rungs.y(tops[other]), ink, 1.6)


def _spot(
    spot: Spot, scale: Days, rungs: _Rungs, series: Series, taken: dict[tuple[float, float], int]
) -> Iterator[Mark]:
    ink, shape = series[spot.disorder or ""]
    low, high = spot.reach or (_UNTOLD, _UNTOLD)
    x, y = scale.x(spot.on), rungs.y(high)
    place = taken.get((x, y), 0)  # two problems on one leaf stand side by side
    taken[(x, y)] = place + 1
    x += 12 * place
    if low != high:
        yield Line(x, rungs.y(low), x, y, ink, 4)
    yield Dot(x, y, 5, ink, shape)
    words = _amount(spot)
    if words:
        yield Words(x, y - 9, words, 10, ink, "middle")


def _amount(spot: Spot) -> str:
    if spot.incidence is not None:
        return f"{spot.incidence:.0f} %"
    return f"{spot.severity:g} % of leaf" if spot.severity is not None else ""


def _told(seen: Sequence[Spot], season: Season) -> str:
    parts = []
    for spot in seen:
        if not spot.clean:
            parts.append(f"{short_day(spot.on)} {season.name(spot.disorder)} {_where(spot.reach)}")
    clean = sum(s.clean for s in seen)
    parts += [f"{counted(clean, 'place')} looked at and clean"] if clean else []
    return "; ".join(parts) + "."


def _where(reach: Span | None) -> str:
    if reach is None:
        return "(place not said)"
    low, high = reach
    return f"on {RUNGS[low]}" if low == high else f"from {RUNGS[low]} to {RUNGS[high]}"
