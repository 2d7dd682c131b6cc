"""Taking in entries that were made in other casebooks: the union of two journals, in one order.

The order is by the time of each entry, then by its place in the casebook where it was made, then
by uid: whoever holds the same entries holds them in the same order.  Entries are put in as they
are and none is changed; only their places in this file (``seq``) are dealt out again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sqlite_utils import Database

from assistant.casebook.errors import BadEntry
from assistant.casebook.fields import known_fields
from assistant.casebook.journal import entry_of
from assistant.casebook.rows import Entry, Field
from assistant.casebook.showing import forget, show_fields
from assistant.casebook.values import to_json


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """The uids of the entries that were new here, and the number of those that were known."""

    new: tuple[str, ...]
    known: int


def bring_in(db: Database, entries: Sequence[Entry]) -> Brought:
    """Adds the entries that are not here yet, deals out the places, and makes the fields again.

    Raises:
        BadEntry: an entry differs from the one of its uid that is here, or refers to one that is nowhere.
    """
    here = {entry.uid: entry for entry in map(entry_of, db.query("SELECT * FROM entries"))}
    _refuse_changed(here, entries)
    new = tuple({e.uid: e for e in entries if e.uid not in here}.values())
    _refuse_loose(here.keys() | {e.uid for e in new}, new)
    last = len(here)
    db.table("entries").insert_all([_row(e, last + n) for n, e in enumerate(new, start=1)])
    _deal_out_places(db)
    for entry in new:
        _forget_outdated(db, entry)
    show_fields(db)
    return Brought(new=tuple(e.uid for e in new), known=len({e.uid for e in entries}) - len(new))


def same_fields(db: Database) -> tuple[tuple[Entry, Field], ...]:
    """The field entries whose field is another now."""
    fields = {field.uid: field for field in known_fields(db)}
    sql = """
        SELECT e.*, m.field_uid AS now FROM made_fields m JOIN entries e ON e.field_uid = m.uid
        WHERE e.kind = 'field' AND m.field_uid <> m.uid ORDER BY e.seq
    """
    rows = [dict(row) for row in db.query(sql)]
    return tuple((entry_of({k: v for k, v in row.items() if k != "now"}), fields[row["now"]]) for row in rows)


def _refuse_changed(here: dict[str, Entry], entries: Iterable[Entry]) -> None:
    met: dict[str, Entry] = {}
    for entry in entries:
        other = here.get(entry.uid) or met.setdefault(entry.uid, entry)
        if replace(other, seq=0) != replace(entry, seq=0):
            raise BadEntry(
                f"Entry {entry.uid} comes in two versions. The journal is never edited: one of the two "
                "casebooks was changed by another program. Nothing was taken in."
            )


def _refuse_loose(known: set[str], new: Iterable[Entry]) -> None:
    for entry in new:
        if entry.refers_to is not None and entry.refers_to not in known:
            raise BadEntry(
                f"Entry {entry.uid} refers to {entry.refers_to}, which is in neither casebook: the bundle is "
                "not whole. Nothing was taken in."
            )


def _row(entry: Entry, seq: int) -> dict[str, object]:
    return {
        "uid": entry.uid,
        "seq": seq,
        "author": entry.author,
        "made_at": entry.made_at.isoformat(),
        "about": entry.about.isoformat(),
        "kind": entry.kind,
        "body": to_json(dict(entry.body)),
        "case_id": entry.case_id,
        "field_uid": entry.field_uid,
        "refers_to": entry.refers_to,
        "made_as": entry.made_as,
    }


def _deal_out_places(db: Database) -> None:
    """Numbers the entries in their one order; by way of negative numbers, because places are unique."""
    rows = list(db.query("SELECT uid, seq, made_at, made_as FROM entries"))
    # Times are compared as text: fractions of a second are written or left out, so pad them.
    rows.sort(key=lambda row: (_moment(row["made_at"]), row["made_as"], row["uid"]))
    wrong = [(n, row["uid"]) for n, row in enumerate(rows, start=1) if row["seq"] != n]
    for sign in (-1, 1):
        db.conn.executemany("UPDATE entries SET seq = ? WHERE uid = ?", [(sign * n, uid) for n, uid in wrong])


def _moment(made_at: str) -> str:
    whole, _, rest = made_at.partition("+")
    return f"{whole if '.' in whole else whole + '.000000'}+{rest}"


def _forget_outdated(db: Database, entry: Entry) -> None:
    """What was derived from words that no longer stand must not outlive them."""
    if entry.refers_to is None:
        return
    if entry.kind == "correction":
        forget(db, entry.refers_to)
    if entry.kind == "withdrawal":
        sql = "SELECT refers_to FROM entries WHERE uid = ? AND kind = 'correction'"
        for row in list(db.query(sql, [entry.refers_to])):
            forget(db, row["refers_to"])
