"""The labels on the user's shelf against the decision: which are shown to fit, and why the others not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from rules.agronomy.label import EarlierSpray, Label, Situation, judge
from rules.agronomy.label import load as label_tables
from rules.case import Case
from rules.model import Action, Decision, Earlier, LabelVerdict, Status
from rules.situation import latest, number, spray_of
from rules.tables import Tables

_WANTED = (Action.SPRAY, Action.HOLD, Action.TOO_LATE)


def verdicts(
    tables: Tables,
    labels: Sequence[Label],
    case: Case,
    decision: Decision | None,
    lead: str | None,
    earlier: Sequence[Earlier],
) -> tuple[LabelVerdict, ...]:
    """One verdict a label, those that fit first; none where no spray is in question."""
    if decision is None or decision.action not in _WANTED:
        return ()
    at = _situation(tables, case, lead, earlier)
    made = [judge(label, at, label_tables()) for label in labels]
    return tuple(sorted(made, key=lambda v: (not v.fits, v.name)))


def _situation(tables: Tables, case: Case, lead: str | None, earlier: Sequence[Earlier]) -> Situation:
    facts = (*case.shared, *case.facts)

    def word(attribute: str) -> str | None:
        fact = latest(facts, attribute)
        return str(fact.value) if fact else None

    told = [*earlier, Earlier(on=case.on, facts=facts)]
    sprays = [spray_of(n.facts, tables) for n in told if _tells_of_a_spray(n)]
    return Situation(
        on=case.on,
        disorder=lead,
        use=word("crop_type") or "dent",
        state=word("state"),
        stage=case.stage.code,
        milk_line=number(facts, "milk_line"),
        method=word("spray_method"),
        volume_gal_ac=number(facts, "spray_volume_gal_ac"),
        earliest_harvest=_earliest(case),
        sprays=tuple(EarlierSpray(on=s.on, groups=tuple(sorted(s.groups))) for s in sprays),
    )


def _tells_of_a_spray(note: Earlier) -> bool:
    return any(f.attribute == "sprayed" and f.status is Status.PRESENT for f in note.facts)


def _earliest(case: Case) -> date | None:
    """The earliest harvest told; None leaves the earliest likely one to be reckoned from the stage."""
    days = [
        f.value
        for f in case.facts
        if f.attribute in ("planned_harvest", "earliest_harvest") and isinstance(f.value, date)
    ]
    return min(days) if days else None
