"""The season as one HTML page: what is due, the pictures, every field with its history, and a filter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.casebook.rows import DueRow
from assistant.reports.axis import Series, series_of
from assistant.reports.drawing import ACTION_INK, Picture, svg
from assistant.reports.markup import Markup, join, tag
from assistant.reports.picture_evidence import hybrids, laboratory
from assistant.reports.picture_progress import progress
from assistant.reports.picture_season import decisions, first_finds, season_told
from assistant.reports.picture_strips import strips
from assistant.reports.season import FieldSeason, Season
from assistant.reports.shell import page
from assistant.reports.visits import Visit
from assistant.reports.watch import watch_list
from assistant.reports.wording import (
    ACTIONS,
    KINDS,
    action_words,
    day,
    kind_words,
    long_day,
    sentence,
    standing_words,
)

#: Columns with the class of their width; the last one or two share what is left.
_DUE = (
    ("field", "w3"),
    ("look again", "w2"),
    ("last useful spray day", "w2"),
    ("found", "w4"),
    ("decided", "w2"),
    ("why", ""),
)
_WATCH = (
    ("hybrid", "w4"),
    ("problem", "w4"),
    ("told reaction", "w3"),
    ("how sure", "w3"),
    ("what it rests on", ""),
)
_LINES = (("date", "w2"), ("stage", "w1"), ("found", "w3"), ("decided", ""), ("note", ""))


def season_page(season: Season) -> str:
    """The whole page; it needs no network, and without its script it shows everything."""
    series = series_of(season)
    body = join(
        [
            tag("h1", season.asked.title),
            tag("p", f"{season_told(season)}. As of {long_day(season.asked.on)}.", class_="soft"),
            _due(season),
            _pictures(season, series),
            _watch(season),
            _filter(season),
            *(_field(place, field, season, series) for place, field in enumerate(season.fields)),
        ],
        "\n",
    )
    return page(season.asked.title, body, script="filter.js")


def figure(picture: Picture) -> Markup:
    """A picture with its title above it and its sentence in it."""
    return tag("figure", tag("figcaption", picture.title), svg(picture))


def _table(heads: Iterable[tuple[str, str]], rows: Iterable[Markup]) -> Markup:
    head = tag("thead", tag("tr", [tag("th", words, class_=width or None) for words, width in heads]))
    return tag("table", head, tag("tbody", rows), class_="lines")


def chip(action: str | None) -> Markup:
    """A decision in its colour, with its words."""
    known = action if action in ACTION_INK else "plain"
    return tag("span", action_words(action), class_=f"chip {known}") if action else Markup("")


# ----------------------------------------------------------------------------- what is due


def _due(season: Season) -> Markup:
    if not season.due:
        return tag("p", f"Nothing is due as of {long_day(season.asked.on)}.")
    table = _table(_DUE, [_due_row(row, season) for row in season.due])
    return join([tag("h2", f"Due as of {day(season.asked.on)}"), table])


def _due_row(row: DueRow, season: Season) -> Markup:
    late = tag("span", " late", class_="late") if row.next_on < season.asked.on else ""
    found = f"{season.name(row.lead)}, {standing_words(row.standing)}" if row.lead else "nothing found"
    return tag(
        "tr",
        tag("td", tag("strong", row.field or row.case_id)),
        tag("td", day(row.rescout_on) if row.rescout_on else "", late),
        tag("td", f"by {day(row.spray_by)}" if row.spray_by else ""),
        tag("td", f"{found}{f', {row.stage}' if row.stage else ''}"),
        tag("td", chip(row.action)),
        tag("td", season.reason(row), class_="more"),
    )


# ----------------------------------------------------------------------------- the season as a whole


def _pictures(season: Season, series: Series) -> Markup:
    drawn = [strips(season), first_finds(season, series), decisions(season), laboratory(season)]
    return join([tag("h2", "The season in pictures"), *map(figure, drawn)])


def _watch(season: Season) -> Markup:
    lines = watch_list(season)
    if not lines:
        return Markup("")
    rows = [
        tag(
            "tr",
            tag("td", tag("strong", line.hybrid)),
            tag("td", season.name(line.disorder)),
            tag("td", line.told or "not told"),
            tag("td", standing_words(line.best)),
            tag("td", line.rests_on),
        )
        for line in lines
    ]
    table = _table(_WATCH, rows)
    caution = "Disease comes in patches, so a count says less than its interval makes it look."
    drawn = figure(hybrids(season, series_of(season)))
    return join([tag("h2", "Hybrids to watch"), drawn, table, tag("p", caution, class_="soft")])


# ----------------------------------------------------------------------------- the filter


def _filter(season: Season) -> Markup:
    found = sorted({f.disorder for v in season.visits for f in v.finds}, key=season.name)
    kinds = [kind for kind in KINDS if any(v.row.kind == kind for v in season.visits)]
    used = [a for a in ACTIONS if any(v.row.action == a for v in season.visits)]
    return tag(
        "form",
        tag("label", "words", tag("input", id="words", type="search", autocomplete="off")),
        _choice("field", ((str(place), f.title) for place, f in enumerate(season.fields))),
        _choice("found", ((d, season.name(d)) for d in found)),
        _choice("action", ((a, action_words(a)) for a in used), label="decision"),
        _choice("kind", ((k, kind_words(k)) for k in kinds)),
        tag("button", "show all", type="reset"),
        tag("output", id="left"),
        id="filter", class_="filter", hidden="",
    )  # fmt: skip


def _choice(name: str, choices: Iterable[tuple[str, str]], label: str | None = None) -> Markup:
    options = [Markup('<option value="">any</option>')]
    options += [tag("option", words, value=value) for value, words in choices]
    return tag("label", label or name, tag("select", options, id=name))


# ----------------------------------------------------------------------------- one field


def _field(place: int, field: FieldSeason, season: Season, series: Series) -> Markup:
    lines = [_line(place, visit, season) for visit in field.visits]
    return tag(
        "section",
        tag("h2", field.title),
        tag("p", _about(field), class_="soft"),
        _open(field),
        figure(progress(field, season, series)),
        _table(_LINES, lines),
        data_section=str(place),
    )


def _about(field: FieldSeason) -> str:
    parts = [f"Hybrid {', '.join(field.hybrids)}"] if field.hybrids else []
    if field.place and field.place.lat is not None:
        parts.append(f"Position {field.place.lat:.5f}, {field.place.lon:.5f}")
    if field.place and field.place.fault:
        parts.append(f"Position not usable: {field.place.fault}")
    return ". ".join([*parts, ""]).strip()


def _open(field: FieldSeason) -> Markup:
    if not (field.open_question and field.waiting):
        return Markup("")
    return tag("p", tag("strong", "Open question: "), field.open_question, class_="open")


def _line(place: int, visit: Visit, season: Season) -> Markup:
    row = visit.row
    return tag(
        "tr",
        tag("td", day(row.on), class_="day"),
        tag("td", row.stage or "", class_="stage"),
        tag("td", list(_found(visit, season))),
        tag("td", list(_decided(visit))),
        tag("td", row.text, class_="note"),
        data_field=str(place),
        data_found=" ".join(f.disorder for f in visit.finds) or "-",
        data_action=row.action or "-",
        data_kind=row.kind,
    )


def _found(visit: Visit, season: Season) -> Iterator[str]:
    if visit.label:
        yield tag("strong", visit.label)
    for finding in visit.findings:
        yield tag(
            "div", season.name(finding.disorder), tag("div", standing_words(finding.standing), class_="more")
        )
    if visit.row.action and not visit.findings:
        yield tag("span", "nothing found", class_="more")


def _decided(visit: Visit) -> Iterator[str]:
    row = visit.row
    yield chip(row.action)
    if row.spray_by:
        yield tag("div", f"last useful spray day {day(row.spray_by)}")
    if row.rescout_on:
        yield tag("div", f"look again {day(row.rescout_on)}")
    for reason in visit.because[:2]:
        yield tag("div", sentence(reason), class_="more")
