"""The tables that are made from the journal: fields and their names, and where merged entries belong now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlite_utils import Database

from assistant.casebook.names import normalise
from assistant.casebook.rows import Field
from assistant.casebook.same_fields import Named, Remade, fields_of
from assistant.casebook.values import from_json

#: What a case id ends in, after the field's slug.
_YEAR = "-[0-9][0-9][0-9][0-9]"
_YEAR_LENGTH = len("-2027")

_NAMED = """
    SELECT e.uid, e.kind, e.field_uid, e.body, e.refers_to,
           EXISTS (SELECT 1 FROM entries w WHERE w.kind = 'withdrawal' AND w.refers_to = e.uid) AS gone
    FROM entries e
    WHERE e.kind IN ('field', 'alias')
       OR (e.kind = 'withdrawal'
           AND EXISTS (SELECT 1 FROM entries t WHERE t.uid = e.refers_to AND t.kind IN ('field', 'alias')))
    ORDER BY e.seq
"""
_USED = """
    SELECT 1 FROM entries e WHERE e.field_uid = ? AND e.kind NOT IN ('field', 'withdrawal')
    AND NOT EXISTS (SELECT 1 FROM entries w WHERE w.kind = 'withdrawal' AND w.refers_to = e.uid) LIMIT 1
"""
#: Notes whose decision names a field that is not there.
_OF_NO_FIELD = """
    SELECT d.entry_uid FROM decisions d JOIN live_entries e ON e.uid = d.entry_uid
    WHERE d.field_uid IS NOT NULL AND d.field_uid NOT IN (SELECT uid FROM fields)
"""
#: Notes whose decision names a case by the slug that the field had when it was made.
_OF_OLD_CASE = """
    SELECT entry_uid FROM decisions
    WHERE case_id GLOB :case AND (field_uid = :field OR (field_uid IS NULL AND :gone))
"""


def show_fields(db: Database) -> None:
    """Makes the tables of fields and names again, from the journal alone.

    What was derived from a note is forgotten where it names a field that is another now.
    """
    for table in ("field_names", "fields", "made_fields", "moved"):
        db.execute(f"DELETE FROM {table}")
    found = fields_of(list(_named(db)))
    for field in found.fields:
        db.table("fields").insert({"uid": field.uid, "name": field.name, "slug": field.slug})
    for name, uid in found.names:
        show_name(db, name, uid)
    slugs = {field.uid: field.slug for field in found.fields}
    for each in found.remade:
        db.table("made_fields").insert({"uid": each.uid, "slug": each.slug, "field_uid": each.field_uid})
        _move(db, each, slugs)
    _forget(db, _OF_NO_FIELD, {})


def show_field(db: Database, field: Field) -> None:
    """One new field with its name."""
    db.table("fields").insert({"uid": field.uid, "name": field.name, "slug": field.slug})
    show_name(db, field.name, field.uid)


def show_name(db: Database, name: str, field_uid: str) -> None:
    """One more name of a field."""
    db.execute(
        "INSERT OR IGNORE INTO field_names (normalised, name, field_uid) VALUES (?, ?, ?)",
        [normalise(name), name, field_uid],
    )


def forget(db: Database, entry_uid: str) -> None:
    """Deletes what was derived from an entry; it can be derived again."""
    for table in ("answers", "facts", "decisions"):
        db.execute(f"DELETE FROM {table} WHERE entry_uid = ?", [entry_uid])


def _named(db: Database) -> Iterator[Named]:
    for row in list(db.query(_NAMED)):
        if row["kind"] == "withdrawal":
            yield Named(kind="withdrawal", entry=row["refers_to"])
            continue
        body = from_json(row["body"])
        yield Named(
            kind=row["kind"],
            entry=row["uid"],
            field_uid=row["field_uid"] or "",
            name=str(body["name"]),
            slug=str(body.get("slug", "")),
            stands=not row["gone"],
            used=bool(row["gone"] and _used(db, row)),
        )


def _used(db: Database, row: Mapping[str, Any]) -> bool:
    return row["kind"] == "field" and bool(db.execute(_USED, [row["field_uid"]]).fetchall())


def _move(db: Database, each: Remade, slugs: Mapping[str, str]) -> None:
    """Says of every entry of a remade field where it belongs now; forgets answers that name its old case."""
    now, old_case = slugs[each.field_uid], each.slug + _YEAR
    gone = each.slug not in slugs.values()
    sql = """
        SELECT uid, case_id, field_uid FROM entries
        WHERE field_uid = :uid OR (:gone AND field_uid IS NULL AND case_id GLOB :case)
    """
    for row in list(db.query(sql, {"uid": each.uid, "gone": gone, "case": old_case})):
        case_id = row["case_id"]
        if case_id is not None and case_id[:-_YEAR_LENGTH] == each.slug:
            case_id = now + case_id[-_YEAR_LENGTH:]
        field_uid = each.field_uid if row["field_uid"] else None
        place = {"entry_uid": row["uid"], "case_id": case_id, "field_uid": field_uid}
        db.table("moved").insert(place, ignore=True)
    if each.slug != now:
        _forget(db, _OF_OLD_CASE, {"case": old_case, "field": each.field_uid, "gone": gone})


def _forget(db: Database, sql: str, parameters: Mapping[str, object]) -> None:
    for row in list(db.query(sql, dict(parameters))):
        forget(db, row["entry_uid"])
