"""The shapes that go into the casebook and come out of it; all frozen, all plain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from rules.model import Fact

#: What an entry can be.  A kind outside this list is refused, so that a slip of a
#: program never becomes a kind of its own; add to the list when a new one is meant.
KINDS = frozenset(
    {
        "note",  # {"text": words, "asked": the check that the words answer, "imported": true for old notes}
        "correction",  # {"text": words}, refers to a note and stands in its place
        "withdrawal",  # refers to what is taken back
        "field",  # {"name", "slug"}, refers to the note that first named it, if one did
        "alias",  # {"name"}, another name of a field
        "spray",  # {"text", ...}
        "lab_result",  # {"text", ...}
        "sample",  # {"text", ...}
        "outcome",  # {"text", "harvested_on": ISO date, ...}
        "position",  # {"lat", "lon"}, where the field lies
        "photograph",  # {"text", "path", "sha256", "taken_at"}; the picture itself stays where it is
        "label",  # a label typed in
        "setting",  # {"name", "value"}
    }
)

#: Entries that speak of the field itself and so stand in its history and in the season log.
TOLD = frozenset({"note", "spray", "lab_result", "sample", "outcome", "photograph"})


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEntry:
    """What a caller hands to the journal.

    ``made_at`` is when it was said and carries an offset; ``about`` is the day it
    speaks of.  A note's field is left out when only reading can tell it.
    """

    author: str
    made_at: datetime
    about: date
    kind: str
    body: Mapping[str, object]
    case_id: str | None = None
    field_uid: str | None = None
    refers_to: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the journal; ``seq`` is its place in this file, ``made_as`` its place where it was made.

    Where a note was corrected, ``body`` holds the words that stand, ``first_body``
    the words first said, and ``corrected_by`` the uid of the correction.
    """

    uid: str
    seq: int
    author: str
    made_at: datetime
    about: date
    kind: str
    body: Mapping[str, object]
    case_id: str | None = None
    field_uid: str | None = None
    refers_to: str | None = None
    made_as: int = 0
    first_body: Mapping[str, object] | None = None
    corrected_by: str | None = None

    @property
    def text(self) -> str:
        """The words that stand; empty for an entry without any."""
        return str(self.body.get("text", ""))

    def corrected(self, correction: Entry) -> Entry:
        """The same entry with the correction's words in place of its own."""
        return replace(
            self,
            body={**self.body, **correction.body},
            first_body=self.first_body or self.body,
            corrected_by=correction.uid,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field: its uid, the name it was first given, and the word that its case ids begin with."""

    uid: str
    name: str
    slug: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Derived:
    """What was derived from a note about one field: the facts and the decision.

    ``visit`` is False where the words neither looked at the field nor did anything
    to it (a price, a plan, an invoice): such a scene closes no open rescout.
    """

    field_uid: str | None = None
    case_id: str | None = None
    facts: tuple[Fact, ...] = ()
    action: str | None = None
    spray_by: date | None = None
    rescout_on: date | None = None
    lead: str | None = None
    standing: str | None = None
    stage: str | None = None
    visit: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """An answer as it was given, with the hash of the knowledge that gave it."""

    entry_uid: str
    knowledge: str
    answer: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One field in one season, or notes of no known field that a caller put together.

    ``ends`` is the last day of the season: the harvest where it is known, else 31 December.
    """

    id: str
    field: Field | None
    year: int
    first: date
    last: date
    ends: date
    entries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """A field that waits for another look or for the sprayer."""

    case_id: str
    field: str | None
    noted_on: date
    action: str
    spray_by: date | None
    rescout_on: date | None
    lead: str | None
    standing: str | None
    stage: str | None
    entry_uid: str

    @property
    def next_on(self) -> date:
        """The first day on which something is due."""
        return min(day for day in (self.spray_by, self.rescout_on) if day is not None)

    @property
    def order(self) -> tuple[date, date, str]:
        """Last useful spray day first, then rescout day; a row without one comes after those with."""
        return (self.spray_by or date.max, self.rescout_on or date.max, self.case_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRow:
    """One line of a season log or of a field's history: what was said, found and decided."""

    on: date
    field: str | None
    case_id: str | None
    kind: str
    stage: str | None
    found: str | None
    standing: str | None
    action: str | None
    spray_by: date | None
    rescout_on: date | None
    text: str
    author: str
    entry_uid: str
