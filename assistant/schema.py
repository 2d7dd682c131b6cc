"""The machine-readable face of an answer: its types, its JSON, its JSON Schema.

Version 1.  Keys may be added; a key that changes meaning or goes away bumps it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from rules import model

VERSION: Literal[1] = 1

Value = bool | int | float | str | date | list[float]


class _Shape(BaseModel):
    model_config = ConfigDict(frozen=True, populate_by_name=True)


class FactShape(_Shape):
    """One thing that the words say."""

    attribute: str
    value: Value
    unit: str | None = None
    status: model.Status
    hedged: bool
    approx: bool | None = None
    derived: bool | None = None
    relation: model.Relation | None = None
    where: dict[str, Value] | None = None
    span: tuple[int, int]
    text: str
    earlier: bool | None = None


class RepairShape(_Shape):
    """A dictation slip put right."""

    span: tuple[int, int]
    heard: str
    read: str


class UnreadShape(_Shape):
    """Words that were not understood."""

    span: tuple[int, int]
    text: str


class StageShape(_Shape):
    """The crop's stage on the day of the note."""

    code: str | None
    bbch: str | None
    basis: model.Basis
    days_to_r6: tuple[int, int] | None
    r6_on: tuple[date, date] | None
    sources: list[str]


class EvidenceShape(_Shape):
    """One observation's word for or against a candidate."""

    attribute: str
    value: Value
    status: model.Status
    strength: Literal["hallmark", "typical", "argues_against", "rules_out"]
    sources: list[str]
    known: str
    rule: str


class CandidateShape(_Shape):
    """One line of a differential."""

    disorder: str
    eppo: str | None
    standing: model.Standing
    probability: float
    speaks_for: list[EvidenceShape] = Field(serialization_alias="for")
    against: list[EvidenceShape]
    unchecked: list[str]


class ProblemShape(_Shape):
    """One thing wrong in the field."""

    id: str
    facts: list[int]
    differential: list[CandidateShape]


class CheckShape(_Shape):
    """The next thing to look at."""

    id: str
    ask: str
    attribute: str
    separates: list[str]
    would_change_decision: bool
    if_yes: str
    if_no: str
    sources: list[str]


class ReasonShape(_Shape):
    """A rule's sentence."""

    rule: str
    text: str
    sources: list[str]


class WouldChangeShape(_Shape):
    """A single fact that would turn the decision."""

    fact: str
    action: model.Action


class DecisionShape(_Shape):
    """What to do about the field."""

    action: model.Action
    spray_by: date | None
    rescout_on: date | None
    look_for: str
    because: list[ReasonShape]
    would_change_if: list[WouldChangeShape]


class NumberShape(_Shape):
    """A figure with its range and unit."""

    name: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    sources: list[str]


class LabelShape(_Shape):
    """A label typed in by the user, and whether it is shown to fit."""

    name: str
    fits: bool
    because: list[str]


class EntryShape(_Shape):
    """What a note says of one field, and what follows."""

    field: str | None
    case: str | None
    facts: list[FactShape]
    repairs: list[RepairShape]
    not_understood: list[UnreadShape]
    ask_back: str | None = None
    stage: StageShape
    problems: list[ProblemShape]
    differential: list[CandidateShape]
    next_check: CheckShape | None
    decision: DecisionShape | None
    numbers: list[NumberShape]
    cautions: list[ReasonShape]
    labels: list[LabelShape]


class AnswerShape(_Shape):
    """The answer to one note."""

    version: Literal[1]
    knowledge: str
    date: date
    entries: list[EntryShape]


# ----------------------------------------------------------------------------- from the line's types


def _value(value: model.Value) -> Value:
    return list(value) if isinstance(value, tuple) else value


def fact_shape(fact: model.Fact) -> FactShape:
    """A fact as JSON shows it; flags that are false are left out."""
    return FactShape(
        attribute=fact.attribute,
        value=_value(fact.value),
        unit=fact.unit,
        status=fact.status,
        hedged=fact.hedged,
        approx=fact.approx or None,
        derived=fact.derived or None,
        relation=fact.relation,
        where={k: _value(v) for k, v in fact.where} or None,
        span=fact.span,
        text=fact.text,
        earlier=fact.earlier or None,
    )


