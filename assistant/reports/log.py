"""The season log, a field's history and what is due, as plain lines made of log rows alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta

from assistant.casebook.rows import DueRow, LogRow
from assistant.reports.table import COLUMNS, cells, csv_line, literal, markdown_rows
from assistant.reports.wording import action_words, clean, day, decided, found, kind_words, spoken

__all__ = ["clean", "decided", "due_text", "found", "history_text", "season_csv", "season_markdown"]

_WEEK = timedelta(days=7)


def season_csv(rows: Sequence[LogRow]) -> str:
    """The log as CSV without hybrids, which rows alone do not know; :mod:`export` writes the whole."""
    return csv_line(COLUMNS) + "".join(csv_line(cells(row)) for row in rows)


def season_markdown(rows: Sequence[LogRow], title: str) -> str:
    """The log as one Markdown page, a section a field."""
    lines = [f"# {literal(title)}", ""]
    for field in sorted({r.field or "" for r in rows}):
        lines += [f"## {literal(field) or 'No field named'}", ""]
        lines += [*markdown_rows(r for r in rows if (r.field or "") == field), ""]
    return "\n".join(lines)


def history_text(rows: Sequence[LogRow], field: str) -> str:
    """A field's history as a person reads it, oldest first."""
    return "\n".join([clean(field), *(line for row in rows for line in _told(row))])


def _told(row: LogRow) -> Iterator[str]:
    kind = "" if row.kind == "note" else f"{kind_words(row.kind)}  "
    yield f"  {row.on.isoformat()}  {row.stage or '--':4} {kind}{found(row)}".rstrip()
    if row.action:
        yield f"      {decided(row)}"
    if row.text:
        yield f'      "{clean(row.text)}"'


def due_text(rows: Sequence[DueRow], on: date, why: Callable[[DueRow], str] | None = None) -> str:
    """What to look at today, this week and later, each in the order of the last useful spray day."""
    if not rows:
        return f"Nothing is due as of {on.isoformat()}."
    lines = [f"Due as of {day(on)}, {on.year}:"]
    for head, group in _groups(rows, on):
        if group:
            lines.append(f"{head}:")
        for row in group:
            lines.append(f"  {_due(row, on)}")
            if why is not None and (reason := why(row)):
                lines.append(f"      {clean(reason)}")
    return "\n".join(lines)


def _groups(rows: Sequence[DueRow], on: date) -> Iterator[tuple[str, list[DueRow]]]:
    yield "Today", [r for r in rows if r.next_on <= on]
    yield f"This week, to {day(on + _WEEK)}", [r for r in rows if on < r.next_on <= on + _WEEK]
    yield "Later", [r for r in rows if r.next_on > on + _WEEK]


def _due(row: DueRow, on: date) -> str:
    when = [f"look again {day(row.rescout_on)}"] if row.rescout_on else []
    when += [f"last useful spray day {day(row.spray_by)}"] if row.spray_by else []
    late = " (late)" if row.next_on < on else ""
    what = spoken(row.lead) if row.lead else "nothing found"
    stage = row.stage or "stage unknown"
    name, decision = clean(row.field or row.case_id), action_words(row.action)
    return f"{name}: {'; '.join(when)}{late} | {what}, {stage}, {decision}"
