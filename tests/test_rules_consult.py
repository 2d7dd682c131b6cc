"""The whole of ``rules`` on facts built by hand: standings, checks, decisions, cautions."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest

from rules.consult import Consultant, consultant
from rules.model import Action, Consultation, Earlier, Fact, Relation, Standing
from tests.facts_for_rules import (
    COMMON,
    COOL,
    EITHER_RUST,
    GRAY,
    HIGH,
    LOW,
    ON,
    PHYSODERMA,
    SOUTHERN,
    TAR,
    WARM_WET,
    absent,
    seen,
    stage,
)

C = consultant()


def ask(*facts: Fact, on: date = ON, earlier: tuple[Earlier, ...] = ()) -> Consultation:
    return C.consult(facts, on=on, earlier=earlier)


def action(*facts: Fact, **more: object) -> Action:
    decision = ask(*facts, **more).decision  # type: ignore[arg-type]
    assert decision is not None
    return decision.action


# ----------------------------------------------------------------------------- what it is


@pytest.mark.parametrize(
    ("facts", "name"),
    [
        (SOUTHERN, "southern_rust"),
        (COMMON, "common_rust"),
        (PHYSODERMA, "physoderma_brown_spot"),
        (TAR, "tar_spot"),
        (GRAY, "gray_leaf_spot"),
    ],
)
def test_a_plain_description_fits(facts: tuple[Fact, ...], name: str) -> None:
    first = ask(*facts, stage("R3")).problems[0].differential[0]
    assert (first.disorder, first.standing) == (name, Standing.FITS)


def test_probabilities_of_all_disorders_sum_to_one() -> None:
    shares = [c.probability for c in ask(*EITHER_RUST).problems[0].differential]
    assert len(shares) == len(C.tables.disorders)
    assert round(sum(shares), 9) == 1
    assert shares == sorted(shares, reverse=True)


def test_either_rust_is_not_settled_and_the_underside_is_asked_for() -> None:
    made = ask(*EITHER_RUST, *HIGH, stage("R3"), *WARM_WET)
    first, second = made.problems[0].differential[:2]
    assert {first.disorder, second.disorder} == {"southern_rust", "common_rust"}
    assert Standing.FITS not in (first.standing, second.standing)
    assert made.next_check is not None
    assert made.next_check.attribute == "leaf_surface"
    assert made.next_check.would_change_decision


def test_a_check_said_not_to_have_been_made_keeps_it_from_fitting() -> None:
    from rules.model import Status

    unlooked = seen("leaf_surface", "lower", status=Status.NOT_CHECKED)
    facts = [f for f in SOUTHERN if f.attribute != "leaf_surface"]
    first = ask(*facts, unlooked, stage("R3")).problems[0].differential[0]
    assert first.standing is not Standing.FITS


def test_only_a_laboratory_confirms() -> None:
    made = ask(seen("problem", "tar_spot"), seen("lab_confirmed"), stage("R2"))
    assert made.problems[0].differential[0].standing is Standing.CONFIRMED
    assert (
        ask(seen("problem", "tar_spot"), stage("R2")).problems[0].differential[0].standing
        is Standing.POSSIBLE
    )


def test_silence_weighs_nothing_and_absence_does() -> None:
    """Not mentioned, and looked at and absent, are two different things."""
    base = (seen("lesion_form", "spot"), seen("lesion_colour", "black"))

    def share(*more: Fact) -> float:
        found = ask(*base, *more).problems[0].differential
        return next(c.probability for c in found if c.disorder == "tar_spot")

    assert share(absent("raised")) < share() < share(seen("raised"))


def test_two_problems_in_one_field_are_kept_apart_and_decided_together() -> None:
    facts = (*SOUTHERN, *HIGH, *PHYSODERMA, stage("R2"), *WARM_WET)
    first = tuple(range(len(SOUTHERN) + len(HIGH)))
    second = tuple(range(len(first), len(first) + len(PHYSODERMA)))
    made = C.consult(facts, (second, first), on=ON)
    assert [p.differential[0].disorder for p in made.problems] == ["southern_rust", "physoderma_brown_spot"]
    assert made.decision is not None
    assert made.decision.action is Action.SPRAY
    assert any(r.rule == "does_not_pay" for r in made.decision.because)


def test_what_was_said_of_the_midrib_does_not_count_as_underneath() -> None:
    """C30: a few below along the midrib only (unl13, auh)."""
    facts = (
        seen("lesion_form", "pustule"), seen("lesion_colour", "orange"), seen("arrangement", "clustered"),
        seen("leaf_surface", "upper"), seen("leaf_surface", "lower", where=(("plant_part", "midrib"),)),
    )  # fmt: skip
    assert ask(*facts, stage("R3")).problems[0].differential[0].disorder == "southern_rust"


# ----------------------------------------------------------------------------- the same facts, the same answer


@pytest.mark.parametrize("facts", [SOUTHERN, EITHER_RUST, TAR, GRAY])
def test_the_order_of_facts_changes_nothing(facts: tuple[Fact, ...]) -> None:
    told = [*facts, *HIGH, *WARM_WET, stage("R3"), seen("hybrid_rating", "susceptible")]
    first = C.consult(tuple(told), on=ON)
    for seed in range(20):
        random.Random(seed).shuffle(told)
        again = C.consult(tuple(told), on=ON)
        assert again.problems[0].differential == first.problems[0].differential
        assert (again.decision, again.next_check, again.cautions) == (
            first.decision,
            first.next_check,
            first.cautions,
        )


@pytest.mark.parametrize("facts", [SOUTHERN, COMMON, EITHER_RUST, PHYSODERMA, TAR, GRAY])
def test_engine_and_oracle_give_the_same_consultation(facts: tuple[Fact, ...]) -> None:
    plain = Consultant(C.tables, oracle_only=True)
    told = (*facts, *HIGH, *WARM_WET, stage("R3"))
    assert C.consult(told, on=ON) == plain.consult(told, on=ON)


def test_every_conclusion_says_why() -> None:
    made = ask(*SOUTHERN, *HIGH, *WARM_WET, stage("R3"))
    assert made.decision is not None
    assert made.decision.because
    for reason in (*made.decision.because, *made.cautions):
        assert reason.text
        assert reason.sources
    known = {*C.tables.sources, "judgement", "common_practice"}
    for candidate in made.problems[0].differential:
        for evidence in (*candidate.speaks_for, *candidate.speaks_against):
            assert set(evidence.sources) <= known
    assert {f.rule for f in made.trace} >= {"upper_only", "sr_spray", "sign.rubs_off.yes"}


# ----------------------------------------------------------------------------- what to do


def test_nothing_observed_is_no_decision() -> None:
    assert ask(seen("corn_price_usd_bu", 3.9)).decision is None


def test_a_clean_field_is_not_sprayed_and_a_find_nearby_brings_one_back() -> None:
    """il12, ms11: no steady gain without disease; isu25b: a find nearby is a reason to look."""
    assert action(absent("problem", "any"), stage("R2")) is Action.NO_SPRAY
    near = (absent("problem", "any"), seen("nearby_find", "southern_rust"))
    made = ask(*near, stage("R2")).decision
    assert made is not None
    assert (made.action, made.rescout_on) == (Action.HOLD, ON + timedelta(days=5))
    assert action(*near, stage("R5")) is Action.NO_SPRAY


def test_a_stage_that_is_not_known_is_asked_for() -> None:
    made = ask(*TAR, seen("incidence_pct", 15.0), seen("hybrid_rating", "susceptible"))
    assert made.decision is not None
    assert made.decision.action is Action.SCOUT


def test_an_earlier_note_gives_the_stage_and_the_hybrid() -> None:
    before = (Earlier(on=ON - timedelta(days=8), facts=(stage("R2"), seen("hybrid_rating", "resistant"))),)
    made = ask(*GRAY, *LOW, earlier=before)
    assert (made.stage.code, made.stage.basis.value) == ("R3", "projected")
    assert made.decision is not None
    assert made.decision.action is Action.NO_SPRAY


def test_cover_from_an_earlier_spray_holds_and_runs_out() -> None:
    """uga23, ut21: a mixture covers about three weeks the leaves that were out."""
    mix = (seen("active_ingredient", "propiconazole"), seen("active_ingredient", "azoxystrobin"))
    told = (*SOUTHERN, *HIGH, *WARM_WET, stage("R2"))

    def sprayed(days: int) -> tuple[Earlier, ...]:
        on = ON - timedelta(days=days)
        return (
            Earlier(on=on, facts=(seen("sprayed"), seen("sprayed_on", on), seen("spray_stage", "VT"), *mix)),
        )

    assert action(*told, earlier=sprayed(10)) is Action.HOLD
    assert action(*told, earlier=sprayed(24)) is Action.SPRAY


def test_a_spray_before_tassel_does_not_cover_the_upper_leaves() -> None:
    on = ON - timedelta(days=12)
    before = (Earlier(on=on, facts=(seen("sprayed"), seen("sprayed_on", on), seen("spray_stage", "V10"))),)
    assert action(*SOUTHERN, *HIGH, *WARM_WET, stage("VT"), earlier=before) is Action.SPRAY


def test_the_rescout_comes_before_the_window_closes() -> None:
    """R4 comes about six days after milk (isu25, spray.md 1.4): five days, and never later."""
    made = ask(*SOUTHERN, *LOW, *COOL, stage("R3")).decision
    assert made is not None
    assert made.action is Action.HOLD
    assert made.rescout_on is not None
    assert made.spray_by is not None
    assert made.rescout_on < made.spray_by


def test_the_applicators_days_come_off_the_last_useful_day() -> None:
    told = (*SOUTHERN, *HIGH, *WARM_WET, stage("R3"))
    plain, later = ask(*told).decision, ask(*told, seen("applicator_lead_days", 3)).decision
    assert plain is not None
    assert later is not None
    assert plain.spray_by is not None
    assert later.spray_by == plain.spray_by - timedelta(days=3)


def test_an_interval_longer_than_the_days_left_is_too_late() -> None:
    """Check case 35 (unl08): harvest in 20 days, 30 needed."""
    told = (*SOUTHERN, *HIGH, *WARM_WET, stage("R3"), seen("preharvest_interval_days", 30))
    assert action(*told, seen("days_to_harvest", 20)) is Action.TOO_LATE
    assert action(*told, seen("days_to_harvest", 45)) is Action.SPRAY


def test_the_label_is_deferred_to_and_no_dose_is_given() -> None:
    made = ask(*SOUTHERN, *HIGH, *WARM_WET, stage("R3"))
    assert made.cautions[0].rule == "label_governs"
    said = " ".join(r.text for r in (*made.cautions, *(made.decision.because if made.decision else ())))
    assert not any(unit in said for unit in (" oz", "fl oz", "pint", "quart", "mL", "g/ha", "lb "))


def test_nearing_tassel_counts_for_the_published_rule() -> None:
    """Check case 1 (il15): just before tassel, susceptible, 60 % of plants, third leaf below the ear."""
    told = (*GRAY, seen("leaf_from_ear", -3), seen("incidence_pct", 60), seen("hybrid_rating", "susceptible"))
    assert action(*told, stage("VT", Relation.NEARING)) is Action.SPRAY
    assert action(*told, stage("V14")) is Action.HOLD
