"""Writing the journal.  Every function here is one step of a transaction that the caller has begun."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

from sqlite_utils import Database

from assistant.casebook.cases import case_id_for, case_now
from assistant.casebook.errors import BadEntry, NameTaken, UnknownEntry
from assistant.casebook.fields import (
    Exact,
    checked_name,
    field_of,
    free_slug,
    known_names,
    match,
)
from assistant.casebook.names import slug
from assistant.casebook.rows import KINDS, Entry, Field, NewEntry
from assistant.casebook.showing import forget, show_field, show_fields, show_name
from assistant.casebook.values import from_json, to_json

#: Made by functions of their own, because more than one row changes with them.
_MADE_ELSEWHERE = {"field": "add_field", "withdrawal": "withdraw or withdraw_last"}
#: What "undo" passes over: a field goes with the note that named it.
_NOT_UNDONE = ("withdrawal", "field")
_REFER = frozenset({"correction", "withdrawal"})


def add(db: Database, new: NewEntry) -> Entry:
    """Stores an entry as it came, and gives it its uid and place.

    An entry with a field and no case joins the field's case of that day; a correction
    of a correction refers to the note itself.

    Raises:
        BadEntry: the kind is unknown, a text is blank, a time has no offset ...
        UnknownEntry, UnknownField: it refers to something that is not there.
    """
    if new.kind in _MADE_ELSEWHERE:
        raise BadEntry(f'A "{new.kind}" entry is made with {_MADE_ELSEWHERE[new.kind]}.')
    _check(new)
    if new.kind == "correction":
        new = replace(new, refers_to=_root(db, new.refers_to or ""))
    if new.case_id is not None:
        new = replace(new, case_id=case_now(db, new.case_id))
    if new.field_uid is not None:
        field = field_of(db, new.field_uid)
        day = date.fromisoformat(str(new.body.get("harvested_on") or new.about))
        new = replace(new, field_uid=field.uid, case_id=new.case_id or case_id_for(db, field, day))
    if new.kind == "alias":
        _add_name(db, str(new.body["name"]), new.field_uid or "")
    entry = _append(db, new)
    if entry.kind == "correction":
        # What was derived from the words that no longer stand must not outlive them.
        forget(db, entry.refers_to or "")
    return entry


def add_field(
    db: Database, name: str, *, author: str, made_at: datetime, about: date, because: str | None
) -> Field:
    """The field of that name, made if there is none; ``because`` is the note that first named it.

    Somebody else may have made it since the caller looked, so it looks again.
    """
    kept = checked_name(name)
    found = match(kept, known_names(db))
    if isinstance(found, Exact):
        return found.field
    field = Field(uid=secrets.token_hex(16), name=kept, slug=free_slug(db, slug(kept)))
    new = NewEntry(
        author=author,
        made_at=made_at,
        about=about,
        kind="field",
        body={"name": kept, "slug": field.slug},
        field_uid=field.uid,
        refers_to=because,
    )
    _check(new)
    if because is not None:
        live_entry(db, because)
    _append(db, new)
    show_field(db, field)
    return field


def withdraw(db: Database, uid: str, *, author: str, made_at: datetime) -> Entry:
    """Takes an entry back by adding a withdrawal; a field that only it spoke of goes with it.

    Returns:
        The entry that was taken back.

    Raises:
        UnknownEntry: there is no such entry, or it has been withdrawn before.
    """
    target = live_entry(db, uid)
    if target.kind == "withdrawal":
        raise BadEntry("A withdrawal cannot be withdrawn; say the note again.")
    back = NewEntry(
        author=author, made_at=made_at, about=target.about, kind="withdrawal", body={}, refers_to=uid
    )
    _append(db, back)
    alone = _fields_left_alone(db, uid)
    for each in alone:
        _append(db, replace(back, refers_to=each))
    if target.kind == "correction":
        forget(db, target.refers_to or "")
    if alone or target.kind in ("alias", "field"):
        show_fields(db)
    return target


def withdraw_last(db: Database, *, author: str, made_at: datetime) -> Entry | None:
    """Undo: takes back this author's last entry that still stands; None when there is none."""
    rows = db.query(
        "SELECT uid FROM live_entries WHERE author = ? AND kind NOT IN (?, ?) ORDER BY seq DESC LIMIT 1",
        [author, *_NOT_UNDONE],
    )
    for row in list(rows):
        return withdraw(db, row["uid"], author=author, made_at=made_at)
    return None


