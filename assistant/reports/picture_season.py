"""Pictures of a whole season: first finds by date, and the decisions week by week."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from assistant.reports.axis import Series, days_over, month_lines
from assistant.reports.drawing import (
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
    text_width,
)
from assistant.reports.season import Season
from assistant.reports.visits import Visit
from assistant.reports.wording import ACTIONS, clipped, counted, short_day

_WIDTH, _LEFT, _RIGHT = 720, 190, 690
_ROW = 22
_TALLEST = 150
_SQUARE = 16
_WEEK = timedelta(days=7)


def first_finds(season: Season, series: Series) -> Picture:
    """For each problem and field the day on which it was first found there, earliest problem first."""
    firsts = _firsts(season)
    rows = [
        (d, f, v)
        for d in series
        for f, v in sorted(firsts.get(d, {}).items(), key=lambda kv: (kv[1].on, kv[0]))
    ]
    scale = days_over((v.on for v in season.visits), _LEFT + 10, _RIGHT - 150)
    if not rows or scale is None:
        return _nothing("First finds", "Nothing was found on the plants.")
    bottom = 22 + _ROW * len(rows)
    marks: list[Mark] = month_lines(scale, 4, bottom)
    last = ""
    for place, (disorder, field, visit) in enumerate(rows):
        y = 22 + _ROW * place + _ROW / 2
        if disorder != last:
            marks.append(Line(10, y - _ROW / 2, _RIGHT, y - _ROW / 2, RULE))
            marks.append(Words(10, y + 4, clipped(season.name(disorder), 30), 12, INK, bold=True))
        last = disorder
        ink, shape = series[disorder]
        marks.append(Dot(scale.x(visit.on), y, 5, ink, shape))
        marks.append(Words(scale.x(visit.on) + 11, y + 4, _first_words(field, visit), 11, INK))
    told = "; ".join(f"{season.name(d)} in {f} on {short_day(v.on)}" for d, f, v in rows) + "."
    return Picture(width=_WIDTH, height=bottom + 6, title="First finds", told=told, marks=tuple(marks))


def _firsts(season: Season) -> Mapping[str, Mapping[str, Visit]]:
    firsts: dict[str, dict[str, Visit]] = {}
    for visit in season.visits:
        for finding in visit.finds:
            firsts.setdefault(finding.disorder, {}).setdefault(visit.row.field or "no field named", visit)
    return firsts


def _first_words(field: str, visit: Visit) -> str:
    stage = f", {visit.row.stage}" if visit.row.stage else ""
    return f"{clipped(field, 22)}, {short_day(visit.on)}{stage}"


def decisions(season: Season) -> Picture:
    """One square for each decision, piled up by weeks."""
    made = [v for v in season.visits if v.row.action]
    if not made:
        return _nothing("Decisions by week", "Nothing was decided.")
    counts = Counter(v.row.action or "" for v in made)
    keys, top = legend(_keys(counts), 10, 16, _WIDTH - 20)
    piles = _piles(made)
    weeks = _weeks(min(piles), max(piles))
    tallest = max(map(len, piles.values()))
    step = min(_SQUARE + 2, _TALLEST / tallest)
    width = min(40.0, (_RIGHT - 20) / len(weeks))
    bottom = top + step * tallest + 6
    marks: list[Mark] = [*keys, Line(14, bottom, _RIGHT, bottom, RULE)]
    labelled = float("-inf")
    for place, week in enumerate(weeks):
        x = 20 + width * (place + 0.5)
        marks += _pile(piles.get(week, []), x, bottom, step, width)
        if x - labelled >= text_width("week of Jul 26", 10) / 2:
            marks.append(Words(x, bottom + 14, short_day(week), 10, SOFT, "middle"))
            labelled = x
    told = ", ".join(f"{words} {counts[a]}" for a, words in ACTIONS.items() if counts[a]) + "."
    height = bottom + 24
    return Picture(width=_WIDTH, height=height, title="Decisions by week", told=told, marks=tuple(marks))


def _keys(counts: Mapping[str, int]) -> list[tuple[Dot | None, str]]:
    return [
        (Dot(0, 0, 5, ACTION_INK[a], "square"), f"{ACTION_LETTER[a]} {words}: {counts[a]}")
        for a, words in ACTIONS.items()
        if counts.get(a)
    ]


def _piles(made: list[Visit]) -> dict[date, list[str]]:
    order = list(ACTIONS)
    piles: dict[date, list[str]] = {}
    for visit in made:
        piles.setdefault(visit.on - timedelta(days=visit.on.weekday()), []).append(visit.row.action or "")
    return {
        week: sorted(pile, key=lambda a: order.index(a) if a in order else len(order))
        for week, pile in piles.items()
    }


def _weeks(first: date, last: date) -> list[date]:
    return [first + _WEEK * n for n in range((last - first).days // 7 + 1)]


def _pile(pile: list[str], x: float, bottom: float, step: float, width: float) -> Iterator[Mark]:
    side, tall = min(width - 2, _SQUARE), step * 0.9
    for place, action in enumerate(pile):
        y = bottom - step * (place + 1)
        yield Box(x - side / 2, y, side, tall, ACTION_INK.get(action, SOFT))
        if min(side, tall) >= 11:
            yield Words(x, y + tall / 2 + 4, ACTION_LETTER.get(action, "-"), 11, PAPER, "middle", bold=True)


def _nothing(title: str, note: str) -> Picture:
    return Picture(width=_WIDTH, height=44, title=title, told=note, marks=(Words(10, 26, note, 12, SOFT),))


def season_told(season: Season) -> str:
    """The season in one line of counts."""
    visits = season.visits
    found = {f.disorder for v in visits for f in v.finds}
    decided = sum(v.row.action is not None for v in visits)
    named = sum(f.name is not None for f in season.fields)
    parts = (
        counted(named, "field"),
        counted(len(visits), "line"),
        counted(decided, "decision"),
        counted(len(found), "problem"),
    )
    return ", ".join(parts)
