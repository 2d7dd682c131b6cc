"""The plain data that the stages of reading hand to each other; no spaCy here."""

from __future__ import annotations

from dataclasses import dataclass

from rules.model import Relation, Status, Value


@dataclass(frozen=True, slots=True)
class Token:
    """One word of the note.

    ``text`` is lower case; ``norm`` is what cues are matched on ("n't" -> "not");
    ``start`` and ``end`` are half-open code points of the original note, which a
    repaired word shares with the words that it replaces; ``new_line`` says that a
    line begins here.
    """

    text: str
    norm: str
    start: int
    end: int
    new_line: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Something that the tokens ``first`` to ``last`` (exclusive) say, before scope is settled."""

    first: int
    last: int
    attribute: str
    value: Value
    status: Status = Status.PRESENT
    hedged: bool = False
    approx: bool = False
    derived: bool = False
    unit: str | None = None
    relation: Relation | None = None
