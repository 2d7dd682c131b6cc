"""Every rule of the rulesets and profiles: a case where it fires, and cases where it must not."""

from __future__ import annotations

import pytest

from rules.consult import consultant
from rules.facts import Atom
from rules.records import Condition, Rule
from rules.slots import slots

C = consultant()
ALL = {r.id: r for r in (*C.identifying, *C.deciding)}


def meeting(slot: tuple[Condition, ...]) -> Atom:
    """A fact that meets the slot."""
    attribute, operator, wanted = slot[0]
    if operator == "=":
        return (attribute, wanted)  # type: ignore[return-value]
    if operator == "in":
        return (attribute, wanted[0])  # type: ignore[index]
    low = max([v + (op == ">") for _, op, v in slot if op in (">", ">=")], default=None)  # type: ignore[operator]
    high = min([v - (op == "<") for _, op, v in slot if op in ("<", "<=")], default=None)  # type: ignore[operator]
    value = low if low is not None else high
    assert value is not None
    return (attribute, value)


def fires(rule: Rule, atoms: list[Atom]) -> bool:
    """Whether the rule fires on exactly these facts; engine and oracle must agree."""
    identifying = rule.id in {r.id for r in C.identifying}
    phases = (
        ("find", "evidence")
        if identifying
        else ("find", "pressure", "threshold", "decide", "settle", "caution")
    )
    engine = (C.run_identify if identifying else C.run_decide)([(atoms, phases)])
    oracle = (C.oracle_identify if identifying else C.oracle_decide).run([(atoms, phases)])
    assert engine == oracle
    return rule.id in {f.rule for f in engine}


@pytest.mark.parametrize("name", sorted(ALL))
def test_fires_on_its_facts_and_not_without_one_of_them(name: str) -> None:
    rule = ALL[name]
    atoms = [meeting(slot) for slot in slots(rule)]
    assert fires(rule, atoms)
    for n in range(len(atoms)):
        rest = atoms[:n] + atoms[n + 1 :]
        assert not fires(rule, rest), f"fires without {atoms[n]}"
    for condition in rule.unless:
        assert not fires(rule, [*atoms, meeting((condition,))]), f"fires in spite of {condition}"
