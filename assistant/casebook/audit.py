"""Looking a casebook over: every fault found, none mended."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sqlite_utils import Database

from assistant.casebook.errors import CasebookError
from assistant.casebook.names import normalise
from assistant.casebook.rows import KINDS
from assistant.casebook.values import from_json
from rules.model import Fault

_Found = Iterator[tuple[str, str]]


def check(db: Database, file: str) -> tuple[Fault, ...]:
    """Runs every test over the file; a fault names the record and says what is wrong with it."""
    found = (each for test in _TESTS for each in test(db))
    return tuple(Fault(file=file, record=record, message=message) for record, message in found)


def _pages(db: Database) -> _Found:
    for (message,) in db.execute("PRAGMA integrity_check").fetchall():
        if message != "ok":
            yield "", f"the file is damaged: {message}"


def _links(db: Database) -> _Found:
    for table, rowid, parent, _ in db.execute("PRAGMA foreign_key_check").fetchall():
        yield f"{table} row {rowid}", f"belongs to a record of {parent} that is not there"


def _bodies(db: Database) -> _Found:
    for uid, kind, body in db.execute("SELECT uid, kind, body FROM entries ORDER BY seq").fetchall():
        if kind not in KINDS:
            yield f"entry {uid}", f'"{kind}" is no kind of entry; allowed are {", ".join(sorted(KINDS))}'
        try:
            from_json(body)
        except CasebookError as error:
            yield f"entry {uid}", str(error)


def _references(db: Database) -> _Found:
    sql = """
        SELECT e.uid, e.kind, t.kind AS target FROM entries e LEFT JOIN entries t ON t.uid = e.refers_to
        WHERE e.kind IN ('correction', 'withdrawal') ORDER BY e.seq
    """
    for uid, kind, target in db.execute(sql).fetchall():
        if target is None or target == "withdrawal" or (kind, target) == ("correction", "correction"):
            yield f"entry {uid}", f"a {kind} must refer to an entry; this one refers to {target or 'nothing'}"


def _orphans(db: Database) -> _Found:
    for table in ("answers", "facts", "decisions"):
        sql = f"SELECT DISTINCT entry_uid FROM {table} WHERE entry_uid NOT IN (SELECT uid FROM entries)"
        for (uid,) in db.execute(sql).fetchall():
            yield f"{table} of {uid}", "was derived from an entry that is not there"


def _field_uids(db: Database) -> _Found:
    sql = """
        SELECT DISTINCT uid, field_uid FROM (
            SELECT uid, field_uid FROM live_entries
            UNION ALL SELECT e.uid, d.field_uid FROM decisions d JOIN live_entries e ON e.uid = d.entry_uid)
        WHERE field_uid IS NOT NULL AND field_uid NOT IN (SELECT uid FROM fields) ORDER BY uid
    """
    for uid, field_uid in db.execute(sql).fetchall():
        yield f"entry {uid}", f"speaks of a field that is not there ({field_uid})"


def _names(db: Database) -> _Found:
    for name, normalised in db.execute("SELECT name, normalised FROM field_names ORDER BY name").fetchall():
        if normalise(name) != normalised:
            yield f'field name "{name}"', "is filed under an old form of itself; rebuild the fields"


_TESTS: tuple[Callable[[Database], _Found], ...] = (
    _pages,
    _links,
    _bodies,
    _references,
    _orphans,
    _field_uids,
    _names,
)
