"""What a turn needs of a casebook, and a book that forgets: for answers that are not to be kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Protocol

from assistant.casebook.errors import UnknownCase
from assistant.casebook.fields import Match, New
from assistant.casebook.rows import Answer, Case, Derived, Entry, Field, NewEntry
from rules.model import Earlier


class Book(Protocol):
    """The part of :class:`assistant.casebook.book.Casebook` that a turn uses."""

    def record(self, entry: NewEntry) -> Entry:
        """Stores an entry."""

    def withdraw(self, uid: str, *, author: str, made_at: datetime) -> Entry:
        """Takes an entry back."""

    def add_field(
        self, name: str, *, author: str, made_at: datetime, about: date, because: str | None = None
    ) -> Field:
        """Makes a field."""

    def derive(
        self, entry_uid: str, knowledge: str, answer: Mapping[str, object], scenes: Sequence[Derived] = ()
    ) -> None:
        """Keeps an answer beside its entry."""

    def answer(self, entry_uid: str) -> Answer | None:
        """The answer kept for an entry."""

    def earlier(self, case_id: str, than: Entry) -> tuple[Earlier, ...]:
        """What the case's notes said before."""

    def case(self, case_id: str) -> Case | None:
        """A case by id."""

    def known_case(self, case_id: str) -> Case:
        """A case by id, or an error that names the nearest."""

    def entries(self, case_id: str) -> tuple[Entry, ...]:
        """The entries of a case that stand, in order."""

    def entries_all(self, kind: str | None = None) -> tuple[Entry, ...]:
        """All entries that stand, of one kind if one is given."""

    def case_for(self, field: Field | str, on: date) -> str:
        """The case that a note of that day joins."""

    def field(self, name: str) -> Field:
        """The one field of that name."""

    def field_names(self) -> tuple[str, ...]:
        """Every name of every field."""

    def match(self, name: str) -> Match:
        """Which field a name means."""


class Fleeting:
    """A book that keeps nothing: it reads from another (or from none) and forgets what it is told."""

    def __init__(self, behind: Book | None = None) -> None:
        self.behind = behind
        self._entries: list[Entry] = []
        self._fields: dict[str, Field] = {}

    def record(self, entry: NewEntry) -> Entry:
        """An entry that nobody will find again."""
        number = len(self._entries)
        made = Entry(
            uid=f"fleeting-{number}",
            seq=_LAST + number,
            author=entry.author,
            made_at=entry.made_at,
            about=entry.about,
            kind=entry.kind,
            body=entry.body,
            case_id=entry.case_id,
        )
        self._entries.append(made)
        return made

    def withdraw(self, uid: str, *, author: str, made_at: datetime) -> Entry:
        """Nothing was kept, so nothing is taken back."""
        del author, made_at
        return next(e for e in self._entries if e.uid == uid)

    def add_field(
        self, name: str, *, author: str, made_at: datetime, about: date, because: str | None = None
    ) -> Field:
        """A field for as long as this book lives."""
        del author, made_at, about, because
        slug = "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) or "field"
        return self._fields.setdefault(name, Field(uid=f"fleeting-{slug}", name=name, slug=slug))

    def derive(
        self, entry_uid: str, knowledge: str, answer: Mapping[str, object], scenes: Sequence[Derived] = ()
    ) -> None:
        """Forgets the answer."""

    def answer(self, entry_uid: str) -> Answer | None:
        """No answer is kept."""
        return self.behind.answer(entry_uid) if self.behind else None

    def earlier(self, case_id: str, than: Entry) -> tuple[Earlier, ...]:
        """What the book behind knows."""
        return self.behind.earlier(case_id, than) if self.behind else ()

    def case(self, case_id: str) -> Case | None:
        """A case of the book behind."""
        return self.behind.case(case_id) if self.behind else None

    def known_case(self, case_id: str) -> Case:
        """A case of the book behind; without one there are no cases."""
        if self.behind is None:
            raise UnknownCase(f"No case has the id {case_id!r}: no casebook was named to look in.")
        return self.behind.known_case(case_id)

    def entries(self, case_id: str) -> tuple[Entry, ...]:
        """Entries of the book behind."""
        return self.behind.entries(case_id) if self.behind else ()

    def entries_all(self, kind: str | None = None) -> tuple[Entry, ...]:
        """Entries of the book behind."""
        return self.behind.entries_all(kind) if self.behind else ()

    def case_for(self, field: Field | str, on: date) -> str:
        """The case id that a saved note would get."""
        known = isinstance(field, str) or field.uid in {f.uid for f in self._fields.values()}
        if self.behind and not known:
            return self.behind.case_for(field, on)
        slug = field.slug if isinstance(field, Field) else field
        return f"{slug}-{on.year}"

    def field(self, name: str) -> Field:
        """A field of this book or of the one behind."""
        if name in self._fields or self.behind is None:
            return self._fields[name]
        return self.behind.field(name)

    def field_names(self) -> tuple[str, ...]:
        """Names of the book behind."""
        return self.behind.field_names() if self.behind else ()

    def match(self, name: str) -> Match:
        """Which known field a name means."""
        return self.behind.match(name) if self.behind else New(name)


#: Fleeting entries come after everything that a book behind holds.
_LAST = 2**53
