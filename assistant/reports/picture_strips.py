"""A strip of time for each field: visits, decisions, sprays, samples, results, harvest, and what is due."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from assistant.reports.axis import Days, day_labels, days_over, month_lines
from assistant.reports.drawing import (
    ACCENT,
    ACTION_INK,
    ACTION_LETTER,
    INK,
    PAPER,
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
from assistant.reports.season import FieldSeason, Season
from assistant.reports.visits import Visit
from assistant.reports.wording import ACTIONS, action_words, clipped, counted, short_day

_WIDTH, _LEFT, _RIGHT = 720, 150, 696
_ROW = 40
_SQUARE = 15


def strips(season: Season, fields: Sequence[FieldSeason] | None = None) -> Picture:
    """One strip for each field (or for those given), all on one line of days."""
    shown = [f for f in (fields if fields is not None else season.fields) if f.visits]
    title = f"Visits and decisions, {season.asked.year}"
    scale = days_over(_days(shown, season), _LEFT + 14, _RIGHT - 14)
    if scale is None:
        note = "Nothing was noted."
        return Picture(
            width=_WIDTH, height=44, title=title, told=note, marks=(Words(10, 26, note, 12, SOFT),)
        )
    keys, top = legend(_keys(shown, season), 10, 16, _WIDTH - 20)
    bottom = top + 14 + _ROW * len(shown)
    marks: list[Mark] = [*keys, *month_lines(scale, top, bottom)]
    for row, field in enumerate(shown):
        marks += _strip(field, season, scale, top + 14 + _ROW * row + _ROW / 2)
    if len(shown) == 1:
        marks += day_labels(scale, [v.on for v in shown[0].visits], bottom + 18)
    height = bottom + (30 if len(shown) == 1 else 8)
    return Picture(width=_WIDTH, height=height, title=title, told=_told(shown), marks=tuple(marks))


def _days(fields: Sequence[FieldSeason], season: Season) -> Iterator[date]:
    for field in fields:
        yield from (v.on for v in field.visits)
        if len(fields) == 1:
            yield from (d.next_on for d in field.waiting if d.next_on.year == season.asked.year)


def _keys(fields: Sequence[FieldSeason], season: Season) -> list[tuple[Dot | None, str]]:
    used = {v.row.action for f in fields for v in f.visits}
    keys: list[tuple[Dot | None, str]] = [
        (Dot(0, 0, 5, ACTION_INK[a], "square"), f"{ACTION_LETTER[a]} {words}")
        for a, words in ACTIONS.items()
        if a in used
    ]
    visits = [v for f in fields for v in f.visits]
    if any(not v.row.action and not v.done for v in visits):
        keys.append((Dot(0, 0, 3, SOFT), "note without a decision"))
    if any(v.done for v in visits):
        keys.append((Dot(0, 0, 5, ACCENT, "diamond"), "done"))
    if any(f.waiting for f in fields):
        keys.append((Dot(0, 0, 5, ACCENT, "round", hollow=True), f"due (as of {short_day(season.asked.on)})"))
    return keys


def _strip(field: FieldSeason, season: Season, scale: Days, y: float) -> Iterator[Mark]:
    yield Words(10, y + 4, clipped(field.title, 22), 12, INK, bold=True)
    yield Line(_LEFT, y, _RIGHT, y, RULE, 2)
    free: float = 0
    for visit in field.visits:
        x = max(scale.x(visit.on), free)
        free = x + _SQUARE + 2
        yield from _visit(visit, x, y)
    for due in field.waiting:
        if scale.first <= due.next_on <= scale.last:
            yield Dot(scale.x(due.next_on), y, 6, ACCENT, "round", hollow=True)


def _visit(visit: Visit, x: float, y: float) -> Iterator[Mark]:
    action, happened = visit.row.action, visit.done
    if action:
        ink = ACTION_INK.get(action, SOFT)
        yield Box(x - _SQUARE / 2, y - _SQUARE / 2, _SQUARE, _SQUARE, ink)
        yield Words(x, y + 4, ACTION_LETTER.get(action, "-"), 11, PAPER, "middle", bold=True)
    elif not happened:
        yield Dot(x, y, 3, SOFT)
    if happened:
        yield Dot(x, y - (14 if action else 0), 5, ACCENT, "diamond")
        yield Words(x, y - (11 if not action else 20), happened, 9, ACCENT, "middle")
    if visit.row.stage:
        yield Words(x, y + 18, visit.row.stage, 9, SOFT, "middle")


def _told(fields: Sequence[FieldSeason]) -> str:
    parts = []
    for field in fields:
        decisions = [f"{short_day(v.on)} {action_words(v.row.action)}" for v in field.visits if v.row.action]
        parts.append(f"{field.title}: {', '.join(decisions) or counted(len(field.visits), 'note')}")
    return "; ".join(parts) + "."
