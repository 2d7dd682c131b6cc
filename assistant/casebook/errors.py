"""What can go wrong with a casebook, each as one sentence that says what to do about it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from rules.model import EarleafError


class CasebookError(EarleafError):
    """Something is wrong with the casebook file, or with what it was asked to keep."""


class NoCasebook(CasebookError):
    """There is no file where the casebook should be."""


class NewerCasebook(CasebookError):
    """The file was written by a later version of the program."""


class NotACasebook(CasebookError):
    """The file is something else."""


class CasebookBusy(CasebookError):
    """Another program has held the file for longer than it is worth waiting."""


class CasebookReadOnly(CasebookError):
    """The file can be read but not written."""


class CasebookDamaged(CasebookError):
    """The file is a casebook, or was, and can no longer be read in full."""


class DiskFull(CasebookError):
    """There is no room left to write."""


class CasebookUnreachable(CasebookError):
    """The operating system would not let the file be opened, read or written."""


class BadEntry(CasebookError):
    """An entry that the journal cannot keep: what is wrong with it, and what is allowed."""


class UnknownEntry(CasebookError):
    """No entry has that uid."""


class UnknownCase(CasebookError):
    """No case has that id."""


class UnknownField(CasebookError):
    """No field has that name or uid."""


class AmbiguousField(CasebookError):
    """A field name that could be more than one known field."""


class NameTaken(CasebookError):
    """The name already stands for another field."""


_BUSY = (
    "The casebook {path} is in use by another program and did not come free. "
    "Close that program (or let it finish) and try again; nothing was lost."
)
_READ_ONLY = (
    "The casebook {path} can be read but not written. "
    "Make the file and its folder writable, or name another casebook with --casebook."
)
_DAMAGED = (
    "The casebook {path} is damaged and cannot be read in full. "
    "Put it aside (do not delete it) and go back to the latest copy of it."
)
_NOT_ONE = (
    "{path} is not a casebook of earleaf. Name a casebook with --casebook, or a file that does not exist yet."
)
_FULL = "There is no room left on the disk for the casebook {path}. Free some room and say the note again."
_UNREACHABLE = (
    "The casebook {path} cannot be opened, read or written ({reason}). "
    "Check that the folder exists, is on a local disk and is yours to write in."
)
_THREAD = "The casebook {path} was used wrongly by the program itself ({reason}). Please report this."

_BY_CODE: dict[int, tuple[type[CasebookError], str]] = {
    sqlite3.SQLITE_BUSY: (CasebookBusy, _BUSY),
    sqlite3.SQLITE_LOCKED: (CasebookBusy, _BUSY),
    sqlite3.SQLITE_READONLY: (CasebookReadOnly, _READ_ONLY),
    sqlite3.SQLITE_CORRUPT: (CasebookDamaged, _DAMAGED),
    sqlite3.SQLITE_NOTADB: (NotACasebook, _NOT_ONE),
    sqlite3.SQLITE_FULL: (DiskFull, _FULL),
    sqlite3.SQLITE_IOERR: (CasebookUnreachable, _UNREACHABLE),
    sqlite3.SQLITE_CANTOPEN: (CasebookUnreachable, _UNREACHABLE),
    sqlite3.SQLITE_PERM: (CasebookUnreachable, _UNREACHABLE),
    sqlite3.SQLITE_AUTH: (CasebookUnreachable, _UNREACHABLE),
}

#: The low byte of SQLite's result code says the kind of fault, the rest its shade
#: (https://www.sqlite.org/rescode.html, "Primary result codes versus extended result codes").
_PRIMARY = 0xFF


def is_busy(error: sqlite3.Error) -> bool:
    """Whether the fault is only that somebody else holds the file just now."""
    return _primary_code(error) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def in_words(error: sqlite3.Error | OSError, path: str) -> CasebookError:
    """Turns a fault of SQLite or of the operating system into one sentence about ``path``."""
    if isinstance(error, OSError):
        return CasebookUnreachable(_UNREACHABLE.format(path=path, reason=error.strerror or error))
    kind, sentence = _BY_CODE.get(_primary_code(error), (CasebookError, _THREAD))
    return kind(sentence.format(path=path, reason=error))


def not_a_casebook(path: str) -> NotACasebook:
    """The refusal of a file that is something else."""
    return NotACasebook(_NOT_ONE.format(path=path))


def read_only(path: str) -> CasebookReadOnly:
    """The refusal of a file that may not be written."""
    return CasebookReadOnly(_READ_ONLY.format(path=path))


@contextmanager
def spoken(path: str) -> Iterator[None]:
    """Whatever SQLite or the operating system raises inside comes out as a :class:`CasebookError`."""
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        raise in_words(error, path) from error


def _primary_code(error: sqlite3.Error) -> int:
    """The kind of fault; 0 when the fault is Python's own (a closed file, a foreign thread)."""
    return int(getattr(error, "sqlite_errorcode", 0)) & _PRIMARY
