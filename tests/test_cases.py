"""Notes written from published descriptions and guidance, each with its source, against the whole line.

The cases stand in ``tests/cases/*.toml``.  What the tool is known to get wrong is
listed in ``known_misses.toml`` with the reason; a miss that is mended must leave it.
"""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from tests.bench.scoring import CASES, cases, decide, identify

MISSES: dict[str, str] = tomllib.loads((CASES / "known_misses.toml").read_text(encoding="utf-8"))


def marked(name: str) -> list[Any]:
    made = []
    for case in cases(name):
        why = MISSES.get(case["id"])
        marks = [pytest.mark.xfail(reason=why, strict=True)] if why else []
        made.append(pytest.param(case, id=case["id"], marks=marks))
    return made


@pytest.mark.parametrize("case", marked("identify.toml"))
def test_names_what_the_source_describes(case: dict[str, Any]) -> None:
    outcome = identify(case)
    assert case["source"]
    assert outcome.right, outcome.wrong


@pytest.mark.parametrize("case", marked("decide.toml"))
def test_decides_as_the_source_advises(case: dict[str, Any]) -> None:
    outcome = decide(case)
    assert case["source"]
    assert outcome.right, outcome.wrong


def test_nothing_is_ever_wrong_and_sure() -> None:
    """A wrong name may be possible; it must never be said to fit."""
    sure = [
        o.case["id"]
        for o in map(identify, cases("identify.toml"))
        if not o.right
        and o.entry["differential"]
        and o.entry["differential"][0]["standing"] in ("fits", "confirmed")
    ]
    assert [s for s in sure if s not in MISSES] == []
