"""One problem's facts -> its weighing: which rules fired, what was looked at, what it may be."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.differential import AS_SAID, Weighing, differential, weigh
from rules.evidence import EvidenceTable
from rules.facts import Atom, atom_of, key
from rules.model import Candidate, Fact, Firing, Status
from rules.tables import Tables
from rules.verdict import Run

PHASES = ("find", "evidence")


@dataclass(frozen=True, slots=True, kw_only=True)
class Identification:
    """What the facts of one problem come to."""

    weighing: Weighing
    probability: Mapping[str, float]
    candidates: tuple[Candidate, ...]
    seen: frozenset[str]  # attributes and findings observed without doubt
    answered: frozenset[str]  # those, and what was doubtful or could not be told
    stated: frozenset[str]  # disorders that the speaker names as so
    trace: tuple[Firing, ...]


def identify(
    run: Run, table: EvidenceTable, tables: Tables, facts: Sequence[Fact], atoms: Iterable[Atom]
) -> Identification:
    """Identifies one problem; ``facts`` are its own and the field's, ``atoms`` all that the rules may see."""
    trace = run([(tuple(atoms), PHASES)])
    doubtful = _doubtful(facts, trace)
    weighing = weigh(tables, table, trace, doubtful)
    seen = _seen(facts, trace, doubtful)
    return Identification(
        weighing=weighing,
        probability=weighing.probability(),
        candidates=differential(
            tables, table, weighing, seen, unmade=_unmade(facts), confirmed=confirmed(tables, facts)
        ),
        seen=seen,
        answered=seen | _answered(facts),
        stated=frozenset(
            str(f.value)
            for f in facts
            if f.attribute == "problem" and f.status is Status.PRESENT and not f.hedged
        ),
        trace=tuple(trace),
    )


def _answered(facts: Sequence[Fact]) -> set[str]:
    """Attributes that were looked at, whatever came of it, with the findings that would rest on them."""
    unclear = {f.attribute for f in facts if f.status is Status.CANNOT_TELL}
    hidden = {finding for finding, attribute in AS_SAID.items() if attribute in unclear}
    return hidden | {f.attribute for f in facts if f.status is not Status.NOT_CHECKED and not f.hedged}


def _unmade(facts: Sequence[Fact]) -> frozenset[str]:
    return frozenset(f.attribute for f in facts if f.status in (Status.NOT_CHECKED, Status.CANNOT_TELL))


def confirmed(tables: Tables, facts: Sequence[Fact]) -> str | None:
    """The disorder that a laboratory is said to have confirmed, if the note names both."""
    if not any(f.attribute == "lab_confirmed" and f.status is Status.PRESENT for f in facts):
        return None
    named = [f.value for f in facts if f.attribute == "problem" and f.status is Status.PRESENT]
    return next((str(v) for v in reversed(named) if v in tables.disorders), None)


def _doubtful(facts: Sequence[Fact], trace: Iterable[Firing]) -> frozenset[str]:
    """Keys of atoms that only hedged facts state, and of findings that rest on them."""
    sure = {key(atom_of(f)) for f in facts if not f.hedged}
    doubtful = {key(atom_of(f)) for f in facts if f.hedged} - sure
    for fired in trace:
        if set(fired.facts) & doubtful:
            doubtful.update(c for c in fired.concluded if not c.startswith("weighed="))
    return frozenset(doubtful)


def _seen(facts: Sequence[Fact], trace: Iterable[Firing], doubtful: Collection[str]) -> frozenset[str]:
    plain = {
        f.attribute
        for f in facts
        if f.status in (Status.PRESENT, Status.ABSENT) and not f.hedged and "@" not in atom_of(f)[0]
    }
    found = {
        conclusion.split("=")[0]
        for fired in trace
        if not set(fired.facts) & set(doubtful)
        for conclusion in fired.concluded
    }
    return frozenset((plain | found) - {"weighed"})
