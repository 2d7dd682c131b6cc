"""Opening a casebook file: for writing, or as a copy in memory that leaves nothing beside the file."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlite_utils import Database

from assistant.casebook.errors import (
    CasebookBusy,
    NewerCasebook,
    NoCasebook,
    in_words,
    is_busy,
    not_a_casebook,
    read_only,
)
from assistant.casebook.schema import APPLICATION_ID, VERSION, migrations

#: How long to wait for another program's writing, in seconds.  A save takes milliseconds.
_PATIENCE_S = 30.0
#: Tries, and seconds between them, for the few steps where SQLite does not wait by itself.
_TRIES = 200
_PAUSE_S = 0.05


def open_file(path: Path) -> Database:
    """Opens the casebook for reading and writing, makes or migrates it where needed.

    WAL comes before migrating; the migrations of a file are one transaction, so that
    of several programs opening a new file at once one makes it and the others find it made.
    """
    path = path.absolute()
    _refuse_folder(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists() and not os.access(path, os.W_OK):
        raise read_only(str(path))
    db = _connect(str(path))
    try:
        _until_free(lambda: _refuse_stranger(db, path))
        _until_free(db.enable_wal)
        migrate(db)
    except BaseException:
        db.close()
        raise
    return db


def open_memory() -> Database:
    """An empty casebook that is forgotten when it is closed."""
    db = _connect(":memory:")
    migrate(db)
    return db


def open_copy(path: Path) -> Database:
    """A copy of the casebook in memory.  No file is written or made; an older one is migrated in the copy."""
    path = path.resolve()  # SQLite keeps its log beside the file itself, not beside a link to it
    _refuse_folder(path)
    if not path.exists():
        raise NoCasebook(f"There is no casebook at {path}. Leave --casebook out, or name one that exists.")
    for _ in range(_TRIES):
        copied = _copied(path)
        if copied is not None:
            return _brought_up_to_date(copied, path)
        time.sleep(_PAUSE_S)
    raise CasebookBusy(f"The casebook {path} is being written without a pause. Try again in a moment.")


def migrate(db: Database) -> None:
    """Brings the tables up to this program's version; does nothing to a file that is."""
    if _pragma(db, "user_version") >= VERSION:
        return
    with immediate(db):
        # Somebody else may have done it while this program waited for its turn.
        if _pragma(db, "user_version") < VERSION:
            migrations.apply(db)
            db.execute(f"PRAGMA user_version = {VERSION}")


def refuse_newer(db: Database, path: str) -> None:
    """Refuses a file whose version this program does not know.

    Raises:
        NewerCasebook: a later program made it, or has migrated it since it was opened.
    """
    version = _pragma(db, "user_version")
    if version > VERSION:
        raise NewerCasebook(
            f"The casebook {path} was written by a later earleaf (its version is {version}, "
            f"this program knows up to {VERSION}). Bring earleaf up to date, or name another casebook "
            "with --casebook; the file was left as it is."
        )


@contextmanager
def immediate(db: Database) -> Iterator[None]:
    """One transaction that takes the right to write at its start, and is kept whole or not at all."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        db.rollback()
        raise


def _connect(name: str) -> Database:
    connection = sqlite3.connect(name, timeout=_PATIENCE_S, isolation_level=None)
    try:
        # No plugins: what else is installed must not change what a casebook does.
        db = Database(connection, execute_plugins=False)
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA synchronous = FULL")
    except BaseException:
        connection.close()
        raise
    return db


def _refuse_folder(path: Path) -> None:
    if path.is_dir():
        raise in_words(IsADirectoryError(0, "it is a folder, not a file"), str(path))


def _refuse_stranger(db: Database, path: Path) -> None:
    """Refuses a file of a later version and a database of somebody else, before anything is written to it."""
    # In one transaction: between two looks, somebody else may be making this very casebook.
    db.execute("BEGIN")
    try:
        version, owner, tables = _pragma(db, "user_version"), _pragma(db, "application_id"), db.table_names()
    finally:
        db.rollback()
    if owner != APPLICATION_ID and (owner or version or tables):
        raise not_a_casebook(str(path))
    refuse_newer(db, str(path))


def _until_free(step: Callable[[], object]) -> None:
    """Does a step again while somebody else holds the file: switching to WAL does not wait by itself."""
    for left in range(_TRIES, -1, -1):
        try:
            step()
            return
        except sqlite3.OperationalError as error:
            if not left or not is_busy(error):
                raise
            time.sleep(_PAUSE_S)


def _brought_up_to_date(db: Database, path: Path) -> Database:
    try:
        _refuse_stranger(db, path)
        migrate(db)
    except BaseException:
        db.close()
        raise
    return db


def _copied(path: Path) -> Database | None:
    """The file in memory, or None when somebody wrote to it meanwhile and the copy cannot be trusted."""
    before = _signs_of_life(path)
    db = _connect(":memory:")
    try:
        if _copy_into(db, path) or _signs_of_life(path) == before:
            return db
    except sqlite3.Error as error:
        # What changes under the reader's hands may look broken and is not.
        if _signs_of_life(path) == before and not is_busy(error):
            db.close()
            raise
    except BaseException:
        db.close()
        raise
    db.close()
    return None


def _copy_into(db: Database, path: Path) -> bool:
    """Copies the file's committed pages, those that still lie in its write-ahead log as well.

    Without a log nobody is writing, and the file can be read as one that never changes.
    With a log and its index, SQLite reads both without touching either.  Otherwise a program
    was cut off, and what it left must be put in order first: that is done to a copy.

    Returns:
        Whether SQLite itself kept other programs' writing out of the copy.
    """
    log, index, journal = (_beside(path, ending) for ending in ("-wal", "-shm", "-journal"))
    if not log.exists() and not journal.exists():
        _backup(f"{path.as_uri()}?immutable=1", db)
        return False
    if index.exists():
        _backup(f"{path.as_uri()}?mode=ro&readonly_shm=1", db)
        return True
    with tempfile.TemporaryDirectory() as folder:
        for each in (path, log, journal):
            if each.exists():
                shutil.copyfile(each, Path(folder, each.name))
        _backup(Path(folder, path.name).as_uri(), db)
    return False


def _backup(uri: str, db: Database) -> None:
    with closing(sqlite3.connect(uri, timeout=_PATIENCE_S, uri=True)) as source:
        source.backup(db.conn)


def _signs_of_life(path: Path) -> tuple[object, ...]:
    """What changes when somebody writes to the file or starts to."""
    facts: list[object] = []
    for each in (path, _beside(path, "-wal"), _beside(path, "-journal")):
        try:
            seen = each.stat()
        except FileNotFoundError:
            facts.append(None)
        else:
            facts.append((seen.st_mtime_ns, seen.st_size))
    return tuple(facts)


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)


def _pragma(db: Database, name: str) -> int:
    return int(db.execute(f"PRAGMA {name}").fetchone()[0])
