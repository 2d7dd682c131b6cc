"""From the facts of one field to all that can be said of it: the whole of ``rules`` in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache, cached_property

from rules.agronomy.label import Label
from rules.ahead import Ahead
from rules.case import Case, sort
from rules.cautions import cautions
from rules.engine import RuleBase
from rules.evidence import EvidenceTable, compile_evidence
from rules.identify import PHASES as IDENTIFYING
from rules.identify import Identification, identify
from rules.model import Check, Consultation, Decision, Earlier, Fact, Firing, Problem, Reason
from rules.numbers import numbers
from rules.oracle import Oracle
from rules.records import Rule
from rules.settle import PRESSING, Settled, dated, only, settle
from rules.shelf import verdicts
from rules.situation import number
from rules.tables import Tables, load
from rules.verdict import PHASES as DECIDING
from rules.verdict import Run, Verdict, decide


class Consultant:
    """The compiled rules; make one and keep it (the engine never frees a ruleset).

    The engine runs the rules of every answer; ``oracle_only`` lets the plain-Python
    reader do it, which the tests hold against the engine.
    """

    def __init__(self, tables: Tables, *, oracle_only: bool = False) -> None:
        self.tables = tables
        self.evidence: EvidenceTable = compile_evidence(tables)
        self._oracle_only = oracle_only
        find = [r for r in tables.rules if r.phase == "find"]
        self.identifying: tuple[Rule, ...] = (*find, *self.evidence.rules)
        self.deciding: tuple[Rule, ...] = tuple(r for r in tables.rules if r.phase in DECIDING)
        self.rules: dict[str, Rule] = {r.id: r for r in (*self.identifying, *self.deciding)}

    @cached_property
    def oracle_identify(self) -> Oracle:
        """The plain-Python reader of the identification rules."""
        return Oracle(self.identifying, IDENTIFYING)

    @cached_property
    def oracle_decide(self) -> Oracle:
        """The plain-Python reader of the decision rules."""
        return Oracle(self.deciding, DECIDING)

    @cached_property
    def run_identify(self) -> Run:
        """Runs the identification rules."""
        return self.oracle_identify.run if self._oracle_only else RuleBase(self.identifying, IDENTIFYING).run

    @cached_property
    def run_decide(self) -> Run:
        """Runs the decision rules."""
        return self.oracle_decide.run if self._oracle_only else RuleBase(self.deciding, DECIDING).run

    def consult(
        self,
        facts: Sequence[Fact],
        problems: Sequence[Sequence[int]] = (),
        *,
        on: date,
        earlier: Sequence[Earlier] = (),
        labels: Sequence[Label] = (),
    ) -> Consultation:
        """Everything that the facts of one field come to on the day ``on``.

        ``problems`` are groups of indexes into ``facts``; ``earlier`` what earlier
        notes of the same case said, oldest first; ``labels`` what stands on the shelf.
        """
        case = sort(self.tables, facts, problems, on, earlier)
        told = [self._identify(case, p) for p in case.problems]
        order = sorted(range(len(told)), key=lambda i: (self._rank(told[i]), i))
        problems, found = [case.problems[i] for i in order], [told[i] for i in order]
        settled = [self._settle(case, p, f) for p, f in zip(problems, found, strict=True)]
        decision, chosen = self._decide(case, settled)
        check: Check | None = None
        if decision is not None and chosen is not None and found:
            ahead = self._ahead(case, problems, found, settled)
            check, turns = ahead.look()
            decision = replace(decision, would_change_if=turns)
        return Consultation(
            stage=case.stage,
            problems=tuple(
                Problem(id=f"p{n}", facts=tuple(p), differential=f.candidates)
                for n, (p, f) in enumerate(zip(problems, found, strict=True), start=1)
            ),
            next_check=check,
            decision=decision,
            numbers=numbers(self.tables, case.facts, case.stage, earlier),
            cautions=self._cautions(case, decision, found),
            labels=verdicts(self.tables, labels, case, decision, _lead(chosen), earlier),
            trace=_trace(found, settled, chosen),
        )

    def _identify(self, case: Case, problem: Sequence[int]) -> Identification:
        return identify(self.run_identify, self.evidence, self.tables, case.of(problem), case.atoms(problem))

    def _rank(self, found: Identification) -> int:
        """Most consequential problem first: what a spray may help."""
        lead = self.tables.disorders[found.candidates[0].disorder]
        return {"works": 0, "sometimes": 1}.get(lead.management.fungicide, 2)

    def _verdict(self, case: Case, problem: Sequence[int], lead: str | None, run: Run) -> Verdict:
        atoms = case.atoms(problem)
        rated = {str(f.value) for f in (*case.facts, *case.shared) if f.attribute == "rating_for"}
        if lead and rated and lead not in rated:  # the score told is for another disease
            atoms = tuple(a for a in atoms if a[0] != "hybrid_rating")
        return decide(run, self.rules, self.tables, atoms, lead, case.group)

    def _settle(self, case: Case, problem: Sequence[int], found: Identification) -> Settled:
        lead = found.candidates[0].disorder
        made: dict[str, Verdict] = {}

        def verdict_of(disorder: str) -> Verdict:
            if disorder not in made:
                run = self.run_decide if disorder == lead else self.oracle_decide.run
                made[disorder] = self._verdict(case, problem, disorder, run)
            return made[disorder]

        return settle(self.run_decide, self.rules, self.tables, found, verdict_of, case.extra)

    def _decide(self, case: Case, settled: Sequence[Settled]) -> tuple[Decision | None, Settled | None]:
        """One decision for the field; None when nothing was observed."""
        if not settled:
            if not any(a[0] in ("clean", "only_near", "not_walked") for a in case.extra):
                return None, None
            settled = [only(self._verdict(case, (), None, self.run_decide))]
        chosen = min(settled, key=lambda s: PRESSING.index(s.action))
        others = [r for s in settled if s is not chosen for r in s.because[:1]]
        chosen = replace(chosen, because=tuple(dict.fromkeys((*chosen.because, *others))))
        said = number(case.facts, "applicator_lead_days")
        lead_days = round(said if said is not None else self.tables.figures["lead_days"].value)
        return dated(self.tables, chosen, case, lead_days), chosen

    def _ahead(
        self,
        case: Case,
        problems: Sequence[Sequence[int]],
        found: Sequence[Identification],
        settled: Sequence[Settled],
    ) -> Ahead:
        """The what-ifs of the problem that decides (the first of the most pressing)."""
        n = min(range(len(settled)), key=lambda i: PRESSING.index(settled[i].action))
        return Ahead(
            tables=self.tables,
            evidence=self.evidence,
            rules=self.rules,
            identifying=self.oracle_identify,
            deciding=self.oracle_decide,
            case=case,
            problem=tuple(problems[n]),
            found=found[n],
            settled=settled[n],
        )

    def _cautions(
        self, case: Case, decision: Decision | None, found: Sequence[Identification]
    ) -> tuple[Reason, ...]:
        if decision is None:
            return ()
        leads = [f.candidates[0].disorder for f in found]
        return cautions(self.run_decide, self.rules, self.tables, case, decision, leads)


def _lead(chosen: Settled | None) -> str | None:
    return chosen.verdict.lead if chosen else None


def _trace(
    found: Sequence[Identification], settled: Sequence[Settled], chosen: Settled | None
) -> tuple[Firing, ...]:
    made: list[Firing] = []
    for n, (f, s) in enumerate(zip(found, settled, strict=True), start=1):
        made += [replace(firing, problem=f"p{n}") for firing in (*f.trace, *s.verdict.trace)]
    if not found and chosen is not None:
        made += chosen.verdict.trace
    return tuple(dict.fromkeys(made))


@cache
def consultant() -> Consultant:
    """The consultant over the shipped tables."""
    return Consultant(load())
