"""Keeping a casebook safe: a copy of it, going back to a copy, and telling whether two say the same.

A copy is made with SQLite's own backup call while other programs go on writing, into a new file
beside the wanted one; it is looked over, and only then takes its name.  Going back keeps the file
that was there beside the new one, and refuses where that would lose entries.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from assistant.casebook.book import Casebook
from assistant.casebook.bundle import line
from assistant.casebook.errors import (
    CasebookBusy,
    CasebookDamaged,
    CasebookError,
    NoCasebook,
    in_words,
    is_busy,
    spoken,
)
from assistant.casebook.rows import Entry
from rules.model import Fault

#: How long to wait for another program's writing, in seconds.
_PATIENCE_S = 5.0
#: What SQLite keeps beside a file that is in use.
_BESIDE = ("-wal", "-shm", "-journal")


class WouldLose(CasebookError):
    """Going on would lose entries that are nowhere else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A copy that was made and looked over; ``old`` is where the file lies that it took the place of."""

    path: Path
    entries: int
    old: Path | None = None


def backup(path: Path, out: Path) -> Kept:
    """Copies the casebook at ``path`` to ``out``.  An older copy of it there is replaced.

    Raises:
        NoCasebook, CasebookDamaged: there is nothing to copy, or what was copied is not sound.
        WouldLose: ``out`` holds entries that the casebook does not have.
        CasebookError: ``out`` is something else, or cannot be written.
    """
    if not path.exists():
        raise NoCasebook(f"There is no casebook at {path}, so there is nothing to copy.")
    if out.exists():
        _refuse_loss(of=out, by=path, doing="making the copy")
    with spoken(str(out)), _new_beside(out) as made:
        _copy(path, made)
        entries = _looked_over(made, path)
        os.replace(made, out)
        _flush_folder(out.parent)
    return Kept(path=out, entries=entries)


def restore(copy: Path, path: Path, *, lose: bool = False) -> Kept:
    """Puts the copy in the casebook's place; the file that was there is kept beside it.

    Args:
        copy: what :func:`backup` made.
        path: the casebook.
        lose: go back even if the casebook has entries that the copy has not.

    Raises:
        NoCasebook, CasebookDamaged: there is no copy, or it is not sound.
        WouldLose: the casebook is newer than the copy, and ``lose`` is not set.
        CasebookBusy: another program has the casebook open.
    """
    if not copy.exists():
        raise NoCasebook(f"There is no copy at {copy}.")
    if path.exists() and not lose and not integrity(path):
        _refuse_loss(of=path, by=copy, doing="going back")
    with spoken(str(path)), _new_beside(path) as made:
        _copy(copy, made)
        entries = _looked_over(made, copy)
        old = _put_aside(path) if path.exists() else None
        os.replace(made, path)
        _flush_folder(path.parent)
    return Kept(path=path, entries=entries, old=old)


def integrity(path: Path) -> tuple[Fault, ...]:
    """Every fault of the file at ``path``; one that cannot be opened is one fault."""
    try:
        with Casebook.open_readonly(path) as book:
            return book.check()
    except CasebookError as error:
        return (Fault(file=str(path), record="", message=str(error)),)


def content(book: Casebook) -> dict[str, bytes]:
    """The entries of a journal by uid, to the letter; without their places in this file."""
    return {entry.uid: line(entry) for entry in book.journal()}


def digest(book: Casebook) -> str:
    """A hash of the journal's content: equal where two casebooks hold the same entries."""
    lines = content(book)
    return hashlib.sha256(b"".join(lines[uid] for uid in sorted(lines))).hexdigest()


def same_content(one: Casebook, other: Casebook) -> bool:
    """Whether two casebooks hold the same entries."""
    return content(one) == content(other)


def _journal(path: Path) -> tuple[Entry, ...]:
    with Casebook.open_readonly(path) as book:
        return book.journal()


def _refuse_loss(*, of: Path, by: Path, doing: str) -> None:
    there = {entry.uid for entry in _journal(by)}
    lost = [entry for entry in _journal(of) if entry.uid not in there]
    if lost:
        latest = max(lost, key=lambda entry: entry.made_at)
        raise WouldLose(
            f"{of} holds {len(lost)} entries that {by} does not (the latest by {latest.author}, made "
            f"{latest.made_at:%Y-%m-%d}); {doing} would lose them. Nothing was changed."
        )


def _looked_over(made: Path, source: Path) -> int:
    """The number of entries of a copy that is sound.

    Raises:
        CasebookDamaged: it is not; says the first of its faults.
    """
    faults = integrity(made)
    if faults:
        first = str(faults[0]).removeprefix(f"{made}, ").removeprefix(f"{made}: ")
        raise CasebookDamaged(
            f"{source} has {len(faults)} faults, the first: {first}. No copy of it was put anywhere."
        )
    return len(_journal(made))


def _copy(source: Path, made: Path) -> None:
    """Copies all committed pages at one moment into one file that needs no other beside it."""
    uri = f"{source.resolve().as_uri()}?mode=rw"
    with (
        spoken(str(source)),
        closing(sqlite3.connect(uri, uri=True, timeout=_PATIENCE_S, isolation_level=None)) as there,
        closing(sqlite3.connect(made, isolation_level=None)) as here,
    ):
        there.backup(here)
        here.execute("PRAGMA journal_mode = DELETE")
    with made.open("rb+") as file:
        os.fsync(file.fileno())


@contextmanager
def _new_beside(path: Path) -> Iterator[Path]:
    """A name in the same folder for a file in the making; whatever is left of it goes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=f".{path.name}.", dir=path.parent) as folder:
        yield Path(folder, path.name)


def _put_aside(path: Path) -> Path:
    """Moves the casebook to the first free name beside it; a sound one with all that its log holds."""
    old = next(n for n in (path.with_name(f"{path.name}.old-{i}") for i in count(1)) if not n.exists())
    with suppress(sqlite3.DatabaseError):  # a damaged file is moved as it is, with its log
        _alone(path)
    os.replace(path, old)
    for ending in _BESIDE:
        left = path.with_name(path.name + ending)
        if left.exists():
            os.replace(left, old.with_name(old.name + ending))
    return old


def _alone(path: Path) -> None:
    """Writes the log into the file; possible only while no other program has it open."""
    with closing(sqlite3.connect(path, timeout=_PATIENCE_S, isolation_level=None)) as file:
        try:
            file.execute("PRAGMA journal_mode = DELETE")
        except sqlite3.OperationalError as error:
            if is_busy(error):
                raise in_words(error, str(path)) from error
            raise


def _flush_folder(folder: Path) -> None:
    """Makes a new name last through a loss of power, where the system has a way to."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


__all__ = [
    "CasebookBusy",
    "Kept",
    "WouldLose",
    "backup",
    "content",
    "digest",
    "integrity",
    "restore",
    "same_content",
]
