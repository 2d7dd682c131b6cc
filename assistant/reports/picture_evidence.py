"""Pictures of how much is known: hybrids side by side, and field calls against the laboratory."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.reports.axis import Series
from assistant.reports.calls import Call, lab_calls
from assistant.reports.drawing import INK, RULE, SOFT, Dot, Line, Mark, Picture, Words
from assistant.reports.season import Season
from assistant.reports.watch import Watched, confidence, watch_list
from assistant.reports.wording import STANDINGS, clipped, counted, short_day

_WIDTH = 720
_ROW = 24
_LEFT, _RIGHT = 310, 520  # the scale from 0 to 100 %
_VERDICTS = {True: "agree", False: "differ", None: "no call before"}
_VERDICT_INK = {True: "#3a7034", False: "#a3241c", None: SOFT}


def hybrids(season: Season, series: Series) -> Picture:
    """Plants with each problem on each hybrid: the share counted, and its Wilson interval as a bar."""
    watched = watch_list(season)
    if not watched:
        return _nothing("Hybrids side by side", "No note names a hybrid on which something was found.")
    bottom = 34 + _ROW * len(watched)
    marks: list[Mark] = [
        Words(10, 16, "hybrid, told reaction", 11, SOFT), Words(_LEFT - 10, 16, "problem", 11, SOFT, "end"),
        Words(_RIGHT + 20, 16, "plants counted; fields", 11, SOFT),
    ]  # fmt: skip
    for percent in range(0, 101, 25):
        x = _at(percent)
        marks += [Line(x, 22, x, bottom, RULE), Words(x, 16, f"{percent}", 10, SOFT, "middle")]
    last = ""
    for place, line in enumerate(watched):
        marks += _watched(line, 34 + _ROW * place + _ROW / 2 - 4, season, series, first=line.hybrid != last)
        last = line.hybrid
    told = "; ".join(f"{w.hybrid}, {season.name(w.disorder)}: {w.rests_on}" for w in watched) + "."
    scale = f"percent of plants, with the {100 * confidence():.0f} % Wilson interval"
    marks.append(Words(_RIGHT, bottom + 14, scale, 10, SOFT, "end"))
    return Picture(
        width=_WIDTH, height=bottom + 22, title="Hybrids side by side", told=told, marks=tuple(marks)
    )


def _watched(line: Watched, y: float, season: Season, series: Series, *, first: bool) -> list[Mark]:
    ink, shape = series[line.disorder]
    marks: list[Mark] = []
    if first:
        marks.append(Line(10, y - _ROW / 2, _WIDTH - 10, y - _ROW / 2, RULE))
    told = f" ({line.told})" if line.told else ""
    marks.append(Words(10, y + 4, clipped(f"{line.hybrid}{told}", 30), 11, INK, bold=first))
    marks.append(Words(_LEFT - 10, y + 4, clipped(season.name(line.disorder), 22), 11, INK, "end"))
    fields = f"{line.fields} of {counted(line.grown, 'field')}"
    if line.count is None or line.interval is None:
        return [*marks, Words(_RIGHT + 20, y + 4, f"not counted; {fields}", 11, SOFT)]
    low, high = map(_at, line.interval)
    share = 100 * line.count.affected / line.count.checked
    marks += [
        Line(low, y, high, y, ink, 3),
        Line(low, y - 4, low, y + 4, ink, 2),
        Line(high, y - 4, high, y + 4, ink, 2),
    ]
    marks.append(Dot(_at(share), y, 5, ink, shape))
    return [
        *marks,
        Words(_RIGHT + 20, y + 4, f"{line.count.affected} of {line.count.checked}; {fields}", 11, INK),
    ]


def _at(percent: float) -> float:
    return _LEFT + (_RIGHT - _LEFT) * percent / 100


def laboratory(season: Season) -> Picture:
    """Each laboratory result beside the last field call before it."""
    calls = lab_calls(season)
    if not calls:
        return _nothing("Field calls and the laboratory", "No laboratory result is in this season.")
    heads = ((10, "field"), (200, "called in the field"), (440, "laboratory"), (640, "together"))
    marks: list[Mark] = [Words(x, 16, words, 11, SOFT) for x, words in heads]
    for place, call in enumerate(calls):
        marks += _call(call, 24 + 32 * place, season)
    return Picture(
        width=_WIDTH, height=24 + 32 * len(calls) + 6, title="Field calls and the laboratory",
        told=_told(calls, season), marks=tuple(marks),
    )  # fmt: skip


def _call(call: Call, top: float, season: Season) -> list[Mark]:
    called = clipped(season.name(call.called), 30) if call.called else "nothing called"
    when = f"{short_day(call.called_on)}, {STANDINGS.get(call.standing or '', '')}" if call.called_on else ""
    said = clipped(season.name(call.disorder), 28) + ("" if call.found else ": not found")
    agrees = call.agrees
    mark = Dot(
        648, top + 11, 5, _VERDICT_INK[agrees], "round" if agrees else "diamond", hollow=agrees is None
    )
    return [
        Line(10, top, _WIDTH - 10, top, RULE),
        Words(10, top + 15, clipped(call.field, 26), 12, INK, bold=True),
        Words(200, top + 14, called, 12, INK), Words(200, top + 27, when, 10, SOFT),
        Words(440, top + 14, said, 12, INK), Words(440, top + 27, short_day(call.on), 10, SOFT),
        mark, Words(658, top + 15, _VERDICTS[agrees], 11, _VERDICT_INK[agrees]),
    ]  # fmt: skip


def _told(calls: Sequence[Call], season: Season) -> str:
    judged = [c for c in calls if c.agrees is not None]
    right = sum(bool(c.agrees) for c in judged)
    detail = "; ".join(f"{c.field}: lab {season.name(c.disorder)}, {_VERDICTS[c.agrees]}" for c in calls)
    return f"{right} of {counted(len(judged), 'field call')} agreed with the laboratory. {detail}."


def _nothing(title: str, note: str) -> Picture:
    return Picture(width=_WIDTH, height=44, title=title, told=note, marks=(Words(10, 26, note, 12, SOFT),))
