"""The season log as CSV for a spreadsheet and as Markdown, written line by line."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from assistant.casebook.rows import DueRow, LogRow
from assistant.reports.season import Asked, FieldSeason, Season, case_key, chosen
from assistant.reports.wording import clean, decided, found, kind_words, long_day

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

COLUMNS = (
    "date", "field", "hybrid", "kind", "stage", "found", "standing", "decision", "spray_by", "rescout_on",
    "note", "author", "case",
)  # fmt: skip

#: A cell that begins so would be run as a formula by some spreadsheet, white space before it or not.
_FORMULA = tuple("=+-@|%\uff1d\uff0b\uff0d\uff20")
#: The same within a cell, for a spreadsheet that parts cells at semicolons whatever the quotes say.
_FORMULA_INSIDE = re.compile(r"([;|])(\s*[=+\-@])")

Write = Callable[[str], object]


def write_csv(book: Casebook, asked: Asked, write: Write) -> int:
    """The log as CSV (RFC 4180, every cell quoted), one line in memory at a time."""
    rows, hybrids = chosen(book, asked)
    write(csv_line(COLUMNS))
    for row in rows:
        write(csv_line(cells(row, "; ".join(hybrids.get(case_key(row), ())))))
    return len(rows)


def csv_line(values: Sequence[str]) -> str:
    """One line; cells that a spreadsheet would run are made text."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_ALL).writerow(
        [harmless(cell) for cell in values]
    )
    return out.getvalue()


def cells(row: LogRow, hybrid: str = "") -> tuple[str, ...]:
    """A line of the log in the order of :data:`COLUMNS`."""
    return (
        row.on.isoformat(), row.field or "", hybrid, row.kind, row.stage or "", row.found or "",
        row.standing or "", row.action or "", _iso(row.spray_by), _iso(row.rescout_on), row.text, row.author,
        row.case_id or "",
    )  # fmt: skip


def harmless(cell: str) -> str:
    """The cell with an apostrophe wherever a spreadsheet would begin to calculate."""
    flat = _FORMULA_INSIDE.sub(r"\1'\2", clean(cell))
    return f"'{flat}" if flat.lstrip().startswith(_FORMULA) else flat


def markdown(season: Season) -> str:
    """The log as one Markdown page, a section a field, what is due first."""
    return "\n".join(_page(season)) + "\n"


def markdown_rows(rows: Iterable[LogRow]) -> Iterator[str]:
    """A table of lines."""
    yield from ("| date | kind | stage | found | decision | note |", "|---|---|---|---|---|---|")
    for row in rows:
        words = (
            row.on.isoformat(),
            kind_words(row.kind),
            row.stage or "",
            found(row),
            decided(row),
            row.text,
        )
        yield "| " + " | ".join(literal(word) for word in words) + " |"


def literal(text: str) -> str:
    """Text that Markdown shows as it stands: no link, no picture, no HTML, no new cell."""
    flat = clean(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return re.sub(r"([\\`*_\[\]|#~!$])", r"\\\1", flat).strip()


def _page(season: Season) -> Iterator[str]:
    yield from (f"# {literal(season.asked.title)}", "")
    if season.due:
        yield from (f"## Due as of {long_day(season.asked.on)}", "")
        yield from (f"{place}. {_due(season, row)}" for place, row in enumerate(season.due, start=1))
        yield ""
    for field in season.fields:
        yield from _section(field)


def _due(season: Season, row: DueRow) -> str:
    days = [f"look again {row.rescout_on.isoformat()}"] if row.rescout_on else []
    days += [f"last useful spray day {row.spray_by.isoformat()}"] if row.spray_by else []
    late = " (late)" if row.next_on < season.asked.on else ""
    what = season.name(row.lead) if row.lead else "nothing found"
    told = f"{literal(what)}. {literal(season.reason(row))}".rstrip()
    return f"**{literal(row.field or row.case_id)}**: {'; '.join(days)}{late}. {told}"


def _section(field: FieldSeason) -> Iterator[str]:
    yield from (f"## {literal(field.title)}", "")
    if field.hybrids:
        yield from (f"Hybrid: {literal(', '.join(field.hybrids))}", "")
    if field.open_question and field.waiting:
        yield from (f"Open question: {literal(field.open_question)}", "")
    yield from markdown_rows(visit.row for visit in field.visits)
    yield ""


def _iso(on: date | None) -> str:
    return on.isoformat() if on else ""
