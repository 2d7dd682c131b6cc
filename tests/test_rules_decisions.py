"""Every combination of what decides about a spray: exactly one action, and never a foolish one."""

from __future__ import annotations

import itertools
from functools import cache

import pytest

from rules.consult import consultant
from rules.facts import Atom
from rules.model import Action
from rules.timing import GROUPS
from rules.verdict import decide

C = consultant()
STAGES = (None, *GROUPS)
HEIGHTS: dict[str, tuple[Atom, ...]] = {
    "unknown": (),
    "low": (("canopy_position", "lower"),),
    "third": (("leaf_from_ear", -3),),
    "near": (("leaf_from_ear", -1),),
    "above": (("canopy_position", "ear_leaf"), ("canopy_position", "above_ear_leaf")),
}
AMOUNTS: dict[str, tuple[Atom, ...]] = {
    "unknown": (),
    "trace": (("incidence_pct", 4), ("severity_tenths", 2)),
    "some": (("incidence_pct", 30), ("severity_tenths", 10)),
    "much": (("incidence_pct", 80), ("severity_tenths", 60)),
}
HYBRIDS: dict[str, tuple[Atom, ...]] = {
    "unknown": (),
    **{r: (("hybrid_rating", r),) for r in ("susceptible", "moderate", "resistant")},
}
WEATHER: dict[str, tuple[Atom, ...]] = {
    "unknown": (),
    "warm and wet": (("temperature", 84), ("humidity", "high")),
    "cool and dry": (("temperature", 62), ("weather", "dry")),
    "mild and wet": (("temperature", 72), ("weather", "dew")),
}
COVER: dict[str, tuple[Atom, ...]] = {
    "none": (),
    "left": (
        ("sprayed", "yes"),
        ("sprayed_leaves", "out"),
        ("cover_days_left", 5),
        ("sprayed_on.said", "yes"),
    ),
    "gone": (
        ("sprayed", "yes"),
        ("sprayed_leaves", "out"),
        ("cover_days_left", -5),
        ("sprayed_on.said", "yes"),
    ),
}
USES: dict[str, tuple[Atom, ...]] = {"grain": (), "sweet": (("crop_type", "sweet_corn"),)}
TREATED = sorted(C.tables.plan_of)
UNTREATED = sorted(set(C.tables.disorders) - set(TREATED))


@cache
def action(
    lead: str,
    stage: str | None,
    height: str,
    amount: str,
    hybrid: str,
    weather: str,
    cover: str,
    use: str = "grain",
) -> Action:
    atoms = (
        *HEIGHTS[height], *AMOUNTS[amount], *HYBRIDS[hybrid], *WEATHER[weather], *COVER[cover], *USES[use],
        *((("stage_group", stage),) if stage else ()),
    )  # fmt: skip
    return decide(
        C.oracle_decide.run, C.rules, C.tables, atoms, lead, stage
    ).action  # raises if no rule decides


def combinations(stages: tuple[str | None, ...] = STAGES) -> itertools.product:  # type: ignore[type-arg]
    return itertools.product(stages, HEIGHTS, AMOUNTS, HYBRIDS, WEATHER, COVER)


@pytest.mark.parametrize("lead", TREATED)
def test_one_action_for_every_combination_and_no_spray_after_the_window(lead: str) -> None:
    plan = C.tables.plan_of[lead]
    for stage, *rest in combinations():
        done = action(lead, stage, *rest)
        window = C.tables.windows[plan, stage].window if stage else "unknown"
        if window in ("closed", "early", "no", "unknown"):
            assert done is not Action.SPRAY, (stage, rest)
        if rest[-1] == "left":
            assert done is not Action.SPRAY, (stage, rest)


@pytest.mark.parametrize("lead", UNTREATED)
def test_nothing_is_sprayed_that_no_fungicide_helps(lead: str) -> None:
    for stage, height, weather in itertools.product(STAGES, HEIGHTS, WEATHER):
        assert action(lead, stage, height, "much", "susceptible", weather, "none") is Action.NO_SPRAY


@pytest.mark.parametrize("lead", TREATED)
def test_a_more_resistant_hybrid_never_turns_waiting_into_a_spray(lead: str) -> None:
    for stage, height, amount, _, weather, cover in combinations():
        done = [
            action(lead, stage, height, amount, h, weather, cover)
            for h in ("susceptible", "moderate", "resistant")
        ]
        sprays = [a is Action.SPRAY for a in done]
        assert sprays == sorted(sprays, reverse=True), (stage, height, amount, weather, cover, done)


@pytest.mark.parametrize("lead", TREATED)
def test_worse_disease_never_turns_a_spray_into_waiting(lead: str) -> None:
    for stage, height, _, hybrid, weather, cover in combinations():
        sprays = [
            action(lead, stage, height, a, hybrid, weather, cover) is Action.SPRAY
            for a in ("trace", "some", "much")
        ]
        assert sprays == sorted(sprays), (stage, height, hybrid, weather, cover)
    for stage, _, amount, hybrid, weather, cover in combinations():
        sprays = [
            action(lead, stage, h, amount, hybrid, weather, cover) is Action.SPRAY
            for h in ("low", "third", "near", "above")
        ]
        assert sprays == sorted(sprays), (stage, amount, hybrid, weather, cover)


@pytest.mark.parametrize("lead", [d for d in TREATED if d != "common_rust"])
def test_other_uses_than_grain_are_sent_to_look_and_ask(lead: str) -> None:
    if C.tables.disorders[lead].management.fungicide == "rarely_pays":
        pytest.skip("nothing is sprayed for it in any use")
    for stage in ("vt_r1", "r2", "r3"):
        done = action(lead, stage, "above", "much", "susceptible", "warm and wet", "none", "sweet")
        assert done in (Action.SCOUT, Action.TOO_LATE, Action.NO_SPRAY), (stage, done)


def test_engine_decides_as_the_oracle_does_on_a_seeded_sample() -> None:
    every = list(combinations())
    for n, lead in enumerate(TREATED):
        for stage, height, amount, hybrid, weather, cover in every[n :: len(every) // 40]:
            atoms = (*HEIGHTS[height], *AMOUNTS[amount], *HYBRIDS[hybrid], *WEATHER[weather], *COVER[cover])
            engine = decide(C.run_decide, C.rules, C.tables, atoms, lead, stage)
            assert engine == decide(C.oracle_decide.run, C.rules, C.tables, atoms, lead, stage)
