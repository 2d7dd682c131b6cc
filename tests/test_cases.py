"""Notes written from published descriptions and guidance, each with its source, against the whole line.

The cases stand in ``tests/cases/*.toml``.  What the tool is known to get wrong is
listed in ``known_misses.toml`` with the reason; a miss that is mended must leave it.
"""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from tests.bench.scoring import CASES, cases, decide, identify, sure_and_wrong

MISSES: dict[str, str] = tomllib.loads((CASES / "known_misses.toml").read_text(encoding="utf-8"))


def marked(name: str) -> list[Any]:
    made = []
    for case in cases(name):
        why = MISSES.get(case["id"])
        marks = [pytest.mark.xfail(reason=why, strict=True)] if why else []
        made.append(pytest.param(case, id=case["id"], marks=marks))
    return made


@pytest.mark.parametrize("case", [*marked("identify.toml"), *marked("identify_blind.toml")])
def test_names_what_the_source_describes(case: dict[str, Any]) -> None:
    outcome = identify(case)
    assert case["source"]
    assert outcome.right, outcome.wrong


@pytest.mark.parametrize("case", [*marked("decide.toml"), *marked("decide_blind.toml")])
def test_decides_as_the_source_advises(case: dict[str, Any]) -> None:
    outcome = decide(case)
    assert case["source"]
    assert outcome.right, outcome.wrong


@pytest.mark.parametrize("name", ["identify.toml", "identify_blind.toml"])
def test_nothing_is_ever_wrong_and_sure(name: str) -> None:
    """A wrong name may be possible; it must never be said to fit."""
    assert [o.case["id"] for o in map(identify, cases(name)) if sure_and_wrong(o)] == []


def test_no_error_is_toward_a_spray() -> None:
    """Where the tool errs on the cases written from guidance, it never errs by spraying."""
    outcomes = [decide(c) for name in ("decide.toml", "decide_blind.toml") for c in cases(name)]
    sprayed = [
        o.case["id"]
        for o in outcomes
        if not o.right and o.entry["decision"] and o.entry["decision"]["action"] == "spray"
    ]
    assert sprayed == []
