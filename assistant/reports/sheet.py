"""The season as an XLSX workbook.  The one door to XlsxWriter."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]

from assistant.reports.records import due_record, field_sum
from assistant.reports.season import Season
from assistant.reports.visits import Visit
from assistant.reports.watch import watch_list
from assistant.reports.wording import action_words, clean, kind_words, standing_words

Cell = str | date | float | int | None

#: What one cell holds at most, by the file format.
_MOST_CHARACTERS = 32_767
_CUT = " ... (cut here: the cell is full; the JSON form has it all)"
#: The first day that the format can count from.
_FIRST_DAY = date(1900, 3, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """A sheet: its name, its columns with their widths in characters, its rows."""

    name: str
    columns: tuple[tuple[str, int], ...]
    rows: Iterator[Sequence[Cell]]


def workbook(season: Season) -> bytes:
    """Sheets notes, decisions, fields, due and hybrids; dates are dates, no cell is a formula."""
    out = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(out, options)
    made = datetime.combine(season.asked.on, datetime.min.time(), tzinfo=UTC).replace(tzinfo=None)
    book.set_properties({"title": clean(season.asked.title), "created": made})
    looks = {
        "head": book.add_format(
            {"bold": True, "bg_color": "#E9EDE2", "bottom": 1, "valign": "top", "text_wrap": True}
        ),
        "text": book.add_format({"valign": "top", "text_wrap": True}),
        "day": book.add_format({"valign": "top", "num_format": "yyyy-mm-dd", "align": "left"}),
    }
    for sheet in (_notes(season), _decisions(season), _fields(season), _due(season), _hybrids(season)):
        _fill(book.add_worksheet(sheet.name), sheet, looks, clean(season.asked.title))
    book.close()
    return out.getvalue()


def _fill(page: Any, sheet: _Sheet, looks: dict[str, Any], title: str) -> None:
    for column, (head, width) in enumerate(sheet.columns):
        page.set_column(column, column, width)
        page.write_string(0, column, head, looks["head"])
    last = 0
    for last, row in enumerate(sheet.rows, start=1):
        for column, cell in enumerate(row):
            _write(page, last, column, cell, looks)
    page.freeze_panes(1, 2)
    page.autofilter(0, 0, last, len(sheet.columns) - 1)
    _for_paper(page, sheet.name, title)


def _for_paper(page: Any, name: str, title: str) -> None:
    page.set_landscape()
    page.set_paper(1)  # US Letter
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    page.set_footer(f"&L{title.replace('&', '&&')[:180]}: {name}&RPage &P of &N")


def _write(page: Any, row: int, column: int, cell: Cell, looks: dict[str, Any]) -> None:
    if isinstance(cell, date) and cell >= _FIRST_DAY:
        page.write_datetime(row, column, datetime.combine(cell, datetime.min.time()), looks["day"])
    elif isinstance(cell, int | float):
        page.write_number(row, column, cell, looks["text"])
    elif cell is not None and str(cell):
        page.write_string(row, column, _fitting(str(cell)), looks["text"])


def _fitting(text: str) -> str:
    flat = clean(text)
    return flat if len(flat) <= _MOST_CHARACTERS else flat[: _MOST_CHARACTERS - len(_CUT)] + _CUT


def _notes(season: Season) -> _Sheet:
    heads = (
        ("date", 11), ("field", 20), ("hybrid", 16), ("kind", 10), ("stage", 7), ("found", 24),
        ("how sure", 20), ("note", 80), ("author", 12), ("case", 22),
    )  # fmt: skip

    def rows() -> Iterator[Sequence[Cell]]:
        for visit, hybrids in _visits(season):
            row = visit.row
            yield (
                row.on, row.field, hybrids, kind_words(row.kind), row.stage, season.name(row.found),
                standing_words(row.standing), row.text, row.author, row.case_id,
            )  # fmt: skip

    return _Sheet(name="notes", columns=heads, rows=rows())


def _decisions(season: Season) -> _Sheet:
    heads = (
        ("date", 11), ("field", 20), ("stage", 7), ("found", 24), ("how sure", 20), ("decision", 13),
        ("spray by", 11), ("look again", 11), ("why", 60), ("look for", 40), ("mind", 60),
    )  # fmt: skip

    def rows() -> Iterator[Sequence[Cell]]:
        for visit, _ in _visits(season):
            row = visit.row
            if row.action:
                yield (
                    row.on, row.field, row.stage, season.name(row.found), standing_words(row.standing),
                    action_words(row.action), row.spray_by, row.rescout_on, " ".join(visit.because[:3]),
                    visit.look_for, " ".join(visit.cautions),
                )  # fmt: skip

    return _Sheet(name="decisions", columns=heads, rows=rows())


def _visits(season: Season) -> Iterator[tuple[Visit, str]]:
    grown = {field.name: "; ".join(field.hybrids) for field in season.fields}
    return ((visit, grown.get(visit.row.field, "")) for visit in season.visits)


def _fields(season: Season) -> _Sheet:
    heads = (
        ("field", 20), ("hybrid", 20), ("first", 11), ("last", 11), ("lines", 7), ("last stage", 10),
        ("last found", 24), ("how sure", 20), ("last decision", 13), ("harvested", 11), ("latitude", 12),
        ("longitude", 12), ("position fault", 24),
    )  # fmt: skip

    def rows() -> Iterator[Sequence[Cell]]:
        for field in season.fields:
            total, place = field_sum(field), field.place
            yield (
                field.title, "; ".join(field.hybrids), total.first, total.last, total.lines, total.stage,
                season.name(total.found), standing_words(total.standing), action_words(total.decision),
                date.fromisoformat(total.harvested_on) if total.harvested_on else None,
                place.lat if place else None, place.lon if place else None, place.fault if place else None,
            )  # fmt: skip

    return _Sheet(name="fields", columns=heads, rows=rows())


def _due(season: Season) -> _Sheet:
    heads = (
        ("next", 11), ("late", 6), ("field", 20), ("last useful spray day", 12), ("look again", 11),
        ("decision", 13), ("found", 24), ("how sure", 20), ("stage", 7), ("noted", 11), ("why", 60),
    )  # fmt: skip

    def rows() -> Iterator[Sequence[Cell]]:
        for row in season.due:
            late = "late" if due_record(row, season.asked.on)["late"] else ""
            yield (
                row.next_on, late, row.field or row.case_id, row.spray_by, row.rescout_on,
                action_words(row.action), season.name(row.lead), standing_words(row.standing), row.stage,
                row.noted_on, season.reason(row),
            )  # fmt: skip

    return _Sheet(name="due", columns=heads, rows=rows())


def _hybrids(season: Season) -> _Sheet:
    heads = (
        ("hybrid", 20), ("problem", 26), ("told reaction", 16), ("how sure", 20), ("fields with it", 9),
        ("fields", 8), ("plants with it", 9), ("plants looked at", 9), ("low %", 8), ("high %", 8),
        ("rests on", 60),
    )  # fmt: skip

    def rows() -> Iterator[Sequence[Cell]]:
        for line in watch_list(season):
            low, high = line.interval or (None, None)
            yield (
                line.hybrid, season.name(line.disorder), line.told or "not told", standing_words(line.best),
                line.fields, line.grown, line.count.affected if line.count else None,
                line.count.checked if line.count else None, low if low is None else round(low, 1),
                high if high is None else round(high, 1),
                line.rests_on,
            )  # fmt: skip

    return _Sheet(name="hybrids", columns=heads, rows=rows())
