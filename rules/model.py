"""The types that travel along the line: what was said, what it may be, what to do.

Everything here is frozen and built on the standard library alone, so that any
module may import it.  Dates are ``date``; closed choices are ``StrEnum``; ids
are plain strings that :mod:`rules.tables` has checked.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

#: What a fact can hold.  A pair is a range ``(low, high)``.
Value = str | int | float | bool | date | tuple[float, float]


class Status(StrEnum):
    """How a thing was observed.  "Not mentioned" is no fact at all."""

    PRESENT = "present"
    ABSENT = "absent"  # looked at, and not there
    NOT_CHECKED = "not_checked"  # said not to have been looked at
    CANNOT_TELL = "cannot_tell"  # looked, and could not tell


class Relation(StrEnum):
    """Where the crop stands against a growth stage that was named."""

    BEFORE = "before"
    NEARING = "nearing"
    AT = "at"
    AFTER = "after"


class Strength(StrEnum):
    """How much one observation says about one disorder."""

    HALLMARK = "hallmark"
    TYPICAL = "typical"
    POSSIBLE = "possible"
    ARGUES_AGAINST = "argues_against"
    RULES_OUT = "rules_out"


class Standing(StrEnum):
    """Where a candidate stands; ``CONFIRMED`` is the laboratory's word alone."""

    CONFIRMED = "confirmed"
    FITS = "fits"
    POSSIBLE = "possible"
    UNLIKELY = "unlikely"
    RULED_OUT = "ruled_out"


class Action(StrEnum):
    """What to do about the field.  One action a decision, never two."""

    SCOUT = "scout"
    NO_SPRAY = "no_spray"
    TOO_LATE = "too_late"
    SAMPLE = "sample"
    SPRAY = "spray"
    HOLD = "hold"


class Basis(StrEnum):
    """What a growth stage rests on."""

    SEEN = "seen"
    SAID = "said"
    PROJECTED = "projected"
    UNKNOWN = "unknown"


# --------------------------------------------------------------------------- what was said


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that the words of a note say.

    ``span`` is half-open, in code points of the original note; ``text`` are the
    words there.  ``where`` ties a sign to a place, as sorted (attribute, value)
    pairs out of leaf_surface, canopy_position, leaf_from_ear, plant_part.
    ``earlier`` marks a fact carried over from the note that this one answers; its
    span points into that note.
    """

    attribute: str
    value: Value
    status: Status = Status.PRESENT
    hedged: bool = False
    approx: bool = False
    derived: bool = False
    unit: str | None = None
    relation: Relation | None = None
    where: tuple[tuple[str, Value], ...] = ()
    span: tuple[int, int] = (0, 0)
    text: str = ""
    earlier: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """A dictation slip that was put right: what was heard, how it was read."""

    span: tuple[int, int]
    heard: str
    read: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """Words of the note that led to no fact and are not mere grammar."""

    span: tuple[int, int]
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """What one note says of one field.

    ``problems`` holds one tuple of indexes into ``facts`` for each problem that
    the note keeps apart; facts in none of them (stage, weather, crop, money …)
    belong to the field as a whole.  ``ask_back`` is a question that the reader
    has about words with two readings (a bare "upper"), or None.
    """

    field: str | None
    facts: tuple[Fact, ...]
    problems: tuple[tuple[int, ...], ...] = ()
    repairs: tuple[Repair, ...] = ()
    not_understood: tuple[Unread, ...] = ()
    ask_back: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What an earlier note of the same case said, on its own date."""

    on: date
    facts: tuple[Fact, ...]


# --------------------------------------------------------------------------- what follows from it


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One observation's word for or against one candidate.

    ``weight`` is in centi-nats (100 = a factor e on the odds).
    """

    attribute: str
    value: Value
    status: Status
    strength: Strength
    weight: int
    rule: str
    sources: tuple[str, ...]
    known: str = "read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One line of a differential."""

    disorder: str
    name: str
    eppo: str | None
    standing: Standing
    probability: float
    speaks_for: tuple[Evidence, ...] = ()
    speaks_against: tuple[Evidence, ...] = ()
    unchecked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong in the field: its facts (indexes) and what it may be."""

    id: str
    facts: tuple[int, ...]
    differential: tuple[Candidate, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageReading:
    """The crop's stage on the day of the note, with days left to black layer (R6)."""

    code: str | None = None
    bbch: str | None = None
    basis: Basis = Basis.UNKNOWN
    days_to_r6: tuple[int, int] | None = None
    r6_on: tuple[date, date] | None = None
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing to look at next.  ``yes`` and ``no`` are the facts that a bare answer states."""

    id: str
    ask: str
    attribute: str
    separates: tuple[str, ...]
    would_change_decision: bool
    if_yes: str = ""
    if_no: str = ""
    yes: tuple[tuple[str, Value, Status], ...] = ()
    no: tuple[tuple[str, Value, Status], ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One rule's sentence, with what it rests on."""

    rule: str
    text: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldChange:
    """A single fact that would turn the decision into ``action``."""

    fact: str
    action: Action


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What to do about the field, by when, and why."""

    action: Action
    spray_by: date | None = None
    rescout_on: date | None = None
    look_for: str = ""
    because: tuple[Reason, ...] = ()
    would_change_if: tuple[WouldChange, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A figure that the answer rests on, with its unit and range."""

    name: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelVerdict:
    """Whether a label that the user typed in is shown to fit, and why (not)."""

    name: str
    fits: bool
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Firing:
    """One rule that fired in a consultation, on which facts (``attribute=value`` keys)."""

    rule: str
    facts: tuple[str, ...]
    concluded: tuple[str, ...]
    because: str
    sources: tuple[str, ...]
    problem: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Consultation:
    """All that :func:`rules.consult` gives back for one field."""

    stage: StageReading
    problems: tuple[Problem, ...] = ()
    next_check: Check | None = None
    decision: Decision | None = None
    numbers: tuple[Number, ...] = ()
    cautions: tuple[Reason, ...] = ()
    labels: tuple[LabelVerdict, ...] = ()
    trace: tuple[Firing, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something wrong in a table: where, which record, and what is allowed."""

    file: str
    record: str
    message: str

    def __str__(self) -> str:
        return (
            f"{self.file}, {self.record}: {self.message}" if self.record else f"{self.file}: {self.message}"
        )


class EarleafError(Exception):
    """The one family of errors that earleaf raises on purpose."""


class WrongWords(EarleafError):
    """What the user asked for cannot be done as it was said; the sentence says what is allowed."""


class BrokenTables(EarleafError):
    """The shipped tables have faults; the program will not start on them."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(f) for f in faults))


class EngineFault(EarleafError):
    """The rule engine was given something outside its safe subset, or failed."""
