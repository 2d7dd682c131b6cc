"""The cautions that apply to a decision, most serious first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rules.case import Case
from rules.facts import Atom
from rules.model import Decision, Reason
from rules.records import Rule
from rules.situation import base_atoms
from rules.tables import Tables
from rules.verdict import Run


def cautions(
    run: Run,
    rules: Mapping[str, Rule],
    tables: Tables,
    case: Case,
    decision: Decision,
    leads: Sequence[str],
) -> tuple[Reason, ...]:
    """The caution rules that fire on the decision, the crop and the weather."""
    extra: list[Atom] = [("action", decision.action.value), *(("lead", d) for d in leads)]
    extra += [("cause", tables.disorders[d].cause) for d in leads]
    if case.group == "vt_r1":
        extra.append(("pollen", "yes"))
    if any(f.attribute == "adjuvant" for f in case.facts):
        extra.append(("adjuvant", "yes"))
    atoms = (*base_atoms(case.facts, case.on, case.group), *case.extra, *extra)
    fired = [rules[f.rule] for f in run([(atoms, ("find", "caution"))])]
    serious = {r.id: int(c[1]) for r in fired if r.phase == "caution" for c in r.then if c[0] == "caution"}
    order = sorted(serious, key=lambda rule: (-serious[rule], rule))
    return tuple(Reason(rule=r, text=rules[r].because, sources=rules[r].source) for r in order)
