"""The casebook: the one thing that the rest of the assistant sees of it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path

from sqlite_utils import Database

from assistant.casebook import audit, cases, connect, derived, fields, journal, queries, showing, union
from assistant.casebook.errors import CasebookReadOnly, in_words, spoken
from assistant.casebook.fields import Match
from assistant.casebook.rows import Answer, Case, Derived, DueRow, Entry, Field, LogRow, NewEntry
from assistant.casebook.union import Brought
from rules.model import Earlier, Fault


class Casebook:
    """A journal of notes and what was made of them, in one SQLite file.

    Open one with :meth:`open`, :meth:`open_readonly` or :meth:`open_copy`, each in a ``with``
    statement, and use it only in the thread that opened it.  Every method that writes has
    written to the disk when it returns.  Whatever goes wrong comes as a
    :class:`~assistant.casebook.errors.CasebookError` with one sentence.
    """

    def __init__(self, db: Database, place: str, *, writes: bool = True) -> None:
        self._db = db
        self._place = place
        self._writes = writes

    # ------------------------------------------------------------------ opening

    @classmethod
    @contextmanager
    def open(cls, path: Path | str) -> Iterator[Casebook]:
        """The casebook at ``path``, made if it is not there, brought up to date if it is older."""
        with spoken(str(path)):
            db = connect.open_file(Path(path))
        yield from cls._closing(db, str(path), writes=True)

    @classmethod
    @contextmanager
    def open_readonly(cls, path: Path | str) -> Iterator[Casebook]:
        """The casebook as it is now, to read; nothing is written and no file appears beside it."""
        with spoken(str(path)):
            db = connect.open_copy(Path(path))
        yield from cls._closing(db, str(path), writes=False)

    @classmethod
    @contextmanager
    def open_copy(cls, path: Path | str | None) -> Iterator[Casebook]:
        """A casebook in memory, begun with what is at ``path`` (or empty); it is forgotten when closed."""
        with spoken(str(path or "in memory")):
            db = connect.open_copy(Path(path)) if path is not None else connect.open_memory()
        yield from cls._closing(db, str(path or "in memory"), writes=True)

    @classmethod
    def _closing(cls, db: Database, place: str, *, writes: bool) -> Iterator[Casebook]:
        try:
            yield cls(db, place, writes=writes)
        finally:
            with spoken(place):
                db.close()

    # ------------------------------------------------------------------ writing

    def record(self, entry: NewEntry) -> Entry:
        """Puts an entry into the journal; it is on the disk when this returns."""
        with self._writing():
            return journal.add(self._db, entry)

    def add_field(
        self, name: str, *, author: str, made_at: datetime, about: date, because: str | None = None
    ) -> Field:
        """The field of that name, made if there is none; ``because`` is the uid of the note that named it."""
        with self._writing():
            return journal.add_field(
                self._db, name, author=author, made_at=made_at, about=about, because=because
            )

    def derive(
        self, entry_uid: str, knowledge: str, answer: Mapping[str, object], scenes: Sequence[Derived] = ()
    ) -> None:
        """Keeps an answer, its facts and decisions beside the entry, in place of older ones."""
        with self._writing():
            derived.derive(self._db, entry_uid, knowledge, answer, scenes)

    def withdraw(self, uid: str, *, author: str, made_at: datetime) -> Entry:
        """Takes one entry back; it stays in the journal, and is read no more."""
        with self._writing():
            return journal.withdraw(self._db, uid, author=author, made_at=made_at)

    def withdraw_last(self, author: str, made_at: datetime) -> Entry | None:
        """Undo: takes back this author's last entry that still stands, and returns it."""
        with self._writing():
            return journal.withdraw_last(self._db, author=author, made_at=made_at)

    def rebuild_fields(self) -> None:
        """Makes the tables of fields and names again from the journal."""
        with self._writing():
            showing.show_fields(self._db)

    def bring_in(self, entries: Sequence[Entry]) -> Brought:
        """Takes in entries that were made in another casebook; those that are here stay as they are."""
        with self._writing():
            return union.bring_in(self._db, entries)

    # ------------------------------------------------------------------ reading: entries

    def entry(self, uid: str) -> Entry | None:
        """One entry that stands, with its correction in place."""
        with self._reading():
            return queries.entry(self._db, uid)

    def entries(self, case_id: str) -> tuple[Entry, ...]:
        """The entries of a case that stand, in order, corrections in place."""
        with self._reading():
            return queries.entries(self._db, case_id=case_id)

    def entries_all(self, kind: str | None = None) -> tuple[Entry, ...]:
        """All entries that stand, in order, corrections in place; of one kind if one is given."""
        with self._reading():
            return queries.entries(self._db, kind=kind)

    def journal(self) -> tuple[Entry, ...]:
        """Every entry as it was stored, with what was withdrawn and what withdrew it."""
        with self._reading():
            return queries.journal(self._db)

    # ------------------------------------------------------------------ reading: answers

    def answer(self, entry_uid: str) -> Answer | None:
        """The answer that was kept for an entry."""
        with self._reading():
            return derived.answer_of(self._db, entry_uid)

    def scenes(self, entry_uid: str) -> tuple[Derived, ...]:
        """What was derived from an entry: facts and decision, field by field."""
        with self._reading():
            return derived.scenes_of(self._db, entry_uid)

    def not_derived(self, knowledge: str | None = None) -> tuple[str, ...]:
        """The notes without an answer; given a hash, also those whose answer comes from other knowledge."""
        with self._reading():
            return derived.not_derived(self._db, knowledge)

    def earlier(self, case_id: str, than: Entry) -> tuple[Earlier, ...]:
        """The facts that the case's notes stated before that entry, as the rules take them."""
        with self._reading():
            return derived.earlier_facts(self._db, case_id, than)

    # ------------------------------------------------------------------ reading: cases and fields

    def case(self, case_id: str) -> Case | None:
        """The case with that id, or None."""
        with self._reading():
            return cases.case_of(self._db, case_id)

    def known_case(self, case_id: str) -> Case:
        """The case with that id; :class:`UnknownCase`, with the nearest ids, where there is none."""
        with self._reading():
            return cases.known_case(self._db, case_id)

    def case_for(self, field: Field | str, on: date) -> str:
        """The id of the case that a note of that day joins; for a new name, the id that it will have."""
        with self._reading():
            if isinstance(field, Field):
                return cases.case_id_for(self._db, field, on)
            return cases.case_id_for_name(self._db, field, on)

    def fields(self) -> tuple[Field, ...]:
        """Every field, by name."""
        with self._reading():
            return fields.known_fields(self._db)

    def field(self, name: str) -> Field:
        """The one field of that name; an error that says which it could be, where it is not just one."""
        with self._reading():
            return fields.field_named(self._db, name)

    def field_names(self) -> tuple[str, ...]:
        """Every name and alias of every field, as written: what the reader listens for."""
        with self._reading():
            return fields.spoken_names(self._db)

    def same_fields(self) -> tuple[tuple[Entry, Field], ...]:
        """The field entries whose field is another now, because somebody else had made it before."""
        with self._reading():
            return union.same_fields(self._db)

    def match(self, name: str) -> Match:
        """Which field a spoken name means: :class:`Exact`, :class:`Candidates` or :class:`New`."""
        with self._reading():
            return fields.match(name, fields.known_names(self._db))

    # ------------------------------------------------------------------ reading: what people ask

    def due(self, on: date) -> tuple[DueRow, ...]:
        """The fields that wait, in the order in which to go."""
        with self._reading():
            return queries.due(self._db, on)

    def season(self, year: int, field: Field | None = None) -> tuple[LogRow, ...]:
        """The log of a calendar year, in order of days, of all fields or of one."""
        with self._reading():
            uid = field.uid if field else None
            return queries.log(self._db, first=date(year, 1, 1), last=date(year, 12, 31), field_uid=uid)

    def history(self, field: Field) -> tuple[LogRow, ...]:
        """All that is known of a field, in order of days."""
        with self._reading():
            return queries.log(self._db, field_uid=field.uid)

    def check(self) -> tuple[Fault, ...]:
        """Every fault of the file; a file too damaged to be looked over is one fault."""
        try:
            return audit.check(self._db, self._place)
        except sqlite3.Error as error:
            return (Fault(file=self._place, record="", message=str(in_words(error, self._place))),)

    # ------------------------------------------------------------------ doors

    @contextmanager
    def _reading(self) -> Iterator[None]:
        with spoken(self._place):
            yield

    @contextmanager
    def _writing(self) -> Iterator[None]:
        if not self._writes:
            raise CasebookReadOnly(f"The casebook {self._place} was opened to be read; nothing can be added.")
        with spoken(self._place), connect.immediate(self._db):
            connect.refuse_newer(self._db, self._place)
            yield
