"""Drydown, harvest dates and harvest intervals."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.agronomy import harvest
from rules.agronomy.errors import ImpossibleValue, OutsideTable
from rules.agronomy.tables import load

TABLES = load()
STAGES = [row.code for row in TABLES.rows]


def test_heat_from_black_layer_to_25_percent() -> None:
    # w_028 prints 150; osu_dry23 gives 5 points of 30
    assert harvest.drydown_heat(30, 25, TABLES) == pytest.approx(150)


def test_heat_from_30_to_20_percent() -> None:
    # osu_dry23: 150 and 225
    assert harvest.drydown_heat(30, 20, TABLES) == pytest.approx(375)


@pytest.mark.parametrize(("moisture", "target"), [(35, 25), (30, 15)])
def test_drydown_heat_is_not_stretched(moisture: float, target: float) -> None:
    with pytest.raises(OutsideTable, match="20 to 30"):
        harvest.drydown_heat(moisture, target, TABLES)


def test_dough_on_aug_10_by_the_default() -> None:
    # il_13: 40 days; 32 to 22 % at 0.75 a day (osu_dry23) is 13.3 days
    black_layer = date(2026, 8, 10) + timedelta(days=40)
    assert black_layer == date(2026, 9, 19)
    assert harvest.drydown_days(32, 22, 0.75) == pytest.approx(13.3, abs=0.05)
    assert harvest.harvest_on(black_layer, 32, 22, 0.75) == date(2026, 10, 3)


def test_dough_on_aug_10_by_the_short_ends() -> None:
    # in_cca20: 33 days; 1.0 a day; a 30-day interval then closes on Aug 23
    black_layer = date(2026, 8, 10) + timedelta(days=33)
    earliest = harvest.harvest_on(black_layer, 32, 22, 1.0)
    assert (black_layer, earliest) == (date(2026, 9, 12), date(2026, 9, 22))
    assert harvest.latest_spray(earliest, 30) == date(2026, 8, 23)


def test_harvest_in_20_days_leaves_no_30_day_interval() -> None:
    # unl08
    today = date(2026, 8, 20)
    found = harvest.interval_fits(today, today + timedelta(days=20), 30)
    assert not found.fits
    assert found.spare_days == -10


def test_an_interval_that_just_fits() -> None:
    today = date(2026, 8, 20)
    found = harvest.interval_fits(today, today + timedelta(days=30), 30)
    assert (found.fits, found.spare_days, found.latest_spray) == (True, 0, today)


def test_the_earliest_grain_harvest_takes_the_shortest_days_and_fastest_drydown() -> None:
    # ky_v 28 days; 30 to 25 % at one point a day
    assert harvest.earliest_harvest(date(2026, 8, 10), "R4", TABLES) == date(2026, 9, 12)


@given(st.sampled_from(STAGES), st.sampled_from([item.crop_type for item in TABLES.harvest.ripe]))
def test_no_crop_is_cut_later_than_grain(stage: str, crop: str) -> None:
    today = date(2026, 8, 1)
    grain = harvest.earliest_harvest(today, stage, TABLES)
    assert today <= harvest.earliest_harvest(today, stage, TABLES, crop_type=crop) <= grain


@given(st.sampled_from(STAGES), st.sampled_from(STAGES))
def test_a_later_stage_is_never_harvested_later(a: str, b: str) -> None:
    young, old = sorted((a, b), key=STAGES.index)
    today = date(2026, 8, 1)
    assert harvest.earliest_harvest(today, old, TABLES) <= harvest.earliest_harvest(today, young, TABLES)


def test_silage_is_cut_at_half_milk_line() -> None:
    # w_frost: 42 to 47 days after silk; dough comes at 28 at the latest (clem)
    today = date(2026, 8, 1)
    cut = harvest.earliest_harvest(today, "R4", TABLES, crop_type="silage_corn")
    assert cut == today + timedelta(days=42 - 28)


def test_an_unknown_kind_of_corn_is_named() -> None:
    with pytest.raises(OutsideTable, match="broom"):
        harvest.earliest_harvest(date(2026, 8, 1), "R4", TABLES, crop_type="broom")


@pytest.mark.parametrize(
    ("on", "rate"),
    [
        (date(2026, 9, 20), (0.75, 1.0)),
        (date(2026, 10, 5), (0.5, 0.75)),
        (date(2026, 10, 28), (0.25, 0.5)),
        (date(2026, 11, 15), (0.0, 0.25)),
        (date(2026, 8, 28), (0.75, 1.0)),
    ],
)
def test_drydown_by_time_of_the_fall(on: date, rate: tuple[float, float]) -> None:
    # osu_dry23
    assert harvest.drydown_rate(on, TABLES) == rate


@pytest.mark.parametrize("rate", [0, -1])
def test_drydown_needs_a_rate(rate: float) -> None:
    with pytest.raises(ImpossibleValue, match="points_per_day"):
        harvest.drydown_days(32, 22, rate)
