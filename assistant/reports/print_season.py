"""The season as a PDF that prints well: what is due, the pictures, then every field with its lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.reports.axis import Series, series_of
from assistant.reports.paper import Column, Paper
from assistant.reports.picture_evidence import hybrids, laboratory
from assistant.reports.picture_progress import progress
from assistant.reports.picture_season import decisions, first_finds, season_told
from assistant.reports.picture_strips import strips
from assistant.reports.season import FieldSeason, Season
from assistant.reports.visits import Visit
from assistant.reports.watch import watch_list
from assistant.reports.wording import (
    action_words,
    day,
    long_day,
    sentence,
    short_day,
    standing_words,
)

_DUE = (
    Column(head="field", share=20), Column(head="look again", share=12), Column(head="spray by", share=12),
    Column(head="found", share=24), Column(head="decided, because", share=40),
)  # fmt: skip
_LINES = (
    Column(head="date", share=8), Column(head="stage", share=7), Column(head="found", share=20),
    Column(head="decided", share=32), Column(head="note", share=45),
)  # fmt: skip
_WATCH = (
    Column(head="hybrid", share=20), Column(head="problem", share=24), Column(head="told", share=16),
    Column(head="how sure", share=18), Column(head="what it rests on", share=44),
)  # fmt: skip


def season_pdf(season: Season) -> bytes:
    """The document; the same bytes for the same season."""
    series = series_of(season)
    as_of = f"as of {long_day(season.asked.on)}"
    with Paper(season.asked.title, f"{season.asked.title}, {as_of}", season.asked.on) as paper:
        paper.title(season.asked.title, f"{season_told(season)}; {as_of}")
        _due(paper, season)
        _pictures(paper, season, series)
        _watch(paper, season, series)
        for field in season.fields:
            _field(paper, field, season, series)
        return paper.data()


def _due(paper: Paper, season: Season) -> None:
    if not season.due:
        paper.text("Nothing is due.")
        return
    paper.small_heading("Due, most pressing first")
    paper.table(_DUE, _due_rows(season))


def _due_rows(season: Season) -> Iterator[Sequence[str]]:
    for row in season.due:
        late = " (late)" if row.next_on < season.asked.on else ""
        found = f"{season.name(row.lead)}, {standing_words(row.standing)}" if row.lead else "nothing found"
        why = f"{action_words(row.action)}. {season.reason(row)}" if row.action else season.reason(row)
        yield (
            row.field or row.case_id, day(row.rescout_on) + late if row.rescout_on else "",
            day(row.spray_by) if row.spray_by else "", f"{found}{f', {row.stage}' if row.stage else ''}",
            sentence(why),
        )  # fmt: skip


def _pictures(paper: Paper, season: Season, series: Series) -> None:
    for picture in (strips(season), first_finds(season, series), decisions(season), laboratory(season)):
        paper.picture(picture)


def _watch(paper: Paper, season: Season, series: Series) -> None:
    lines = watch_list(season)
    if not lines:
        return
    drawn = hybrids(season, series)
    paper.heading("Hybrids to watch", room=paper.height_of(drawn) + 20)
    paper.picture(drawn, titled=False)
    rows = [
        (w.hybrid, season.name(w.disorder), w.told or "not told", standing_words(w.best), w.rests_on)
        for w in lines
    ]
    paper.table(_WATCH, rows)
    paper.text(
        "Disease comes in patches, so a count says less than its interval makes it look.", size=8.5, soft=True
    )


def _field(paper: Paper, field: FieldSeason, season: Season, series: Series) -> None:
    paper.heading(field.title, room=110)
    if field.hybrids:
        paper.text(f"Hybrid {', '.join(field.hybrids)}", size=9, soft=True)
    if field.open_question and field.waiting:
        paper.text(f"Open question: {field.open_question}", bold=True)
    paper.picture(progress(field, season, series))
    paper.table(_LINES, (_line(visit, season) for visit in field.visits))


def _line(visit: Visit, season: Season) -> Sequence[str]:
    row = visit.row
    found = [visit.label] if visit.label else []
    found += [f"{season.name(f.disorder)}, {standing_words(f.standing)}" for f in visit.findings]
    if row.action and not visit.findings:
        found.append("nothing found")
    return short_day(row.on), row.stage or "", "; ".join(found), _decided(visit), row.text


def _decided(visit: Visit) -> str:
    row = visit.row
    if not row.action:
        return ""
    dates = [f"last useful spray day {short_day(row.spray_by)}"] if row.spray_by else []
    dates += [f"look again {short_day(row.rescout_on)}"] if row.rescout_on else []
    head = "; ".join([action_words(row.action), *dates])
    return f"{sentence(head)} {sentence(visit.because[0])}" if visit.because else sentence(head)
