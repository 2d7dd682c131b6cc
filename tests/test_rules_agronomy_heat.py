"""Heat units against published worked examples; the key of the publication stands beside each."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.agronomy import heat
from rules.agronomy.errors import ImpossibleValue, OutsideTable
from rules.agronomy.tables import load

TABLES = load()


@pytest.mark.parametrize(
    ("high", "low", "expected", "source"),
    [
        (80, 55, 17.5, "p_gdd"),
        (90, 72, 29, "p_gdd"),
        (68, 41, 9, "p_gdd"),
        (80, 60, 20, "oh_101"),
        (60, 40, 5, "oh_101"),
        (90, 70, 28, "oh_101, nd_rit"),
        (87, 63, 24.5, "oh_kar"),
        (90, 65, 25.5, "uw_wau"),
        (72, 46, 11, "uw_wau"),
        (63, 42, 6.5, "uw_wau"),
        (100, 40, 18, "or_ippc"),
        (92, 68, 27, "mrcc"),
        (82, 56, 19, "umn_dl"),
        (48, 40, 0, "aafc: both set to 50"),
        (90, 55, 20.5, "p_gdd rule; a farm press article prints 17.5, which belongs to 80/55"),
    ],
)
def test_a_day_in_fahrenheit(high: float, low: float, expected: float, source: str) -> None:
    assert heat.degree_day_f(high, low, TABLES) == pytest.approx(expected), source


def test_three_days_sum_to_43() -> None:
    # uw_wau
    assert heat.heat_sum_f([(90, 65), (72, 46), (63, 42)], TABLES) == pytest.approx(43)


@pytest.mark.parametrize(
    ("high", "low", "expected"),
    [
        (21, 15, 8),  # sage
        (32.22, 21.11, 15.56),  # derived from oh_101
        (35, 25, 17.5),  # derived
        (18, 4, 4.0),  # derived
    ],
)
def test_a_day_in_celsius(high: float, low: float, expected: float) -> None:
    assert heat.degree_day_c(high, low, TABLES) == pytest.approx(expected, abs=0.01)


readings = st.floats(-50, 125, allow_nan=False)


@given(readings, readings)
def test_a_day_is_never_negative_and_never_over_cap_less_base(a: float, b: float) -> None:
    assert 0 <= heat.degree_day_f(max(a, b), min(a, b), TABLES) <= 36


@given(readings, readings)
def test_fahrenheit_is_nine_fifths_of_celsius(a: float, b: float) -> None:
    high, low = max(a, b), min(a, b)
    in_c = heat.degree_day_c((high - 32) / heat.F_PER_C, (low - 32) / heat.F_PER_C, TABLES)
    assert heat.degree_day_f(high, low, TABLES) == pytest.approx(in_c * heat.F_PER_C, abs=1e-9)


@given(readings, readings, st.floats(0, 5))
def test_a_warmer_day_never_has_fewer(a: float, b: float, more: float) -> None:
    high, low = max(a, b), min(a, b)
    assert heat.degree_day_f(high + more, low, TABLES) >= heat.degree_day_f(high, low, TABLES)


@pytest.mark.parametrize(("high", "low"), [(200, 60), (80, -100), (50, 70), (math.nan, 50), (80, math.inf)])
def test_an_impossible_reading_is_refused_by_name(high: float, low: float) -> None:
    with pytest.raises(ImpossibleValue, match=r"high|low"):
        heat.degree_day_f(high, low, TABLES)


@pytest.mark.parametrize(
    ("gdd", "collar"),
    [
        (785, 8.1),  # p_vp example, by way of osu_stage
        (1200, 15.2),  # p_vp rates: 10 + 260/50
        (612, 6.0),  # cross-check; ne_2014 says about 620
        (0, 0.0),
    ],
)
def test_collars(gdd: float, collar: float) -> None:
    assert heat.collars(gdd, TABLES, emergence=120) == pytest.approx(collar, abs=0.05)


@given(st.floats(0.01, 20))
def test_heat_at_collar_is_the_inverse(leaf: float) -> None:
    gdd = heat.heat_at_collar(leaf, TABLES)
    assert heat.collars(gdd, TABLES, emergence=0) == pytest.approx(leaf)


def test_negative_heat_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="gdd_since_planting"):
        heat.collars(-1, TABLES)


@pytest.mark.parametrize(("stage", "expected"), [("R2", 880), ("R1", 1100), ("R5.25", 220), ("R6", 0)])
def test_heat_left_at_rm_100(stage: str, expected: float) -> None:
    # w_028
    assert heat.gdd_left(stage, 100, TABLES) == pytest.approx(expected)


def test_heat_left_between_two_zones() -> None:
    # w_028: 1,000 up to 90 and 1,100 from 95
    assert heat.gdd_left("R1", 92.5, TABLES) == pytest.approx(1050)


@given(st.floats(85, 119), st.floats(0, 1))
def test_heat_left_never_falls_with_maturity(rm: float, more: float) -> None:
    assert heat.gdd_left("R2", rm + more, TABLES) >= heat.gdd_left("R2", rm, TABLES)


@pytest.mark.parametrize(("stage", "rm"), [("R3", 100), ("R1", 80), ("R1", 130)])
def test_heat_left_is_not_stretched(stage: str, rm: float) -> None:
    with pytest.raises(OutsideTable):
        heat.gdd_left(stage, rm, TABLES)


def test_days_for_heat() -> None:
    # umn_dl prints "about 55" for 1,200 to 1,300 of 2,200 reached at 18 a day
    days = heat.days_for_heat(2200 - 1250, 18)
    assert days == pytest.approx(52.8, abs=0.05)
    assert heat.days_for_heat(2200 - 1300, 18) < 55 < heat.days_for_heat(2200 - 1200, 18)


@pytest.mark.parametrize("pace", [0, -3, math.nan])
def test_a_pace_must_be_above_nothing(pace: float) -> None:
    with pytest.raises(ImpossibleValue, match="gdd_per_day"):
        heat.days_for_heat(100, pace)


def test_beginning_dent_stands_at_three_fifths_of_the_heat() -> None:
    # hprcc, middle group
    at = {row.stage: row.gdd for row in TABLES.heat_to_stage if row.table == "climate_middle"}
    assert heat.fill_share(at["R5"], at["R1"], at["R6"]) == pytest.approx(0.60)


@pytest.mark.parametrize("table", ["climate_short", "climate_middle", "climate_long", "hybrid_2700"])
def test_every_equal_step_table_has_the_shares_in_use(table: str) -> None:
    # w_028, hprcc and nch_40 are one scheme (derived)
    at = {row.stage: row.gdd for row in TABLES.heat_to_stage if row.table == table}
    for share in TABLES.heat.fill_share:
        assert heat.fill_share(at[share.stage], at["R1"], at["R6"]) == pytest.approx(share.share, abs=0.011)


def test_late_planting_takes_6_8_a_day() -> None:
    # p_hm: 2,700 planted May 31, "less than 2,500"
    assert heat.late_planting(2700, date(2026, 5, 31), TABLES) == pytest.approx(2496)
    assert heat.late_planting(2700, date(2026, 4, 20), TABLES) == 2700


def test_late_planting_stops_at_mid_june() -> None:
    with pytest.raises(OutsideTable, match="2026-06-15"):
        heat.late_planting(2700, date(2026, 6, 16), TABLES)


def test_the_two_late_planting_figures_are_one_in_two_units() -> None:
    # nielsen02 gives 3.8 C-days a day, 34 of 144 before silk; p_hm gives 6.8 F-days
    rule = TABLES.heat.late_planting
    assert rule.gdd_per_day == pytest.approx(3.8 * heat.F_PER_C, abs=0.05)
    assert rule.before_silk_per_day == pytest.approx(rule.gdd_per_day * 34 / 144, abs=0.05)


def test_a_rating_from_emergence() -> None:
    assert heat.rating_from_planting(2600, TABLES) == 2715  # p_hm22 rule


def test_two_points_wetter_is_four_days_of_maturity() -> None:
    assert heat.maturity_by_moisture(110, 2, TABLES) == 114  # p_rm
