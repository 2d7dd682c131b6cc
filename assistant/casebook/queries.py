"""Reading the journal: entries with their corrections, the season log, and what is due."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from sqlite_utils import Database

from assistant.casebook.cases import case_now, season_end, year_of
from assistant.casebook.fields import known_fields
from assistant.casebook.journal import entry_of
from assistant.casebook.rows import TOLD, DueRow, Entry, LogRow
from assistant.casebook.values import day

_IN_CASE = """
    AND e.uid IN (SELECT uid FROM entries WHERE case_id = :case
                  UNION SELECT entry_uid FROM moved WHERE case_id = :case
                  UNION SELECT entry_uid FROM decisions WHERE case_id = :case)
    AND (e.case_id = :case
         OR EXISTS (SELECT 1 FROM decisions d WHERE d.entry_uid = e.uid AND d.case_id = :case))
"""
_OF_FIELD = """
    AND e.uid IN (SELECT uid FROM entries WHERE field_uid = :field
                  UNION SELECT entry_uid FROM moved WHERE field_uid = :field
                  UNION SELECT entry_uid FROM decisions WHERE field_uid = :field)
    AND coalesce(d.field_uid, e.field_uid) = :field
"""

_LATEST_VISITS = """
    SELECT * FROM (
        SELECT *, row_number() OVER (PARTITION BY case_id ORDER BY about DESC, seq DESC, scene DESC) AS place
        FROM visits WHERE about BETWEEN :since AND :on
          AND NOT (field_uid IS NOT NULL AND case_id GLOB '*-[0-9][0-9][0-9][0-9]'
                   AND substr(case_id, -4) < :year))
    WHERE place = 1 AND NOT imported AND (spray_by IS NOT NULL OR rescout_on IS NOT NULL)
"""

_LOG = """
    SELECT e.*, d.case_id AS scene_case, d.field_uid AS scene_field, d.action, d.spray_by, d.rescout_on,
           d.lead, d.standing, d.stage
    FROM live_entries e LEFT JOIN decisions d ON d.entry_uid = e.uid
    WHERE {plus}e.kind IN ({kinds}) AND {plus}e.about BETWEEN :first AND :last
    {of_field}
    ORDER BY e.about, e.seq, d.scene
"""

#: Up to so many entries are asked for by name (an older SQLite takes 999 parameters).
_FEW = 500


def entries(db: Database, *, case_id: str | None = None, kind: str | None = None) -> tuple[Entry, ...]:
    """The entries that stand, by the day they speak of, then as they came, corrections in place."""
    sql = "SELECT e.* FROM live_entries e WHERE e.kind <> 'correction' AND e.kind = coalesce(:kind, e.kind)"
    if case_id is not None:
        sql += _IN_CASE
        case_id = case_now(db, case_id)
    rows = db.query(sql + " ORDER BY e.about, e.seq", {"case": case_id, "kind": kind})
    return tuple(_corrected(db, (entry_of(row) for row in list(rows))))


def entry(db: Database, uid: str) -> Entry | None:
    """One entry that stands, with its correction in place; None when there is none."""
    rows = list(db.query("SELECT * FROM live_entries WHERE uid = ? AND kind <> 'correction'", [uid]))
    return next(_corrected(db, (entry_of(row) for row in rows)), None)


def journal(db: Database) -> tuple[Entry, ...]:
    """Every entry as it was stored, withdrawn ones, withdrawals and corrections too."""
    return tuple(entry_of(row) for row in db.table("entries").rows_where(order_by="seq"))


def log(
    db: Database, *, first: date = date.min, last: date = date.max, field_uid: str | None = None
) -> tuple[LogRow, ...]:
    """What was said, found, decided and done between two days, a line for each field of each entry."""
    kinds = ", ".join(f"'{kind}'" for kind in sorted(TOLD))
    days = {"first": first.isoformat(), "last": last.isoformat(), "field": field_uid}
    of_field = _OF_FIELD if field_uid is not None else ""
    # The plus keeps SQLite from going by kind and day, where the field itself names few entries.
    plus = "+" if field_uid is not None else ""
    rows = list(db.query(_LOG.format(kinds=kinds, of_field=of_field, plus=plus), days))
    names = {field.uid: field.name for field in known_fields(db)}
    own = Entry.__dataclass_fields__
    plain = [entry_of({key: value for key, value in row.items() if key in own}) for row in rows]
    return tuple(_log_row(entry, row, names) for entry, row in zip(_corrected(db, plain), rows, strict=True))


def due(db: Database, on: date) -> tuple[DueRow, ...]:
    """The fields that wait on that day, last useful spray day first, then rescout day.

    A case waits when its latest visit by then named a day; a later visit, or the end of the
    season, closes it.  Old notes that were brought in open none.
    """
    fields = {field.uid: field for field in known_fields(db)}
    waiting = []
    # A case ends with its year at the latest, and begins after the harvest of the year before.
    days = {"since": date(on.year - 1, 1, 1).isoformat(), "on": on.isoformat(), "year": f"{on.year:04}"}
    for row in list(db.query(_LATEST_VISITS, days)):
        field, noted_on = fields.get(row["field_uid"]), date.fromisoformat(row["about"])
        year = year_of(row["case_id"], noted_on) if field else noted_on.year
        if on <= season_end(db, field, year):
            waiting.append(_due_row(row, field.name if field else None))
    return tuple(sorted(waiting, key=lambda row: row.order))


def _corrected(db: Database, plain: Iterable[Entry]) -> Iterator[Entry]:
    entries = list(plain)
    latest = _latest_corrections(db, [each.uid for each in entries])
    return (each.corrected(latest[each.uid]) if each.uid in latest else each for each in entries)


def _latest_corrections(db: Database, uids: list[str]) -> dict[str, Entry]:
    """The correction that stands for each entry that has one."""
    sql = "SELECT * FROM live_entries WHERE kind = 'correction' {some} ORDER BY seq"
    if len(uids) > _FEW:
        rows = list(db.query(sql.format(some="")))
    else:
        rows = list(db.query(sql.format(some=f"AND refers_to IN ({', '.join('?' * len(uids))})"), uids))
    return {row["refers_to"]: entry_of(row) for row in rows}


def _log_row(entry: Entry, row: Mapping[str, Any], names: Mapping[str, str]) -> LogRow:
    return LogRow(
        on=entry.about,
        field=names.get(row["scene_field"] or row["field_uid"]),
        case_id=row["scene_case"] or row["case_id"],
        kind=entry.kind,
        stage=row["stage"],
        found=row["lead"],
        standing=row["standing"],
        action=row["action"],
        spray_by=day(row["spray_by"]),
        rescout_on=day(row["rescout_on"]),
        text=entry.text,
        author=entry.author,
        entry_uid=entry.uid,
    )


def _due_row(row: Mapping[str, Any], field: str | None) -> DueRow:
    return DueRow(
        case_id=row["case_id"],
        field=field,
        noted_on=date.fromisoformat(row["about"]),
        action=row["action"] or "",
        spray_by=day(row["spray_by"]),
        rescout_on=day(row["rescout_on"]),
        lead=row["lead"],
        standing=row["standing"],
        stage=row["stage"],
        entry_uid=row["entry_uid"],
    )
