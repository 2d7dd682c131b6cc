"""The cautions that apply to a decision, most serious first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rules.facts import Atom
from rules.model import Decision, Reason
from rules.records import Rule
from rules.tables import Tables
from rules.verdict import Run


def cautions(
    run: Run,
    rules: Mapping[str, Rule],
    tables: Tables,
    atoms: Iterable[Atom],
    decision: Decision,
    leads: Sequence[str],
    group: str | None,
) -> tuple[Reason, ...]:
    """The caution rules that fire on the decision, the crop and the weather."""
    extra: list[Atom] = [("action", decision.action.value), *(("lead", d) for d in leads)]
    extra += [("cause", tables.disorders[d].cause) for d in leads]
    if group == "vt_r1":
        extra.append(("pollen", "yes"))
    fired = [rules[f.rule] for f in run([((*atoms, *extra), ("find", "caution"))])]
    serious = {r.id: int(c[1]) for r in fired if r.phase == "caution" for c in r.then if c[0] == "caution"}
    order = sorted(serious, key=lambda rule: (-serious[rule], rule))
    return tuple(Reason(rule=r, text=rules[r].because, sources=rules[r].source) for r in order)
