"""The engine against the oracle, and the safe subset that it is kept in."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rules.engine import RuleBase
from rules.facts import Atom, checked
from rules.model import EngineFault
from rules.oracle import Oracle
from rules.records import Rule

PHASES = ("find", "decide")


def rule(name: str, when: tuple, then: tuple, unless: tuple = (), phase: str = "find") -> Rule:
    return Rule(id=name, phase=phase, when=when, unless=unless, then=then, because="b", source=("judgement",))


RULES = (
    rule("one", (("colour", "=", "orange"), ("side", "in", ("upper", "both"))), (("fact", "rust", "yes"),)),
    rule("chain", (("rust", "=", "yes"),), (("fact", "threat", "high"),)),
    rule("band", (("temp", ">=", 75), ("temp", "<=", 90)), (("fact", "air", "warm"),)),
    rule("two", (("side", "=", "upper"), ("side", "=", "lower")), (("fact", "sides", "both"),)),
    rule(
        "gated", (("threat", "=", "high"),), (("fact", "act", "spray"),), (("cover", "=", "left"),), "decide"
    ),
)
BASE, SECOND = RuleBase(RULES, PHASES), Oracle(RULES, PHASES)


def both(atoms: list[Atom]) -> list[str]:
    """The rules that fired, the same by engine and oracle."""
    engine = BASE.run([(atoms, PHASES)])
    assert engine == SECOND.run([(atoms, PHASES)])
    return [f.rule for f in engine]


def test_a_chain_runs_to_its_end() -> None:
    assert both([("colour", "orange"), ("side", "upper")]) == ["one", "chain", "gated"]


def test_unless_holds_a_rule_back_whatever_the_order() -> None:
    assert "gated" not in both([("colour", "orange"), ("side", "upper"), ("cover", "left")])
    assert "gated" not in both([("cover", "left"), ("side", "upper"), ("colour", "orange")])


@pytest.mark.parametrize(("temperature", "fires"), [(74, False), (75, True), (90, True), (91, False)])
def test_two_bounds_are_met_by_one_fact(temperature: int, fires: bool) -> None:
    assert ("band" in both([("temp", temperature)])) is fires


def test_two_values_need_two_facts() -> None:
    assert "two" not in both([("side", "upper")])
    assert "two" in both([("side", "upper"), ("side", "lower")])


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["colour", "side", "cover", "threat"]),
            st.sampled_from(["orange", "upper", "lower", "left", "high"]),
        )
        | st.tuples(st.just("temp"), st.integers(-100, 200)),
        max_size=12,
    )
)
@settings(max_examples=150, deadline=None)
def test_engine_and_oracle_agree_on_any_facts(atoms: list[Atom]) -> None:
    both(atoms)


def test_the_order_of_facts_changes_nothing() -> None:
    atoms: list[Atom] = [
        ("colour", "orange"),
        ("side", "upper"),
        ("side", "lower"),
        ("temp", 80),
        ("cover", "left"),
    ]
    first = BASE.run([(atoms, PHASES)])
    for seed in range(50):
        shuffled = atoms[:]
        random.Random(seed).shuffle(shuffled)
        assert BASE.run([(shuffled, PHASES)]) == first


def test_two_thousand_memories_come_and_go() -> None:
    for n in range(2000):
        BASE.run([([("temp", n % 120)] if n % 3 else [("nothing", "known")], PHASES)])


@pytest.mark.parametrize("value", [None, 1.5, True, "", "x" * 81, 2**31])
def test_values_that_the_engine_cannot_bear_are_refused(value: object) -> None:
    with pytest.raises(EngineFault):
        checked(("temp", value))  # type: ignore[arg-type]


def test_a_failing_action_makes_the_call_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("action")

    monkeypatch.setattr("rules.engine._Memory.fired", broken)
    with pytest.raises(EngineFault, match="action"):
        BASE.run([([("temp", 80)], PHASES)])
