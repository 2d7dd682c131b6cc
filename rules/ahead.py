"""Looking ahead: what to look at next, and what would change the decision.

Every what-if is one run of the oracle over the same rule records.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rules.case import Case
from rules.evidence import EvidenceTable
from rules.facts import Atom
from rules.identify import PHASES as IDENTIFYING
from rules.identify import Identification
from rules.model import Action, Check, Standing, WouldChange
from rules.next_check import Option, Outlook, best_decision_check, best_identity_check
from rules.oracle import Oracle
from rules.records import Rule
from rules.settle import Settled
from rules.tables import Tables
from rules.verdict import DECIDING, action_of, lead_atoms


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """The what-ifs of one problem of one field."""

    tables: Tables
    evidence: EvidenceTable
    rules: dict[str, Rule]
    identifying: Oracle
    deciding: Oracle
    case: Case
    problem: tuple[int, ...]
    found: Identification
    settled: Settled

    def look(self) -> tuple[Check | None, tuple[WouldChange, ...]]:
        """The next check, and the single facts that would turn the decision."""
        outlook = self._outlook()
        option = best_identity_check(self.tables, outlook)
        if option and option.check.would_change_decision:
            return option.check, (*_outcomes(option, self.settled.action), *self.would_change())
        check = self._deciding_check(outlook)
        if check is None and option and not self._certain():
            check = option.check
        return check, self.would_change()

    def would_change(self) -> tuple[WouldChange, ...]:
        """The single facts of what_ifs.toml that turn the verdict on the leading candidate."""
        lead = self.settled.verdict.lead
        if lead is None:
            return ()
        atoms = self.case.atoms(self.problem)
        stated = {(a, str(v)) for a, v in atoms}
        tried = [
            (w, self._tried(atoms, lead, w.facts, w.drops))
            for w in self.tables.what_ifs
            if not set(w.facts) <= stated
        ]
        return tuple(
            WouldChange(fact=w.say, action=action)
            for w, action in tried
            if action is not self.settled.verdict.action
        )

    def _outlook(self) -> Outlook:
        atoms = self.case.atoms(self.problem)
        known: dict[str, Action] = {}

        def action_of(disorder: str) -> Action:
            if disorder not in known:
                known[disorder] = self._action(atoms, disorder, self.case.group)
            return known[disorder]

        adding = self.identifying.adding([(atoms, IDENTIFYING)])
        return Outlook(
            probability=self.found.probability,
            seen=self.found.answered,
            action=self.settled.action,
            action_of=action_of,
            shift=lambda extra: self._shift(adding(extra)),
        )

    def _deciding_check(self, outlook: Outlook) -> Check | None:
        lead = self.found.candidates[0].disorder
        atoms = self.case.atoms(self.problem)
        stage = {"growth_stage"} if self.case.group else set()
        known = self.found.answered | stage | {f.attribute for f in self.case.shared}
        known_now = replace(outlook, seen=known, action=outlook.action_of(lead))
        return best_decision_check(self.tables, known_now, lambda t: self._tried(atoms, lead, t))

    def _certain(self) -> bool:
        return self.found.candidates[0].standing in (Standing.FITS, Standing.CONFIRMED)

    def _shift(self, new: Iterable[str]) -> dict[str, int]:
        """How far newly fired evidence rules move each candidate, in centi-nats."""
        moved: dict[str, int] = {}
        for rule in new:
            for said in self.evidence.weighs.get(rule, ()):
                moved[said.disorder] = moved.get(said.disorder, 0) + said.evidence.weight
        return moved

    def _tried(
        self, atoms: Sequence[Atom], lead: str, tried: Sequence[Sequence[str]], drops: Sequence[str] = ()
    ) -> Action:
        """The action if these atoms stood in place of what was said."""
        new: list[Atom] = [(a, int(v) if v.lstrip("-").isdigit() else v) for a, v in tried]
        gone = {*drops, *(a for a, _ in new)}
        kept = [a for a in atoms if a[0].split(".")[0] not in gone]
        group = next((str(v) for a, v in new if a == "stage_group"), self.case.group)
        return self._action([*kept, *new], lead, group)

    def _action(self, atoms: Sequence[Atom], lead: str, group: str | None) -> Action:
        extra = lead_atoms(self.tables, lead, group, atoms)
        return action_of(self.rules, self.deciding.fired([((*atoms, *extra), DECIDING)]))


def _outcomes(option: Option, action: Action) -> tuple[WouldChange, ...]:
    """What the two answers of the next check would make of the decision."""
    said = ((option.check.if_yes, option.yes), (option.check.if_no, option.no))
    return tuple(WouldChange(fact=text, action=then) for text, then in said if then is not action)
