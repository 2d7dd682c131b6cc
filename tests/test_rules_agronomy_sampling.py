"""Counts of plants: the Wilson interval against scipy, and how a threshold is judged."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from rules.agronomy.errors import ImpossibleValue
from rules.agronomy.sampling import Passed, incidence, judge, judge_percent, wilson
from rules.agronomy.tables import load

TABLES = load()
counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


def test_eighteen_of_120_plants() -> None:
    assert incidence(18, 120) == 15  # osu22s


@given(counts, st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_wilson_is_scipys(count: tuple[int, int], confidence: float) -> None:
    affected, checked = count
    theirs = binomtest(affected, checked).proportion_ci(confidence, method="wilson")
    assert wilson(affected, checked, confidence) == pytest.approx(
        (100 * theirs.low, 100 * theirs.high), abs=1e-9
    )


@given(counts)
def test_the_interval_holds_the_estimate(count: tuple[int, int]) -> None:
    low, high = wilson(*count, 0.95)
    assert 0 <= low <= incidence(*count) + 1e-9
    assert incidence(*count) - 1e-9 <= high <= 100


@pytest.mark.parametrize(
    ("affected", "checked", "verdict", "passed"),
    [
        (8, 20, Passed.NEAR, False),
        (19, 20, Passed.CLEARLY, True),
        (1, 20, Passed.CLEARLY_NOT, False),
        (11, 20, Passed.NEAR, True),
        (10, 20, Passed.NEAR, True),  # "at least 50 %" is met at 50
    ],
)
def test_judged_against_half_the_plants(affected: int, checked: int, verdict: Passed, passed: bool) -> None:
    found = judge(affected, checked, 50, TABLES)
    assert (found.verdict, found.passed) == (verdict, passed)


@given(counts, st.integers(1, 99))
def test_more_plants_would_settle_it(count: tuple[int, int], threshold: int) -> None:
    found = judge(*count, threshold, TABLES)
    if found.more_plants is None:
        return
    assert found.verdict is Passed.NEAR
    plants = count[1] + found.more_plants
    low, high = wilson(plants * found.percent / 100, plants, 0.95)
    assert low >= threshold or high < threshold


@given(counts, st.integers(0, 100))
def test_nobody_is_sent_back_for_a_hundred_plants(count: tuple[int, int], threshold: int) -> None:
    more = judge(*count, threshold, TABLES).more_plants
    assert more is None or 0 < more < 100


def test_a_hopelessly_near_count_names_no_number() -> None:
    assert judge(10, 20, 50, TABLES).more_plants is None


@pytest.mark.parametrize(("stops", "enough"), [(None, None), (4, False), (5, True)])
def test_an_estimate_wants_five_stops(stops: int | None, enough: bool | None) -> None:
    assert judge(15, 20, 50, TABLES, stops).enough_stops is enough


def test_a_percentage_without_a_count_is_taken_as_stated() -> None:
    found = judge_percent(60, 50)
    assert (found.verdict, found.passed, found.more_plants) == (Passed.STATED, True, None)


@pytest.mark.parametrize(("affected", "checked"), [(5, 0), (21, 20), (-1, 20)])
def test_impossible_counts_are_refused(affected: int, checked: int) -> None:
    with pytest.raises(ImpossibleValue, match="plants_"):
        judge(affected, checked, 50, TABLES)
