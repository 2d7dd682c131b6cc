"""A line of the season log together with what its stored answer says of that field."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from assistant.casebook.rows import LogRow
from assistant.reports.wording import kind_words

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

Raw = Mapping[str, Any]

_DONE = {"sample": "sample sent", "lab_result": "lab result", "outcome": "outcome"}

#: Standings under which a problem counts as found; what is only unlikely was not.
FOUND = frozenset({"confirmed", "fits", "possible"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One fact of a note, as the answer keeps it; ``earlier`` marks one carried over from the note before."""

    attribute: str
    value: object
    status: str
    earlier: bool = False

    @property
    def present(self) -> bool:
        """Seen, or said to be so."""
        return self.status == "present"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One problem of a note: the first of its candidates and the facts that belong to it."""

    disorder: str
    standing: str
    facts: tuple[int, ...]

    @property
    def counts(self) -> bool:
        """Whether it stands well enough to be called found."""
        return self.standing in FOUND


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One line of the log.  ``body`` is what the journal holds of an entry that is no note."""

    row: LogRow
    facts: tuple[Told, ...] = ()
    findings: tuple[Finding, ...] = ()
    because: tuple[str, ...] = ()
    look_for: str = ""
    ask: str = ""
    cautions: tuple[str, ...] = ()
    days_to_r6: tuple[int, int] | None = None
    stage_basis: str = ""
    raw: Raw = field(default_factory=dict)
    body: Raw = field(default_factory=dict)

    @property
    def on(self) -> date:
        """The day it speaks of."""
        return self.row.on

    def values(self, attribute: str) -> tuple[object, ...]:
        """What this note itself says is so of an attribute."""
        return tuple(f.value for f in self.facts if f.attribute == attribute and f.present and not f.earlier)

    @property
    def finds(self) -> tuple[Finding, ...]:
        """The problems that stand well enough to be called found."""
        return tuple(f for f in self.findings if f.counts)

    @property
    def sprayed(self) -> bool:
        """Whether it tells of a spray that was made."""
        told = [f for f in self.facts if f.attribute in ("sprayed", "sprayed_on")]
        return self.row.kind == "spray" or any(f.present and not f.earlier for f in told)

    @property
    def done(self) -> str:
        """What was done, in a word or two; empty where the line tells of nothing done."""
        if self.sprayed:
            return "sprayed"
        if self.row.kind in _DONE:
            return _DONE[self.row.kind]
        return "sample sent" if self.values("sample_sent_on") else ""

    @property
    def label(self) -> str:
        """What kind of line it is, where it is more than a note: what was done, else the kind."""
        return self.done or ("" if self.row.kind == "note" else kind_words(self.row.kind))

    def facts_of(self, finding: Finding) -> tuple[Told, ...]:
        """The facts of one problem that this note itself states."""
        own = [self.facts[i] for i in finding.facts if 0 <= i < len(self.facts)]
        return tuple(f for f in own if not f.earlier)


def visits(book: Casebook, rows: Iterable[LogRow]) -> Iterator[Visit]:
    """The rows one by one, each with its part of its answer; one answer is in memory at a time."""
    uid: str | None = None
    scenes: list[Raw] = []
    for row in rows:
        if row.kind != "note":
            entry = book.entry(row.entry_uid)
            yield Visit(row=row, body=entry.body if entry else {})
            continue
        if row.entry_uid != uid:
            uid, scenes = row.entry_uid, _scenes(book, row.entry_uid)
        yield _visit(row, _take(row, scenes))


def _scenes(book: Casebook, uid: str) -> list[Raw]:
    kept = book.answer(uid)
    return _mappings(kept.answer.get("entries")) if kept else []


def _take(row: LogRow, scenes: list[Raw]) -> Raw:
    """The part of the answer that made this row, taken out so that the next row finds its own."""
    fields = [place for place, scene in enumerate(scenes) if scene.get("field") == row.field]
    cases = [place for place in fields if scenes[place].get("case") == row.case_id]
    return scenes.pop((cases or fields)[0]) if fields else {}


def _visit(row: LogRow, scene: Raw) -> Visit:
    decision, stage = _mapping(scene.get("decision")), _mapping(scene.get("stage"))
    findings = tuple(f for p in _mappings(scene.get("problems")) for f in _finding(p))
    if not findings and row.found:
        findings = (Finding(disorder=row.found, standing=row.standing or "", facts=()),)
    return Visit(
        row=row,
        facts=tuple(_told(f) for f in _mappings(scene.get("facts"))),
        findings=findings,
        because=_texts(decision.get("because")),
        look_for=str(decision.get("look_for") or ""),
        ask=str(_mapping(scene.get("next_check")).get("ask") or ""),
        cautions=_texts(scene.get("cautions")),
        days_to_r6=_pair(stage.get("days_to_r6")),
        stage_basis=str(stage.get("basis") or ""),
        raw=scene,
    )


def _told(raw: Raw) -> Told:
    value = raw.get("value")
    return Told(
        attribute=str(raw.get("attribute", "")), value=tuple(value) if isinstance(value, list) else value,
        status=str(raw.get("status", "")), earlier=bool(raw.get("earlier")),
    )  # fmt: skip


def _finding(problem: Raw) -> Iterator[Finding]:
    candidates = _mappings(problem.get("differential"))
    if candidates:
        places = problem.get("facts")
        yield Finding(
            disorder=str(candidates[0].get("disorder", "")), standing=str(candidates[0].get("standing", "")),
            facts=tuple(p for p in places if isinstance(p, int)) if isinstance(places, list) else (),
        )  # fmt: skip


def _texts(raw: object) -> tuple[str, ...]:
    return tuple(str(each.get("text") or "") for each in _mappings(raw))


def _pair(raw: object) -> tuple[int, int] | None:
    if isinstance(raw, list | tuple) and len(raw) == 2 and all(isinstance(x, int) for x in raw):
        return int(raw[0]), int(raw[1])
    return None


def _mapping(raw: object) -> Raw:
    return raw if isinstance(raw, Mapping) else {}


def _mappings(raw: object) -> list[Raw]:
    return [each for each in raw if isinstance(each, Mapping)] if isinstance(raw, list) else []
