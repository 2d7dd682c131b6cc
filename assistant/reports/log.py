"""The season log and a field's history as text: CSV for a spreadsheet, Markdown, plain lines."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date

from assistant.casebook.rows import DueRow, LogRow

_COLUMNS = (
    "date",
    "field",
    "kind",
    "stage",
    "found",
    "standing",
    "decision",
    "spray_by",
    "rescout_on",
    "note",
    "author",
    "case",
)

#: A cell that begins so would be run as a formula by a spreadsheet.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def season_csv(rows: Sequence[LogRow]) -> str:
    """The log as CSV (RFC 4180 line ends); cells that a spreadsheet would run are made text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_COLUMNS)
    writer.writerows([_safe(cell) for cell in _cells(row)] for row in rows)
    return out.getvalue()


def season_markdown(rows: Sequence[LogRow], title: str) -> str:
    """The log as one Markdown page, a section a field."""
    lines = [f"# {_flat(title)}", ""]
    for field in sorted({r.field or "" for r in rows}):
        lines += [
            f"## {_flat(field) or 'No field named'}",
            "",
            "| date | stage | found | decision | note |",
            "|---|---|---|---|---|",
        ]
        for row in rows:
            if (row.field or "") == field:
                cells = (row.on.isoformat(), row.stage or "", found(row), decided(row), row.text)
                lines.append("| " + " | ".join(_flat(c) for c in cells) + " |")
        lines.append("")
    return "\n".join(lines)


def history_text(rows: Sequence[LogRow], field: str) -> str:
    """A field's history as a person reads it, oldest first."""
    lines = [field]
    for row in rows:
        lines.append(f"  {row.on.isoformat()}  {row.stage or '--':4} {found(row)}")
        if row.action:
            lines.append(f"      {decided(row)}")
        lines.append(f'      "{clean(row.text)}"')
    return "\n".join(lines)


def due_text(rows: Sequence[DueRow], on: date) -> str:
    """What to look at, in the order of the last useful spray day."""
    if not rows:
        return f"Nothing is due as of {on.isoformat()}."
    lines = [f"Due as of {on.isoformat()}:"]
    return "\n".join([*lines, *(_due_line(row, on) for row in rows)])


def _due_line(row: DueRow, on: date) -> str:
    when = [f"look again {row.rescout_on.isoformat()}"] if row.rescout_on else []
    when += [f"last useful spray day {row.spray_by.isoformat()}"] if row.spray_by else []
    late = " (late)" if row.next_on < on else ""
    what = (row.lead or "nothing found").replace("_", " ")
    action = row.action.replace("_", " ")
    return f"  {row.field or row.case_id}: {'; '.join(when)}{late} | {what}, {row.stage or 'stage unknown'}, {action}"


def found(row: LogRow) -> str:
    """What was found, and how sure."""
    if not row.found:
        return "nothing found" if row.action else ""
    return f"{row.found.replace('_', ' ')} ({(row.standing or '').replace('_', ' ')})"


def decided(row: LogRow) -> str:
    """What was decided, by when."""
    if not row.action:
        return ""
    dates = [f"by {row.spray_by.isoformat()}"] if row.spray_by and row.action == "spray" else []
    dates += [f"look again {row.rescout_on.isoformat()}"] if row.rescout_on else []
    return ", ".join([row.action.replace("_", " "), *dates])


def clean(text: str) -> str:
    """Text that cannot move a terminal's cursor."""
    return "".join(c if c.isprintable() else " " for c in text)


def _cells(row: LogRow) -> tuple[str, ...]:
    return (
        row.on.isoformat(),
        row.field or "",
        row.kind,
        row.stage or "",
        row.found or "",
        row.standing or "",
        row.action or "",
        row.spray_by.isoformat() if row.spray_by else "",
        row.rescout_on.isoformat() if row.rescout_on else "",
        row.text,
        row.author,
        row.case_id or "",
    )


def _safe(cell: str) -> str:
    flat = clean(cell)
    return f"'{flat}" if flat.startswith(_FORMULA) else flat


def _flat(text: str) -> str:
    escaped = clean(text).replace("\\", "\\\\").replace("|", "\\|")
    return escaped.replace("<", "&lt;").replace(">", "&gt;").strip()
