"""A casebook as it stood when a note was taken: the fields and labels known by then, and no others.

Only so does deriving a note again under the same knowledge lead to the same answer: a field that was
made in August must not be heard in a note of July.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from assistant.casebook.book import Casebook
from assistant.casebook.errors import AmbiguousField
from assistant.casebook.fields import KnownName, Match, match
from assistant.casebook.names import normalise
from assistant.casebook.rows import Answer, Case, Derived, Entry, Field, NewEntry
from rules.model import Earlier


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """A name that stands: its place in the journal, the field, and the note that said it first, if any."""

    seq: int
    known: KnownName
    because: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """What the journal tells of its own course: each name, and when the words that stand were entered."""

    names: tuple[Naming, ...]
    worded: Mapping[str, int]


def past_of(book: Casebook) -> Past:
    """The course of a journal."""
    journal = book.journal()
    gone = {entry.refers_to for entry in journal if entry.kind == "withdrawal"}
    fields = {field.uid: field for field in book.fields()}
    fields |= {entry.field_uid or "": field for entry, field in book.same_fields()}
    names = tuple(
        _naming(e, fields[e.field_uid])
        for e in journal
        if e.kind in ("field", "alias") and e.uid not in gone and e.field_uid in fields
    )
    worded = {
        e.refers_to: e.seq
        for e in journal
        if e.kind == "correction" and e.refers_to and e.uid not in gone and not e.body.get("choice")
    }
    return Past(names=names, worded=worded)


def _naming(entry: Entry, field: Field) -> Naming:
    name = str(entry.body["name"])
    known = KnownName(tuple(normalise(name).split()), name, field)
    return Naming(seq=entry.seq, known=known, because=entry.refers_to if entry.kind == "field" else None)


class AsOf:
    """The book for one note that is derived again; it writes answers and fields, and no other entry."""

    def __init__(self, book: Casebook, past: Past, note: Entry) -> None:
        self._book = book
        self._note = note
        self._seq = past.worded.get(note.uid, note.seq)
        self._names = [n.known for n in past.names if n.seq < self._seq]
        self._own = [n.known for n in past.names if n.because == note.uid]
        kept = book.answer(note.uid)
        shown = kept.answer.get("entries") if kept else None
        self._shown = [str(e["field"]) for e in shown if e.get("field")] if isinstance(shown, list) else []

    def choose(self, said: str, names: Sequence[str]) -> str | None:
        """Which of several fields a name meant: the new one that the note made, or where it was filed before.

        Raises:
            AmbiguousField: nobody has ever said which.
        """
        if self._made(said):
            return None
        filed = [name for name in names if name in self._shown]
        if len(filed) == 1:
            return filed[0]
        listed = ", ".join(f'"{name}"' for name in names)
        raise AmbiguousField(f'"{said}" could be {listed}, and nobody has said which. Correct the note.')

    def _made(self, name: str) -> Field | None:
        return next((n.field for n in self._own if n.tokens == tuple(normalise(name).split())), None)

    # ------------------------------------------------------------------ as it was

    def field_names(self) -> tuple[str, ...]:
        """Every name of every field that was known."""
        return tuple(sorted({known.name for known in self._names}))

    def match(self, name: str) -> Match:
        """Which of the fields known then a name means."""
        return match(name, self._names)

    def entries_all(self, kind: str | None = None) -> tuple[Entry, ...]:
        """The entries that stand of those made by then."""
        return tuple(entry for entry in self._book.entries_all(kind) if entry.seq < self._seq)

    # ------------------------------------------------------------------ as it is

    def record(self, entry: NewEntry) -> Entry:
        """Nothing is said anew when a note is derived again."""
        del entry
        return self._note

    def withdraw(self, uid: str, *, author: str, made_at: datetime) -> Entry:
        """Nothing is taken back either."""
        del uid, author, made_at
        return self._note

    def add_field(
        self, name: str, *, author: str, made_at: datetime, about: date, because: str | None = None
    ) -> Field:
        """The field that the note made when it was taken, else one that it makes now."""
        made = self._made(name)
        if made is not None:
            return made
        return self._book.add_field(name, author=author, made_at=made_at, about=about, because=because)

    def derive(
        self, entry_uid: str, knowledge: str, answer: Mapping[str, object], scenes: Sequence[Derived] = ()
    ) -> None:
        """Keeps the new answer in place of the old one."""
        self._book.derive(entry_uid, knowledge, answer, scenes)

    def answer(self, entry_uid: str) -> Answer | None:
        """The answer kept for an entry."""
        return self._book.answer(entry_uid)

    def earlier(self, case_id: str, than: Entry) -> tuple[Earlier, ...]:
        """What the case's notes said before."""
        return self._book.earlier(case_id, than)

    def case(self, case_id: str) -> Case | None:
        """A case by id."""
        return self._book.case(case_id)

    def known_case(self, case_id: str) -> Case:
        """A case by id, or an error that names the nearest."""
        return self._book.known_case(case_id)

    def entries(self, case_id: str) -> tuple[Entry, ...]:
        """The entries of a case that stand, in order."""
        return self._book.entries(case_id)

    def case_for(self, field: Field | str, on: date) -> str:
        """The case that a note of that day joins."""
        return self._book.case_for(field, on)

    def field(self, name: str) -> Field:
        """The one field of that name."""
        return self._book.field(name)
