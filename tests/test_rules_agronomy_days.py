"""The corn calendar against published dates and counts of days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.agronomy import days
from rules.agronomy.errors import ImpossibleValue, UnknownStage
from rules.agronomy.tables import load

TABLES = load()
MAIN = [row.code for row in TABLES.rows if row.part_of is None]
stages = st.sampled_from(MAIN)


def test_order_rises_through_the_season() -> None:
    line = [
        "VE",
        "V1",
        "V9",
        "V10",
        "V20",
        "VT",
        "R1",
        "R2",
        "R3",
        "R4",
        "R5",
        "R5.25",
        "R5.5",
        "R5.75",
        "R6",
    ]
    places = [days.order(code, TABLES) for code in line]
    assert places == sorted(set(places))


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("VE", "09"),
        ("V7", "17"),
        ("V12", "19"),  # nine or more leaves
        ("VT", "59"),
        ("R1", "63-65"),
        ("R2", "71"),
        ("R3", "73-75"),
        ("R4", "83-85"),
        ("R5", "85-87"),
        ("R6", "87"),
    ],
)
def test_bbch_by_words(code: str, expected: str) -> None:
    # bbch (Lancashire et al. 1991), mapped by description
    assert days.bbch(code, TABLES) == expected


@pytest.mark.parametrize(
    ("code", "group"),
    [
        ("VE", "ve_v5"),
        ("V5", "ve_v5"),
        ("V6", "v6_v9"),
        ("V9", "v6_v9"),
        ("V10", "v10_v18"),
        ("V20", "v10_v18"),
        ("VT", "vt_r1"),
        ("R1", "vt_r1"),
        ("R2", "r2"),
        ("R3", "r3"),
        ("R4", "r4"),
        ("R5.5", "r5"),
        ("R6", "r6"),
    ],
)
def test_stage_group(code: str, group: str) -> None:
    assert days.stage_group(code, TABLES) == group


@pytest.mark.parametrize("code", ["R7", "v6", "", "V0", "V21", "milk"])
def test_an_unknown_stage_is_named(code: str) -> None:
    with pytest.raises(UnknownStage, match="no growth stage"):
        days.order(code, TABLES)


@pytest.mark.parametrize(
    ("code", "after", "before"),
    [
        *[("VE", "V1", "VE"), ("V18", "VT", "V17"), ("V20", "VT", "V17"), ("VT", "R1", "V18")],
        *[("R4", "R5", "R3"), ("R5.5", "R6", "R4"), ("R6", "R6", "R5")],
    ],
)
def test_neighbours(code: str, after: str, before: str) -> None:
    assert days.following(code, TABLES) == after
    assert days.preceding(code, TABLES) == before


@pytest.mark.parametrize(
    ("collar", "leaf", "source"),
    [(11, 13, "osu_hail"), (8, 10, "isu_hail11"), (6, 8, "uky"), (5, 7, "ne_2014: 6 to 7")],
)
def test_adjusters_count_two_more(collar: int, leaf: int, source: str) -> None:
    assert days.adjuster_leaf(collar, TABLES) == leaf, source
    assert days.collar_from_adjuster(leaf, TABLES) == collar, source


# --------------------------------------------------------------------------- days after silking


def test_half_milk_comes_aug_15_to_20_after_silk_on_jul_4() -> None:
    # psu23
    milestone = next(m for m in TABLES.stages.milestone if m.stage == "R5.5")
    assert milestone.after_shown is not None
    low, high = (date(2023, 7, 4) + timedelta(days=n) for n in milestone.after_shown)
    assert (low, high) == (date(2023, 8, 15), date(2023, 8, 20))


def test_maturity_is_aug_28_to_sep_7_after_silk_on_jul_4() -> None:
    # psu23 prints Aug 31 to Sep 12, an error of addition; 55 to 65 days give these
    milestone = TABLES.stages.milestone[-1]
    assert milestone.after_shown is not None
    low, high = (date(2023, 7, 4) + timedelta(days=n) for n in milestone.after_shown)
    assert (low, high) == (date(2023, 8, 28), date(2023, 9, 7))


def test_maturity_on_sep_17_after_silk_on_jul_22() -> None:
    # isu_99: 57 days
    passed = (date(1999, 9, 17) - date(1999, 7, 22)).days
    low, high = TABLES.stages.milestone[-1].after_shown or (0, 0)
    assert passed == 57
    assert low <= passed <= high


def test_illinois_steps_sum_to_65() -> None:
    # il_13: 11, 8, 6, 7, 33
    steps = [step.days[0] for step in TABLES.stages.step if "il_13" in step.source]
    assert steps == [11, 8, 6, 7, 33]
    assert sum(steps) == 65


def test_emergence_to_silk_is_about_65_days() -> None:
    # w_a016, southern Wisconsin: the leaf calendar reckoned back by heat agrees with it
    assert -days.days_after_silk("VE", TABLES) == pytest.approx(65, abs=3)


def test_tassel_comes_some_days_before_silk() -> None:
    # osu_stage2, w_154: silk may come first, hence from 0
    assert -3 <= days.days_after_silk("VT", TABLES) < 0


@pytest.mark.parametrize(
    ("passed", "stage"),
    [
        (0, "R1"),
        (10, "R1"),
        (11, "R2"),
        (18, "R2"),
        (19, "R3"),
        (25, "R4"),
        (32, "R5"),
        (61, "R5"),
        (62, "R6"),
    ],
)
def test_stage_by_days_after_silk(passed: int, stage: str) -> None:
    # il_13 and p_mat13, the defaults in use
    silk = date(2026, 7, 10)
    assert days.stage_at(silk, silk + timedelta(days=passed), TABLES) == stage


@given(stages)
def test_the_calendar_gives_back_the_stage_it_was_given(code: str) -> None:
    number = days.leaf_number(code)
    spare = number is not None and number > 18
    expected = "VT" if spare or (code == "V18" and days.middle_of("V18", TABLES) >= -1.5) else code
    assert days.stage_on_day(days.middle_of(code, TABLES), TABLES) == expected


@given(stages, st.integers(0, 90), st.integers(0, 90))
def test_the_crop_never_goes_back(code: str, first: int, more: int) -> None:
    seen = date(2026, 6, 1)
    early = days.project(code, seen, seen + timedelta(days=first), TABLES)
    late = days.project(code, seen, seen + timedelta(days=first + more), TABLES)
    assert days.order(early, TABLES) <= days.order(late, TABLES)


def test_the_day_itself_keeps_the_stage() -> None:
    day = date(2026, 7, 1)
    assert all(days.project(code, day, day, TABLES) == code for code in MAIN)


# --------------------------------------------------------------------------- days left


@pytest.mark.parametrize(("code", "published"), [("R4", 40), ("R3", 46), ("R5", 33), ("R2", 54), ("R1", 65)])
def test_days_left_hold_the_illinois_figure(code: str, published: int) -> None:
    # il_13
    left = days.days_left(code, TABLES)
    assert left is not None
    assert left.high == published


def test_beginning_dent() -> None:
    # isu_kassel: moisture 60, dry matter 45 %, 3 + 6 + 10 + (7 to 14) days left
    row, left = days.row("R5", TABLES), days.days_left("R5", TABLES)
    assert (row.moisture_pct, row.dry_matter_pct) == (60, 45)
    assert left is not None
    assert (left.low, left.high) == (26, 33)


def test_iowa_steps_within_dent_make_the_days_left() -> None:
    # isu_kassel
    steps = [step.days for step in TABLES.stages.step if "isu_kassel" in step.source]
    assert (sum(low for low, _ in steps), sum(high for _, high in steps)) == (26, 33)


def test_half_milk_line() -> None:
    # ac84, isu_kassel: 40 % moisture, 90 % of dry matter
    row = days.row("R5.5", TABLES)
    assert (row.moisture_pct, row.dry_matter_pct) == (40, 90)
    left = days.days_left("R5", TABLES, milk_line=0.5)
    assert left is not None
    assert left.low <= 14 <= left.high  # tn_21, ar_13: two weeks


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_milk_line_further_down_leaves_no_more_days(a: float, b: float) -> None:
    young, old = days.days_left("R5", TABLES, min(a, b)), days.days_left("R5", TABLES, max(a, b))
    assert young is not None
    assert old is not None
    assert (old.low, old.high) <= (young.low, young.high)
    assert old.low <= old.default <= old.high


@pytest.mark.parametrize("milk_line", [-0.1, 1.2, float("nan")])
def test_a_milk_line_is_a_fraction(milk_line: float) -> None:
    with pytest.raises(ImpossibleValue, match="milk_line"):
        days.days_left("R5", TABLES, milk_line)


@pytest.mark.parametrize("code", ["VE", "V2", "V6", "V9"])
def test_early_leaf_stages_have_no_days_left(code: str) -> None:
    assert days.days_left(code, TABLES) is None


@given(stages, stages)
def test_days_left_never_rise_with_stage(a: str, b: str) -> None:
    young, old = sorted((a, b), key=lambda code: days.order(code, TABLES))
    before, after = days.days_left(young, TABLES), days.days_left(old, TABLES)
    if before is not None:
        assert after is not None
        assert after.low <= before.low
        assert after.high <= before.high or young in ("V19", "V20", "VT")
    assert days.shortest_days_left(old, TABLES) <= days.shortest_days_left(young, TABLES)


@pytest.mark.parametrize(
    ("code", "shortest"),
    [
        ("R4", 28),  # ky_v: four to five weeks
        ("R5", 20),  # in_cca20
        ("R6", 0),
    ],
)
def test_shortest_days_left(code: str, shortest: int) -> None:
    assert days.shortest_days_left(code, TABLES) == shortest


@given(stages)
def test_the_shortest_is_never_above_the_range_shown(code: str) -> None:
    left = days.days_left(code, TABLES)
    if left is not None:
        assert days.shortest_days_left(code, TABLES) <= left.low


@given(st.floats(0, 1))
def test_the_shortest_at_a_milk_line_is_never_above_the_range_shown(milk_line: float) -> None:
    left = days.days_left("R5", TABLES, milk_line)
    assert left is not None
    assert days.shortest_days_left("R5", TABLES, milk_line) <= left.low