def live_entry(db: Database, uid: str) -> Entry:
    """The entry with that uid, with its own words, if it stands.

    Raises:
        UnknownEntry: there is none, or it was withdrawn.
    """
    for row in list(db.query("SELECT * FROM live_entries WHERE uid = ?", [uid])):
        return entry_of(row)
    raise UnknownEntry(f"The casebook has no entry {uid!r}, or it was withdrawn.")


def entry_of(row: Mapping[str, Any]) -> Entry:
    """An entry out of a row of the table ``entries``."""
    made_at, about = datetime.fromisoformat(row["made_at"]), date.fromisoformat(row["about"])
    return Entry(**{**row, "made_at": made_at, "about": about, "body": from_json(row["body"])})


def _append(db: Database, new: NewEntry) -> Entry:
    """The row itself."""
    (row,) = list(db.query("SELECT coalesce(max(seq), 0) + 1 AS seq FROM entries"))
    record: dict[str, Any] = {
        "uid": secrets.token_hex(16),
        "seq": row["seq"],
        "author": new.author,
        "made_at": new.made_at.astimezone(UTC).isoformat(),
        "about": new.about.isoformat(),
        "kind": new.kind,
        "body": to_json(dict(new.body)),
        "case_id": new.case_id,
        "field_uid": new.field_uid,
        "refers_to": new.refers_to,
        "made_as": row["seq"],
    }
    db.table("entries").insert(record)
    return entry_of(record)


def _check(new: NewEntry) -> None:
    """Refuses what the journal could not make sense of later."""
    if new.kind not in KINDS:
        raise BadEntry(f'"{new.kind}" is no kind of entry; allowed are {", ".join(sorted(KINDS))}.')
    if new.made_at.utcoffset() is None:
        raise BadEntry("The time of an entry needs an offset from UTC, or nobody can order it later.")
    if new.kind in ("note", "correction") and not str(new.body.get("text", "")).strip():
        raise BadEntry(f"A {new.kind} needs words; this one has none.")
    if new.kind == "alias" and (new.field_uid is None or "name" not in new.body):
        raise BadEntry("An alias needs a field and a name.")
    if new.kind in _REFER and new.refers_to is None:
        raise BadEntry(f"A {new.kind} must refer to an entry.")
    if "harvested_on" in new.body:
        _check_day(str(new.body["harvested_on"]))


def _check_day(text: str) -> None:
    try:
        date.fromisoformat(text)
    except ValueError as error:
        raise BadEntry(f"harvested_on must be a date like 2027-09-20, not {text!r}.") from error


def _root(db: Database, uid: str) -> str:
    """The note that a correction, or a correction of a correction, is about."""
    target = live_entry(db, uid)
    if target.kind == "correction":
        return target.refers_to or ""
    if "text" not in target.body:
        raise BadEntry(f'A "{target.kind}" entry has no words to correct; withdraw it and enter it again.')
    return target.uid


def _fields_left_alone(db: Database, uid: str) -> list[str]:
    """The field entries of fields that the withdrawn entry spoke of, and that no entry speaks of now."""
    sql = """
        SELECT f.uid FROM live_entries f
        WHERE f.kind = 'field' AND f.refers_to IS NOT NULL
          AND (f.refers_to = :uid
               OR f.field_uid IN (SELECT field_uid FROM decisions WHERE entry_uid = :uid)
               OR f.field_uid = (SELECT field_uid FROM entries WHERE uid = :uid))
          AND NOT EXISTS (SELECT 1 FROM live_entries e
                          WHERE e.field_uid = f.field_uid AND e.uid <> f.uid)
          AND NOT EXISTS (SELECT 1 FROM decisions d JOIN live_entries e ON e.uid = d.entry_uid
                          WHERE d.field_uid = f.field_uid)
        ORDER BY f.seq
    """
    return [row["uid"] for row in db.query(sql, {"uid": uid})]


def _add_name(db: Database, name: str, field_uid: str) -> None:
    """Another name of a field, unless it already is another field's."""
    kept = checked_name(name)
    found = match(kept, known_names(db))
    if isinstance(found, Exact) and found.field.uid != field_uid:
        raise NameTaken(f'"{kept}" already means the field "{found.field.name}".')
    show_name(db, kept, field_uid)
