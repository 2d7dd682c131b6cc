"""Break-even and odds against published examples and scipy."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from rules.agronomy import money
from rules.agronomy.errors import ImpossibleValue, OutsideTable
from rules.agronomy.tables import load

TABLES = load()


@pytest.mark.parametrize(
    ("cost", "price", "printed", "source"),
    [
        (24, 3.72, 6.45, "isu10_spray"),
        (26, 4.50, 5.8, "ntf19"),
        (30, 4.50, 6.7, "ntf19, ud14b"),
        (25, 4.00, 6.25, "ntf19, ud14b, printed 6.3"),
        (30, 3.50, 8.6, "ntf19, ud14b"),
        (20, 7.00, 2.9, "ud14b"),
        (30, 7.00, 4.3, "ud14b"),
        (40, 5.50, 7.3, "ntf19"),
        (35, 4.00, 8.75, "ntf19, printed 8.8"),
        (20, 3.50, 5.7, "ud14b; 5.1 in a copy is a misprint"),
        (40, 4.00, 10.0, "ocj15, about 10"),
    ],
)
def test_break_even(cost: float, price: float, printed: float, source: str) -> None:
    assert money.break_even(cost, price) == pytest.approx(printed, abs=0.05), source


def test_the_figure_of_the_answer_has_its_unit() -> None:
    number = money.break_even_number(24, 3.72)  # isu10_spray
    assert (number.name, number.value, number.unit) == ("break_even_bu_ac", 6.45, "bu/ac")


def test_hauling_and_drying_raise_the_break_even() -> None:
    assert money.break_even(28, 4.00, 0.50) == 8.0


@pytest.mark.parametrize(
    ("cost", "price", "per_bushel"), [(-1, 4, 0), (28, 0, 0), (28, 0.4, 0.5), (28, -4, 0)]
)
def test_impossible_money_is_refused(cost: float, price: float, per_bushel: float) -> None:
    with pytest.raises(ImpossibleValue, match=r"cost|price"):
        money.break_even(cost, price, per_bushel)


@given(st.floats(0, 100), st.floats(0.5, 12))
def test_at_break_even_nothing_is_left(cost: float, price: float) -> None:
    assert money.net(money.break_even(cost, price), price, cost) == pytest.approx(0, abs=1e-9)


def test_indiana_average() -> None:
    # aec: 4 bu and 19 dollars gross came to 9 lost, so the cost was 28
    assert money.net(4, 19 / 4, 28) == pytest.approx(-9)


def test_tar_spot_gain_in_money() -> None:
    # in_ts: 544.6 kg/ha at 0.17 $/kg, and 1020.7 for timings
    assert money.net(544.6, 0.17, 0) == pytest.approx(92.6, abs=0.05)
    assert money.net(1020.7, 0.17, 0) == pytest.approx(173.5, abs=0.05)


def test_net_range() -> None:
    low, high = money.net_range((0.1, 14.1), 4.00, 28)
    assert (low, high) == pytest.approx((-27.6, 28.4))
    with pytest.raises(ImpossibleValue, match="response"):
        money.net_range((14.1, 0.1), 4.00, 28)


def test_bushels_and_kilograms() -> None:
    # 1 bu/ac of corn is 62.77 kg/ha
    assert pytest.approx(62.77, abs=0.005) == money.KG_HA_PER_BU_AC


# --------------------------------------------------------------------------- odds


@given(st.floats(-30, 30), st.floats(-20, 20), st.floats(0.1, 20))
def test_odds_are_the_normal_tail(needed: float, mean: float, spread: float) -> None:
    assert money.odds_of_covering(needed, mean, spread) == pytest.approx(
        norm.sf(needed, mean, spread), abs=1e-12
    )


@pytest.mark.parametrize(
    ("active", "cost", "low", "high"),
    [
        ("propiconazole + azoxystrobin", 28, 0.33, 0.67),
        ("propiconazole + azoxystrobin", 35, 0.25, 0.57),
        ("pyraclostrobin", 28, 0.28, 0.46),
        ("pyraclostrobin", 35, 0.15, 0.28),
    ],
)
def test_odds_of_covering_at_four_dollars(active: str, cost: float, low: float, high: float) -> None:
    # derived from paul11
    item = money.response(active, TABLES)
    needed = money.break_even(cost, 4.00)
    assert money.odds_of_covering(needed, item.mean_low, item.spread) == pytest.approx(low, abs=0.015)
    assert money.odds_of_covering(needed, item.mean_high, item.spread) == pytest.approx(high, abs=0.015)


def test_responses_solve_the_recalled_ends_of_the_abstract() -> None:
    # paul11, recalled: over 5 % severity, 0.25 and 0.64 chance of not paying at 5.3 and 12.6 bu
    item = money.response("propiconazole + azoxystrobin", TABLES)
    assert 1 - money.odds_of_covering(5.3, item.mean_high, item.spread) == pytest.approx(0.25, abs=0.02)
    assert 1 - money.odds_of_covering(12.6, item.mean_high, item.spread) == pytest.approx(0.64, abs=0.02)


@given(st.floats(0, 30), st.floats(0, 30))
def test_a_higher_break_even_is_never_likelier(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert money.odds_of_covering(low, 5, 6) >= money.odds_of_covering(high, 5, 6)


def test_a_spread_must_be_above_nothing() -> None:
    with pytest.raises(ImpossibleValue, match="spread"):
        money.odds_of_covering(7, 5, 0)


@pytest.mark.parametrize(
    ("chance", "told"), [(0.672, 0.65), (0.68, 0.70), (0.0, 0.05), (1.0, 0.95), (0.5, 0.5)]
)
def test_odds_are_told_to_the_nearest_twentieth(chance: float, told: float) -> None:
    assert money.coarse(chance, TABLES) == told


@pytest.mark.parametrize(
    ("untreated", "mean", "share"),
    [(5, 0.1, 0.13), (10, 4.8, 0.50), (14.9, 4.8, 0.50), (15, 14.1, 1.00), (60, 14.1, 1.00)],
)
def test_illinois_trials_by_untreated_severity(untreated: float, mean: float, share: float) -> None:
    # il11m
    item = money.trial_class(untreated, TABLES)
    assert (item.mean, item.share_5bu) == (mean, share)


def test_an_active_without_trials_is_named() -> None:
    with pytest.raises(OutsideTable, match="tebuconazole"):
        money.response("tebuconazole", TABLES)
