"""From the facts of one field to all that can be said of it: the whole of ``rules`` in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, cached_property

from rules.agronomy.days import stage_group
from rules.agronomy.stage import read_stage
from rules.cautions import cautions
from rules.engine import RuleBase
from rules.evidence import EvidenceTable, compile_evidence
from rules.facts import Atom, atoms_of, key
from rules.identify import PHASES as IDENTIFYING
from rules.identify import Identification, identify
from rules.model import (
    Action,
    Check,
    Consultation,
    Decision,
    Earlier,
    Fact,
    Firing,
    Problem,
    StageReading,
    Status,
    WouldChange,
)
from rules.next_check import Outlook, best_decision_check, best_identity_check
from rules.numbers import numbers
from rules.oracle import Oracle
from rules.records import Rule
from rules.settle import PRESSING, Settled, dated, settle
from rules.situation import base_atoms, cover_atoms, last_spray, number
from rules.tables import Tables, load
from rules.timing import window_of
from rules.verdict import PHASES as DECIDING
from rules.verdict import Run, Verdict, decide


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """One field's facts, sorted: what belongs to the field, what to each problem."""

    on: date
    facts: tuple[Fact, ...]
    shared: tuple[Fact, ...]
    problems: tuple[tuple[int, ...], ...]
    stage: StageReading
    group: str | None
    extra: tuple[Atom, ...]  # cover of an earlier spray, a find nearby, a clean field