def _evidence(items: Iterable[model.Evidence]) -> list[EvidenceShape]:
    return [
        EvidenceShape(
            attribute=e.attribute,
            value=_value(e.value),
            status=e.status,
            strength=e.strength.value,  # type: ignore[arg-type]
            sources=list(e.sources),
            known=e.known,
            rule=e.rule,
        )
        for e in items
        if e.strength is not model.Strength.POSSIBLE
    ]


def _candidate(candidate: model.Candidate) -> CandidateShape:
    return CandidateShape(
        disorder=candidate.disorder,
        eppo=candidate.eppo,
        standing=candidate.standing,
        probability=candidate.probability,
        speaks_for=_evidence(candidate.speaks_for),
        against=_evidence(candidate.speaks_against),
        unchecked=list(candidate.unchecked),
    )


def _reasons(items: Iterable[model.Reason]) -> list[ReasonShape]:
    return [ReasonShape(rule=r.rule, text=r.text, sources=list(r.sources)) for r in items]


def _check(check: model.Check | None) -> CheckShape | None:
    if check is None:
        return None
    return CheckShape(
        id=check.id,
        ask=check.ask,
        attribute=check.attribute,
        separates=list(check.separates),
        would_change_decision=check.would_change_decision,
        if_yes=check.if_yes,
        if_no=check.if_no,
        sources=list(check.sources),
    )


def _decision(decision: model.Decision | None) -> DecisionShape | None:
    if decision is None:
        return None
    return DecisionShape(
        action=decision.action,
        spray_by=decision.spray_by,
        rescout_on=decision.rescout_on,
        look_for=decision.look_for,
        because=_reasons(decision.because),
        would_change_if=[WouldChangeShape(fact=w.fact, action=w.action) for w in decision.would_change_if],
    )


def _stage(stage: model.StageReading) -> StageShape:
    return StageShape(
        code=stage.code,
        bbch=stage.bbch,
        basis=stage.basis,
        days_to_r6=stage.days_to_r6,
        r6_on=stage.r6_on,
        sources=list(stage.sources),
    )


def entry_shape(
    scene: model.Scene, consultation: model.Consultation, *, field: str | None, case: str | None
) -> EntryShape:
    """One field's part of an answer."""
    problems = [
        ProblemShape(id=p.id, facts=list(p.facts), differential=[_candidate(c) for c in p.differential])
        for p in consultation.problems
    ]
    return EntryShape(
        field=field,
        case=case,
        facts=[fact_shape(f) for f in scene.facts],
        repairs=[RepairShape(span=r.span, heard=r.heard, read=r.read) for r in scene.repairs],
        not_understood=[UnreadShape(span=u.span, text=u.text) for u in scene.not_understood],
        ask_back=scene.ask_back,
        stage=_stage(consultation.stage),
        problems=problems,
        differential=problems[0].differential if problems else [],
        next_check=_check(consultation.next_check),
        decision=_decision(consultation.decision),
        numbers=[
            NumberShape(
                name=n.name, value=n.value, low=n.low, high=n.high, unit=n.unit, sources=list(n.sources)
            )
            for n in consultation.numbers
        ],
        cautions=_reasons(consultation.cautions),
        labels=[LabelShape(name=x.name, fits=x.fits, because=list(x.because)) for x in consultation.labels],
    )


def to_json(answer: AnswerShape) -> str:
    """One line of JSON, the same bytes for the same answer."""
    return json.dumps(to_dict(answer), ensure_ascii=False, separators=(",", ":"))


def to_dict(answer: AnswerShape) -> dict[str, Any]:
    """The answer as plain JSON data."""
    made: dict[str, Any] = answer.model_dump(mode="json", by_alias=True)
    for entry in made["entries"]:
        for fact in entry["facts"]:
            for optional in ("unit", "approx", "derived", "relation", "where", "earlier"):
                if fact[optional] is None:
                    del fact[optional]
        if entry["ask_back"] is None:
            del entry["ask_back"]
    return made


def json_schema() -> dict[str, Any]:
    """The JSON Schema of an answer."""
    return AnswerShape.model_json_schema(by_alias=True, mode="serialization")
