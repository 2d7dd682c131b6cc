"""The casebook: a journal of notes in SQLite, and what was derived from them.  The door to sqlite-utils."""

from assistant.casebook.book import Casebook
from assistant.casebook.errors import (
    AmbiguousField,
    BadEntry,
    CasebookBusy,
    CasebookDamaged,
    CasebookError,
    CasebookReadOnly,
    CasebookUnreachable,
    DiskFull,
    NameTaken,
    NewerCasebook,
    NoCasebook,
    NotACasebook,
    UnknownCase,
    UnknownEntry,
    UnknownField,
)
from assistant.casebook.fields import Candidates, Exact, Match, New
from assistant.casebook.place import casebook_path, named_casebook
from assistant.casebook.rows import KINDS, Answer, Case, Derived, DueRow, Entry, Field, LogRow, NewEntry

__all__ = [
    "KINDS",
    "AmbiguousField",
    "Answer",
    "BadEntry",
    "Candidates",
    "Case",
    "Casebook",
    "CasebookBusy",
    "CasebookDamaged",
    "CasebookError",
    "CasebookReadOnly",
    "CasebookUnreachable",
    "Derived",
    "DiskFull",
    "DueRow",
    "Entry",
    "Exact",
    "Field",
    "LogRow",
    "Match",
    "NameTaken",
    "New",
    "NewEntry",
    "NewerCasebook",
    "NoCasebook",
    "NotACasebook",
    "UnknownCase",
    "UnknownEntry",
    "UnknownField",
    "casebook_path",
    "named_casebook",
]