class Consultant:
    """The compiled rules; make one and keep it.

    ``check_with`` chooses who runs the rules of the answer: the engine (as
    always) or the oracle (tests, what-ifs).
    """

    def __init__(self, tables: Tables, *, oracle_only: bool = False) -> None:
        self.tables = tables
        self.evidence: EvidenceTable = compile_evidence(tables)
        self._oracle_only = oracle_only
        find = [r for r in tables.rules if r.phase == "find"]
        self.identifying: tuple[Rule, ...] = (*find, *self.evidence.rules)
        self.deciding: tuple[Rule, ...] = tuple(r for r in tables.rules if r.phase in DECIDING)
        self.rules: dict[str, Rule] = {r.id: r for r in (*self.identifying, *self.deciding)}

    # -- who runs the rules

    @cached_property
    def oracle_identify(self) -> Oracle:
        """The plain-Python reader of the identification rules."""
        return Oracle(self.identifying, IDENTIFYING)

    @cached_property
    def oracle_decide(self) -> Oracle:
        """The plain-Python reader of the decision rules."""
        return Oracle(self.deciding, DECIDING)

    @cached_property
    def _run_identify(self) -> Run:
        return self.oracle_identify.run if self._oracle_only else RuleBase(self.identifying, IDENTIFYING).run

    @cached_property
    def _run_decide(self) -> Run:
        return self.oracle_decide.run if self._oracle_only else RuleBase(self.deciding, DECIDING).run

    # -- the way of one field

    def consult(
        self,
        facts: Sequence[Fact],
        problems: Sequence[Sequence[int]] = (),
        *,
        on: date,
        earlier: Sequence[Earlier] = (),
    ) -> Consultation:
        """Everything that the facts of one field come to on the day ``on``.

        ``problems`` are groups of indexes into ``facts``; ``earlier`` what earlier
        notes of the same case said, oldest first.
        """
        case = self._sort(tuple(facts), problems, on, tuple(earlier))
        found = [self._identify(case, p) for p in case.problems]
        order = sorted(range(len(found)), key=lambda i: self._consequence(case, found[i], i))
        settled = [self._settle(case, case.problems[i], found[i]) for i in order]
        decision, deciding = self._decide(case, settled)
        made = tuple(
            Problem(id=f"p{n}", facts=case.problems[i], differential=found[i].candidates)
            for n, i in enumerate(order, start=1)
        )
        first = found[order[0]] if order else None
        check = self._next_check(case, case.problems[order[0]], first, settled[0]) if first else None
        if decision and deciding is not None:
            decision = replace(decision, would_change_if=self._would_change(case, deciding, check))
        return Consultation(
            stage=case.stage,
            problems=made,
            next_check=check,
            decision=decision,
            numbers=numbers(self.tables, case.facts, case.stage, earlier),
            cautions=self._cautions(case, decision, made),
            trace=self._trace(found, order, settled),
        )

    def _sort(
        self, facts: tuple[Fact, ...], problems: Sequence[Sequence[int]], on: date, earlier: tuple[Earlier, ...]
    ) -> _Case:
        stage = read_stage(facts, on, earlier, self.tables.agronomy)
        group = self._group(facts, stage)
        real = tuple(tuple(p) for p in problems if self._is_problem([facts[i] for i in p]))
        if not problems:
            loose = tuple(i for i, f in enumerate(facts) if self._sign(f))
            real = (loose,) if self._is_problem([facts[i] for i in loose]) else ()
        taken = {i for p in problems for i in p}
        shared = tuple(f for i, f in enumerate(facts) if i not in taken and (problems or not self._sign(f)))
        shared += self._remembered(facts, earlier)
        spray = last_spray(facts, earlier, self.tables)
        extra = cover_atoms(spray, on, stage, self.tables)
        return _Case(
            on=on, facts=facts, shared=shared, problems=real, stage=stage, group=group,
            extra=(*extra, *self._looked(facts, group, real)),
        )  # fmt: skip

    def _sign(self, fact: Fact) -> bool:
        attribute = self.tables.attributes.get(fact.attribute)
        return attribute is not None and attribute.sign

    def _is_problem(self, facts: Iterable[Fact]) -> bool:
        """Is something there?  A denial, a place or a count alone is no problem."""
        return any(
            f.status is Status.PRESENT
            and f.value != "any"
            and f.attribute != "leaf_surface"
            and self.tables.attributes[f.attribute].group in ("seen", "named")
            for f in facts
            if f.attribute in self.tables.attributes
        )

    def _group(self, facts: Sequence[Fact], stage: StageReading) -> str | None:
        if stage.code is None:
            return None
        nearing = any(
            f.attribute == "growth_stage" and f.relation == "nearing" and f.value == "VT" for f in facts
        )
        return "vt_r1" if nearing else stage_group(stage.code, self.tables.agronomy)

    def _remembered(self, facts: Sequence[Fact], earlier: Sequence[Earlier]) -> tuple[Fact, ...]:
        """Crop facts (hybrid, history, previous crop …) of earlier notes that this one does not restate."""
        said = {f.attribute for f in facts}
        kept: dict[tuple[str, object], Fact] = {}
        for note in earlier:
            for f in note.facts:
                attribute = self.tables.attributes.get(f.attribute)
                if attribute and attribute.group == "crop" and f.attribute not in said:
                    kept[f.attribute, f.value] = f
        return tuple(kept.values())

    def _looked(
        self, facts: Sequence[Fact], group: str | None, problems: Sequence[Sequence[int]]
    ) -> tuple[Atom, ...]:
        """Atoms of a field where nothing was found, or where only a find nearby was told."""
        near = [f.value for f in facts if f.attribute == "nearby_find" and f.status is Status.PRESENT]
        if problems:
            return ()
        denied = any(f.attribute == "problem" and f.status is Status.ABSENT for f in facts)
        denied |= any(self._sign(f) and f.status is Status.ABSENT for f in facts)
        made: list[Atom] = [("clean", "yes")] if denied else ([("only_near", "yes")] if near else [])
        for name in near:
            for disorder in self.tables.claims.get(str(name), (str(name),)):
                plan = self.tables.plan_of.get(disorder, "none")
                if plan != "none" and window_of(self.tables, plan, group) != "closed":
                    made.append(("near_window", "yes"))
        return tuple(dict.fromkeys(made))

    # -- what it is

    def _atoms(self, case: _Case, problem: Sequence[int]) -> tuple[Atom, ...]:
        facts = (*case.shared, *(case.facts[i] for i in problem))
        return (*base_atoms(facts, case.on, case.group), *case.extra)

    def _identify(self, case: _Case, problem: Sequence[int]) -> Identification:
        facts = [*case.shared, *(case.facts[i] for i in problem)]
        return identify(self._run_identify, self.evidence, self.tables, facts, self._atoms(case, problem))

    def _consequence(self, case: _Case, found: Identification, place: int) -> tuple[int, int]:
        """Most consequential problem first: what a spray may help, then in the order told."""
        lead = self.tables.disorders[found.candidates[0].disorder]
        return ({"works": 0, "sometimes": 1}.get(lead.management.fungicide, 2), place)

    # -- what to do

    def _verdict(self, case: _Case, atoms: tuple[Atom, ...], lead: str | None, group: str | None, run: Run) -> Verdict:
        rated = {str(f.value) for f in (*case.facts, *case.shared) if f.attribute == "rating_for"}
        if lead and rated and lead not in rated:
            atoms = tuple(a for a in atoms if a[0] != "hybrid_rating")
        return decide(run, self.rules, self.tables, atoms, lead, group)

    def _settle(self, case: _Case, problem: Sequence[int], found: Identification) -> Settled:
        atoms = self._atoms(case, problem)
        lead = found.candidates[0].disorder
        made: dict[str, Verdict] = {}

        def verdict_of(disorder: str) -> Verdict:
            if disorder not in made:
                run = self._run_decide if disorder == lead else self.oracle_decide.run
                made[disorder] = self._verdict(case, atoms, disorder, case.group, run)
            return made[disorder]

        return settle(self._run_decide, self.rules, self.tables, found, verdict_of, case.extra)

    def _decide(self, case: _Case, settled: Sequence[Settled]) -> tuple[Decision | None, Settled | None]:
        """One decision for the field; None when nothing was observed."""
        if not settled:
            if not any(a[0] in ("clean", "only_near") for a in case.extra):
                return None, None
            atoms = (*base_atoms(case.shared, case.on, case.group), *case.extra)
            verdict = self._verdict(case, atoms, None, case.group, self._run_decide)
            settled = [
                Settled(
                    action=verdict.action, verdict=verdict, because=verdict.because,
                    rescout_days=verdict.rescout_days, look_for=verdict.look_for,
                )
            ]  # fmt: skip
        chosen = min(settled, key=lambda s: PRESSING.index(s.action))
        rest = [r for s in settled if s is not chosen for r in s.because[:1]]
        chosen = replace(chosen, because=tuple(dict.fromkeys((*chosen.because, *rest))))
        lead_days = number(case.facts, "applicator_lead_days")
        days = round(lead_days if lead_days is not None else self.tables.figures["lead_days"].value)
        wet = any("moisture=wet" in f.concluded for f in chosen.verdict.trace)
        return dated(self.tables, chosen, case.stage.code, case.group, case.on, days, wet), chosen

    # -- what to look at next, and what would change it

    def _next_check(
        self, case: _Case, problem: Sequence[int], found: Identification, settled: Settled
    ) -> Check | None:
        atoms = self._atoms(case, problem)
        seen: dict[str, Action] = {}

        def action_of(disorder: str) -> Action:
            if disorder not in seen:
                seen[disorder] = self._verdict(case, atoms, disorder, case.group, self.oracle_decide.run).action
            return seen[disorder]

        outlook = Outlook(
            probability=found.probability, seen=found.answered, action=settled.action, action_of=action_of,
            shift=lambda extra: self._shift(atoms, extra),
        )  # fmt: skip
        named = best_identity_check(self.tables, outlook)
        if named and named[1].would_change_decision:
            return named[1]
        lead = found.candidates[0].disorder
        known = replace(outlook, seen=found.answered | self._known(case), action=action_of(lead))
        deciding = best_decision_check(self.tables, known, lambda t: self._tried(case, atoms, lead, t))
        return deciding or (named[1] if named and not self._certain(found) else None)

    def _known(self, case: _Case) -> set[str]:
        return ({"growth_stage"} if case.group else set()) | {f.attribute for f in case.shared}

    def _certain(self, found: Identification) -> bool:
        return found.candidates[0].standing.value in ("fits", "confirmed")

    def _shift(self, atoms: Sequence[Atom], extra: Sequence[Atom]) -> dict[str, int]:
        """How far extra observations move each candidate, in centi-nats, new findings included."""
        trace = self.oracle_identify.run([((*_findings_base(atoms), *extra), IDENTIFYING)])
        before = self.oracle_identify.run([(_findings_base(atoms), IDENTIFYING)])
        old = {f.rule for f in before}
        moved: dict[str, int] = {}
        for fired in trace:
            for said in self.evidence.weighs.get(fired.rule, ()) if fired.rule not in old else ():
                moved[said.disorder] = moved.get(said.disorder, 0) + said.evidence.weight
        return moved

    def _tried(
        self, case: _Case, atoms: tuple[Atom, ...], lead: str | None, tried: Sequence[Sequence[str]], drops: Sequence[str] = ()
    ) -> Action:
        """The action if these atoms stood in place of what was said."""
        new = tuple((a, int(v) if v.lstrip("-").isdigit() else v) for a, v in tried)
        gone = {*drops, *(a for a, _ in new)}
        kept = tuple(a for a in atoms if a[0].split(".")[0] not in gone)
        group = next((str(v) for a, v in new if a == "stage_group"), case.group)
        return self._verdict(case, (*kept, *new), lead, group, self.oracle_decide.run).action

    def _would_change(self, case: _Case, settled: Settled, check: Check | None) -> tuple[WouldChange, ...]:
        made: list[WouldChange] = []
        lead = settled.verdict.lead
        problem = case.problems[0] if case.problems else ()
        atoms = self._atoms(case, problem)
        for what in self.tables.what_ifs if lead else ():
            if set(what.facts) <= {(a, str(v)) for a, v in atoms}:
                continue
            action = self._tried(case, atoms, lead, what.facts, what.drops)
            if action is not settled.verdict.action:
                made.append(WouldChange(fact=what.say, action=action))
        return tuple(made)

    # -- cautions and trace

    def _cautions(self, case: _Case, decision: Decision | None, problems: Sequence[Problem]) -> tuple:  # type: ignore[type-arg]
        if decision is None:
            return ()
        leads = [p.differential[0].disorder for p in problems]
        atoms = (*base_atoms(case.facts, case.on, case.group), *case.extra)
        return cautions(self._run_decide, self.rules, self.tables, atoms, decision, leads, case.group)

    def _trace(
        self, found: Sequence[Identification], order: Sequence[int], settled: Sequence[Settled]
    ) -> tuple[Firing, ...]:
        made: list[Firing] = []
        for n, (i, s) in enumerate(zip(order, settled, strict=True), start=1):
            made += [replace(f, problem=f"p{n}") for f in (*found[i].trace, *s.verdict.trace)]
        return tuple(dict.fromkeys(made))


def _findings_base(atoms: Sequence[Atom]) -> tuple[Atom, ...]:
    """The atoms out of which findings are made, without those that weigh by themselves elsewhere."""
    return tuple(atoms)


@cache
def consultant() -> Consultant:
    """The consultant over the shipped tables."""
    return Consultant(load())


__all__ = ["Consultant", "atoms_of", "consultant", "key"]
