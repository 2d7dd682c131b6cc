"""Facts of the trade (common practice, no source): the tool holds them, shows them, and acts on them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.bench.scoring import answer, loaded

ON = date(2027, 7, 28)


def entry(text: str) -> dict[str, Any]:
    made: dict[str, Any] = answer(text, ON)["entries"][0]
    return made


def said(disorder: str) -> str:
    """All that the knowledge says of a disorder to people."""
    return " ".join(s.text for s in loaded().tables.disorders[disorder].statement)


def test_common_rust_is_longer_browner_on_both_sides_and_not_sprayed_for() -> None:
    made = entry(
        "longer raised lesions, dark brown, pustules on both sides of the leaf, brown tint on my finger, R2"
    )
    assert made["differential"][0]["disorder"] == "common_rust"
    assert made["decision"]["action"] == "no_spray"


def test_southern_rust_is_smaller_more_orange_and_clean_underneath() -> None:
    made = entry(
        "small orange pustules, turns my finger orange, on the underside nothing rubs off, some on the stalk, R2"
    )
    assert made["differential"][0]["disorder"] == "southern_rust"


def test_southern_rust_can_kill_in_ten_to_fourteen_days_and_the_dispute_is_shown() -> None:
    assert "10 to 14 days" in said("southern_rust")
    assert "5 to 6 weeks" in said("southern_rust")


def test_physoderma_comes_after_water_in_the_whorl_and_is_not_sprayed_for() -> None:
    made = entry(
        "brown spots in bands, nothing raised, nothing rubs off, water stood in the whorl in June, V13"
    )
    assert made["differential"][0]["disorder"] == "physoderma_brown_spot"
    assert made["decision"]["action"] == "no_spray"


@pytest.mark.parametrize("stage", ["milk", "dough"])
def test_about_four_weeks_from_between_milk_and_dough_beside_the_published_range(stage: str) -> None:
    """The published ranges (il_13, w_rankin, ky_v) run longer; both are shown."""
    made = entry(f"{stage} stage, southern rust, orange, on top only, on the ear leaf")
    practice = next(n for n in made["numbers"] if n["name"] == "days_to_r6_common_practice")
    assert practice["low"] <= 28 <= practice["high"]
    assert practice["sources"][0] == "common_practice"
    assert made["stage"]["days_to_r6"][0] >= practice["value"]


@pytest.mark.parametrize(
    ("figure", "weeks"), [("cover_mixture_days", 2), ("cover_three_way_days", 4), ("cover_three_way_days", 5)]
)
def test_cover_of_two_way_and_three_way_mixtures_is_within_the_range_held(figure: str, weeks: int) -> None:
    held = loaded().tables.figures[figure]
    assert held.low is not None
    assert held.high is not None
    assert held.low <= weeks * 7 <= held.high


def test_past_silking_the_longer_cover_at_milk_the_shorter() -> None:
    rust = "southern rust, orange pustules packed on top, nothing underneath, ear leaf and above, most plants, 88 and humid"
    early, late = entry(f"R1, {rust}"), entry(f"R3, {rust}")
    assert (early["decision"]["action"], late["decision"]["action"]) == ("spray", "spray")
    assert "longer_cover_after_silking" in [c["rule"] for c in early["cautions"]]
    assert "shorter_cover_at_milk" in [c["rule"] for c in late["cautions"]]


def test_a_tassel_spray_pays_best_and_one_keeps_scouting() -> None:
    made = entry(
        "VT, southern rust, orange on top, nothing underneath, ear leaf and above, most plants, 88 and humid"
    )
    assert "spray_may_not_hold" in [c["rule"] for c in made["cautions"]]
    covered = entry(
        "R2, southern rust, orange on top, ear leaf, 88 and humid, sprayed at tassel on July 18 with azoxystrobin and propiconazole"
    )
    assert covered["decision"]["action"] == "hold"
    assert covered["decision"]["rescout_on"] is not None


def test_cool_weekend_ahead_and_rust_still_low_is_a_hold() -> None:
    made = entry(
        "southern rust, orange, packed on top, nothing underneath, low in the canopy, R2, 72 degrees and a cool weekend ahead"
    )
    assert made["decision"]["action"] == "hold"
    assert made["decision"]["rescout_on"] is not None
    assert "warms" in made["decision"]["because"][0]["text"]


def test_the_upper_canopy_must_stay_clean_and_low_disease_leaves_time() -> None:
    rust = "southern rust, orange pustules on top, nothing underneath, R2, 85 and humid"
    high, low = (
        entry(f"{rust}, ear leaf and above"),
        entry(f"{rust}, only on the bottom leaves, two plants of forty"),
    )
    assert (high["decision"]["action"], low["decision"]["action"]) == ("spray", "hold")
    assert "must stay clean through grain fill" in high["decision"]["because"][0]["text"]
    assert "leaves time" in " ".join(b["text"] for b in low["decision"]["because"])


def test_a_resistant_hybrid_is_known_to_need_it_less() -> None:
    gray = (
        "gray leaf spot, straight sided boxes, opaque, third leaf below the ear on 14 of 20 plants, tasseling"
    )
    assert entry(f"{gray}, susceptible hybrid")["decision"]["action"] == "spray"
    assert entry(f"{gray}, resistant hybrid")["decision"]["action"] == "no_spray"


def test_when_unsure_a_sample_goes_to_the_diagnostic_laboratory() -> None:
    made = entry(
        "R2, orange brown rust pustules on the ear leaf of most plants, rubs off, 85 and wet, "
        "couldn't tell about the underside"
    )
    assert made["decision"]["action"] == "sample"
