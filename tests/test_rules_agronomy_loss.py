"""Leaf loss, severity and early death against published figures."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.agronomy import loss, severity
from rules.agronomy.errors import ImpossibleValue, OutsideTable
from rules.agronomy.tables import load

TABLES = load()
ROWS = [row.row for row in TABLES.leaf_loss]


@pytest.mark.parametrize(
    ("row", "destroyed", "expected", "source"),
    [
        ("13_leaf", 50, 10, "ne_23"),
        ("13_leaf", 100, 34, "ne_23"),
        ("blister", 50, 22, "isu_09"),
        ("blister", 100, 73, "isu_09"),
        ("soft_dough", 90, 35, "osu_knox22"),
        ("7_leaf", 40, 1, "bech10"),
        ("7_leaf", 100, 9, "bech10"),
        ("10_leaf", 20, 0, "bech10: loss begins at 25 %"),
        ("10_leaf", 25, 1, "bech10"),
        ("10_leaf", 100, 16, "bech10"),
        ("blister", 33, 11.8, "fcic_25080, a straight line between 10 at 30 and 13 at 35"),
        ("silked", 25, 9, "fcic_25080"),
        ("tasseled", 100, 100, "ne_23: total loss"),
    ],
)
def test_chart(row: str, destroyed: float, expected: float, source: str) -> None:
    assert loss.leaf_loss(row, destroyed, TABLES) == pytest.approx(expected), source


@given(st.floats(10, 100))
def test_a_mature_crop_loses_nothing(destroyed: float) -> None:
    assert loss.leaf_loss("mature", destroyed, TABLES) == 0  # fcic_25080


@pytest.mark.parametrize(("row", "low"), [("early_dent", 9), ("dent", 7), ("late_dent", 5)])
def test_half_the_leaves_at_dent_cost_five_percent_or_more(row: str, low: float) -> None:
    # p_hail01: roughly five percent and up from early dent to half milk line
    assert loss.leaf_loss(row, 50, TABLES) == low >= 5


@given(st.sampled_from(ROWS), st.floats(10, 100), st.floats(10, 100))
def test_more_leaf_lost_never_costs_less(row: str, a: float, b: float) -> None:
    less, more = loss.leaf_loss(row, min(a, b), TABLES), loss.leaf_loss(row, max(a, b), TABLES)
    assert less is not None
    assert more is not None
    assert less <= more + 1e-9


@given(st.floats(10, 100))
def test_from_tassel_on_the_same_loss_costs_less_and_less(destroyed: float) -> None:
    losses = [loss.leaf_loss(row, destroyed, TABLES) or 0.0 for row in ROWS[ROWS.index("tasseled") :]]
    assert all(a >= b - 1e-9 for a, b in pairwise(losses))


@given(st.sampled_from(ROWS), st.floats(0, 9.99))
def test_below_its_first_column_the_chart_is_silent(row: str, destroyed: float) -> None:
    assert loss.leaf_loss(row, destroyed, TABLES) is None


@pytest.mark.parametrize("destroyed", [-1, 101, float("nan")])
def test_an_impossible_leaf_loss_is_refused(destroyed: float) -> None:
    with pytest.raises(ImpossibleValue, match="leaf area destroyed"):
        loss.leaf_loss("blister", destroyed, TABLES)


def test_an_unknown_row_is_refused() -> None:
    with pytest.raises(OutsideTable, match="V11"):
        loss.leaf_loss("V11", 50, TABLES)


@pytest.mark.parametrize(
    ("stage", "row"),
    [
        ("V4", None),  # before the first row
        ("V5", "7_leaf"),
        ("V11", "13_leaf"),  # osu_hail; read as the 11-leaf row the loss would be a third too low
        ("V20", "19_21_leaf"),
        ("VT", "tasseled"),
        ("R1", "silked"),
        ("R3", "milk"),
        ("R4", "soft_dough"),
        ("R5", "dent"),
        ("R5.25", "dent"),  # nearest earlier row
        ("R5.5", "late_dent"),  # p_hail01: half milk line
        ("R6", "mature"),
    ],
)
def test_row_of_a_stage(stage: str, row: str | None) -> None:
    assert loss.chart_row(stage, TABLES) == row


def test_soft_dough_with_kernel_damage() -> None:
    # osu_knox22: 10 % of kernels and 90 % of leaves
    chart = loss.leaf_loss("soft_dough", 90, TABLES)
    assert chart is not None
    assert loss.with_kernel_damage(10, chart) == pytest.approx(41.5)


@pytest.mark.parametrize(
    ("stage", "part", "removed", "expected"),
    [
        ("R1", "ear_leaf_up", 100, 48),
        ("R1", "below_ear_leaf", 100, 81),
        ("R1", "ear_leaf_up", 50, 76),
        ("R2", "ear_leaf_up", 50, None),
    ],
)
def test_position_of_the_lost_leaves(stage: str, part: str, removed: float, expected: float | None) -> None:
    # diffleaf
    assert loss.yield_after_removal(stage, part, removed, TABLES) == expected  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("stage", "percent"),
    [("R4", None), ("R5", 55), ("R5.25", 35), ("R5.5", 10), ("R5.75", 3), ("R6", 0)],
)
def test_still_to_be_made(stage: str, percent: float | None) -> None:
    # isu_kassel: 100 less dry matter
    assert loss.to_be_made(stage, TABLES) == percent
    row = next(row for row in TABLES.rows if row.code == stage)
    if percent is not None:
        assert percent == 100 - (row.dry_matter_pct or 0)


@given(st.floats(0, 1), st.floats(0, 1))
def test_less_is_left_to_make_as_the_milk_line_goes_down(a: float, b: float) -> None:
    young, old = (loss.to_be_made("R5", TABLES, end) or 0.0 for end in (min(a, b), max(a, b)))
    assert young >= old - 1e-9


def test_death_two_weeks_early() -> None:
    # isu_99: 5 x 1 + 9 x 2, printed as 20 to 25
    assert loss.early_death(14, TABLES) == 23
    low, high = TABLES.loss.early_death.published_two_weeks
    assert low <= 23 <= high


@pytest.mark.parametrize(
    ("stage", "whole", "leaves"),
    [("R4", 55, 35), ("R5.25", 41, 27), ("R5.5", 12, 6), ("R6", 0, 0)],
)
def test_killed_by_frost(stage: str, whole: float, leaves: float) -> None:
    # nch_57 by way of p_aga96; w_156 at black layer
    assert loss.kill_loss(stage, TABLES) == whole
    assert loss.kill_loss(stage, TABLES, leaves_only=True) == leaves


def test_no_figure_is_made_up_for_another_stage() -> None:
    with pytest.raises(OutsideTable, match="R2"):
        loss.kill_loss("R2", TABLES)


# --------------------------------------------------------------------------- severity


@pytest.mark.parametrize(("ear_leaf", "low", "high"), [(15, 2, 10), (4, 0, 2), (25, 2, 20), (90, 15, 50)])
def test_gray_leaf_spot_bands(ear_leaf: float, low: float, high: float) -> None:
    # lipps98; the bands meet at 25
    found = severity.severity_loss("gls_ear_leaf_at_dent", ear_leaf, TABLES)
    assert (found.low, found.high, found.default) == (low, high, None)


def test_tar_spot_at_20_percent() -> None:
    # cpn_2014: 0.48 bu/ac each
    found = severity.severity_loss("tar_spot_ear_leaf", 20, TABLES)
    assert found.default == pytest.approx(9.6)
    assert found.unit == "bu/ac"
    assert found.low <= 9.6 <= found.high


def test_tar_spot_past_what_was_measured_says_so() -> None:
    assert severity.severity_loss("tar_spot_ear_leaf", 80, TABLES).beyond
    assert not severity.severity_loss("tar_spot_ear_leaf", 20, TABLES).beyond


def test_common_rust_on_sweet_corn() -> None:
    # pataky87: 6 % per 10 %; sd06: 2.4 to 7.0
    found = severity.severity_loss("common_rust_sweet_corn", 10, TABLES)
    assert (found.low, found.default, found.high) == pytest.approx((2.4, 6.0, 7.0))
    assert "sweet corn" in found.scope


def test_southern_corn_leaf_blight_at_dough() -> None:
    # gregory78
    assert severity.severity_loss("sclb_at_dough", 30, TABLES).default == pytest.approx(20.7)


def test_northern_corn_leaf_blight_progress_beyond_the_trials() -> None:
    # il87: 92.97 - 0.12 x 200; losses seen were 0 to 18 %
    left, beyond = severity.blight_yield(200, TABLES)
    assert left == pytest.approx(68.97)
    assert beyond
    assert severity.blight_yield(50, TABLES)[1] == ""


def test_southern_rust_has_no_relation() -> None:
    assert severity.relations("southern_rust", TABLES) == ()
    assert severity.relations("northern_corn_leaf_blight", TABLES) == ("nclb_sweet_corn", "nclb_progress")


@pytest.mark.parametrize(
    ("incidence", "expected"), [(52, 1.0), (82, 2.0), (93, 3.05), (95, 3.30), (100, 4.0)]
)
def test_common_rust_incidence_to_severity(incidence: float, expected: float) -> None:
    # ph88
    assert severity.rust_severity(incidence, TABLES) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(("incidence", "root"), [(28, 1.00), (86, 1.42), (95, 1.74), (100, 1.98)])
def test_common_rust_incidence_in_the_root_form(incidence: float, root: float) -> None:
    # ph88
    found = severity.rust_severity(incidence, TABLES, root_form=True)
    assert found**0.5 == pytest.approx(root, abs=0.02)


@given(st.floats(0, 100), st.sampled_from(["gls_ear_leaf_at_dent", "tar_spot_ear_leaf", "nclb_sweet_corn"]))
def test_every_band_is_in_order(percent: float, relation: str) -> None:
    found = severity.severity_loss(relation, percent, TABLES)
    assert 0 <= found.low <= found.high
    assert found.sources


@pytest.mark.parametrize("percent", [-1, 101])
def test_an_impossible_severity_is_refused(percent: float) -> None:
    with pytest.raises(ImpossibleValue, match="severity"):
        severity.severity_loss("sclb_at_dough", percent, TABLES)
