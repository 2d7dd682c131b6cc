"""A season put together: its fields with their visits, what waits, and who grows what."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from assistant.casebook.rows import DueRow, Field, LogRow
from assistant.reports.places import Place, places
from assistant.reports.visits import Visit, visits
from assistant.reports.wording import clean, sentence, spoken
from rules.model import WrongWords

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

#: The case of a note: its case id, or the name of its field where it has none.
Hybrids = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a report is to cover: a year, and in it one field or one hybrid if one is named.

    ``on`` is the day as of which things are due; no report looks at a clock.
    """

    year: int
    on: date
    field: Field | None = None
    hybrid: str | None = None

    @property
    def title(self) -> str:
        """What the report is called."""
        parts = [f"Season {self.year}", *([self.field.name] if self.field else [])]
        return ", ".join([*parts, *([f"hybrid {self.hybrid}"] if self.hybrid else [])])


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSeason:
    """One field in the season; ``name`` is None for notes that named none."""

    name: str | None
    visits: tuple[Visit, ...]
    hybrids: tuple[str, ...] = ()
    place: Place | None = None
    waiting: tuple[DueRow, ...] = ()

    @property
    def title(self) -> str:
        """The field's name, or that there is none."""
        return self.name or "No field named"

    @property
    def open_question(self) -> str:
        """What the latest visit left to be looked at; empty when nothing is open or the season is over."""
        decided = [v for v in self.visits if v.row.action or v.row.kind == "outcome"]
        return decided[-1].ask if decided else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Everything that a report shows."""

    asked: Asked
    fields: tuple[FieldSeason, ...]
    due: tuple[DueRow, ...]
    names: Mapping[str, str]

    @property
    def visits(self) -> tuple[Visit, ...]:
        """The lines of all fields, in order of days; within a day field by field."""
        return tuple(sorted((v for f in self.fields for v in f.visits), key=lambda v: v.on))

    def asked_by(self, row: DueRow) -> Visit | None:
        """The visit that asked for a due day; None where it lies outside this season."""
        own = [v for v in self.visits if v.row.entry_uid == row.entry_uid and v.row.field == row.field]
        return own[0] if own else None

    def reason(self, row: DueRow) -> str:
        """Why something is due, in one sentence; empty where the answer does not say."""
        visit = self.asked_by(row)
        texts = (visit.because[:1] or (visit.look_for,)) if visit else ("",)
        return sentence(texts[0])

    def name(self, disorder: str | None) -> str:
        """A disorder as people call it."""
        return self.names.get(disorder or "", spoken(disorder))


def gather(book: Casebook, asked: Asked) -> Season:
    """Reads a whole season; for forms that show it as a whole.

    Raises:
        WrongWords: no note of the year names that hybrid.
    """
    rows, hybrids = chosen(book, asked)
    by_field: dict[str | None, list[Visit]] = {}
    for visit in visits(book, rows):
        by_field.setdefault(visit.row.field, []).append(visit)
    waiting, where = waiting_rows(book, asked, hybrids), places(book)
    fields = tuple(
        FieldSeason(
            name=name, visits=tuple(by_field[name]), hybrids=_grown(by_field[name], hybrids),
            place=where.get(name or ""), waiting=tuple(d for d in waiting if d.field == name),
        )
        for name in field_order(by_field)
    )  # fmt: skip
    return Season(asked=asked, fields=fields, due=waiting, names=disorder_names())


def chosen(book: Casebook, asked: Asked) -> tuple[Sequence[LogRow], Hybrids]:
    """The lines that a report covers, and the hybrids of every case of the year."""
    rows = book.season(asked.year, asked.field)
    hybrids = hybrids_of(book, rows)
    if asked.hybrid is None:
        return rows, hybrids
    wanted = same_hybrid(asked.hybrid)
    kept = [row for row in rows if wanted in map(same_hybrid, hybrids.get(case_key(row), ()))]
    if not kept:
        named = sorted({clean(name) for names in hybrids.values() for name in names})
        known = f"Named are: {', '.join(named)}." if named else "No hybrid is named at all."
        raise WrongWords(f'No note of {asked.year} names the hybrid "{clean(asked.hybrid)}". {known}')
    return kept, hybrids


def hybrids_of(book: Casebook, rows: Iterable[LogRow]) -> Hybrids:
    """The hybrids that each case's notes name, in the order of their naming, each as it was first written."""
    spelled: dict[str, str] = {}
    found: dict[str, dict[str, None]] = {}
    for visit in visits(book, rows):
        for said in visit.values("hybrid"):
            name = spelled.setdefault(same_hybrid(str(said)), clean(str(said)))
            found.setdefault(case_key(visit.row), {})[name] = None
    return {case: tuple(names) for case, names in found.items()}


def waiting_rows(book: Casebook, asked: Asked, hybrids: Hybrids) -> tuple[DueRow, ...]:
    """What is due in the part of the season that a report covers, in the order in which to go."""
    rows = tuple(row for row in book.due(asked.on) if row.noted_on.year == asked.year)
    if asked.field is not None:
        rows = tuple(row for row in rows if row.field == asked.field.name)
    if asked.hybrid is not None:
        wanted = same_hybrid(asked.hybrid)
        rows = tuple(row for row in rows if wanted in map(same_hybrid, hybrids.get(row.case_id, ())))
    return rows


def case_key(row: LogRow) -> str:
    """What tells one field's season from another's."""
    return row.case_id or f"field {row.field or ''}"


def field_order(names: Iterable[str | None]) -> list[str | None]:
    """Fields by name, "Field 2" before "Field 10"; lines without a field last."""
    return sorted(names, key=lambda name: (name is None, _counting(name or ""), name or ""))


def _counting(name: str) -> list[tuple[int, str]]:
    """A name for sorting: the case of letters does not matter, numbers count as numbers."""
    parts = re.split(r"([0-9]+)", name.casefold())
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in parts]


def disorder_names() -> dict[str, str]:
    """The name of every disorder that the tables know, by id."""
    from rules.tables import load  # half a second, which CSV need not wait for

    return {key: disorder.name for key, disorder in load().disorders.items()}


def _grown(seen: Iterable[Visit], hybrids: Hybrids) -> tuple[str, ...]:
    names = [name for visit in seen for name in hybrids.get(case_key(visit.row), ())]
    return tuple(dict.fromkeys(names))


def same_hybrid(name: str) -> str:
    """The form in which two ways to write one hybrid are equal."""
    return " ".join(name.casefold().split())
