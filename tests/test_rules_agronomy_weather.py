"""Weather classes and the published laboratory tables."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.agronomy import weather
from rules.agronomy.errors import ImpossibleValue, SwitchedOff
from rules.agronomy.tables import load
from rules.agronomy.weather import Favours, Infection

TABLES = load()
DISORDERS = [item.disorder for item in TABLES.weather.favour]


@pytest.mark.parametrize(
    ("mean_f", "expected"),
    [(60, "cool"), (69.9, "cool"), (70, "mild"), (74.9, "mild"), (75, "warm"), (90, "warm"), (91, "hot")],
)
def test_warmth(mean_f: float, expected: str) -> None:
    assert weather.warmth(mean_f, TABLES) == expected


@pytest.mark.parametrize(
    ("disorder", "warmth", "moisture", "expected"),
    [
        ("southern_rust", "warm", "wet", Favours.FAVOURABLE),  # isu25, isu26
        ("southern_rust", "cool", "wet", Favours.UNFAVOURABLE),
        ("southern_rust", "warm", "dry", Favours.UNFAVOURABLE),  # hk85: dew always needed
        ("southern_rust", "warm", None, Favours.UNCLEAR),
        ("southern_rust", "hot", "wet", Favours.UNCLEAR),
        ("common_rust", "cool", "wet", Favours.FAVOURABLE),  # isu08
        ("common_rust", "hot", "wet", Favours.UNFAVOURABLE),
        ("tar_spot", "cool", "wet", Favours.FAVOURABLE),  # ut_ts, ilk19
        ("gray_leaf_spot", "warm", "wet", Favours.FAVOURABLE),  # osu21_spray
        ("northern_corn_leaf_blight", "mild", "wet", Favours.FAVOURABLE),  # cpn_nclb
        ("common_smut", "hot", "dry", Favours.FAVOURABLE),  # ncsu, txh
        ("southern_rust", None, None, Favours.UNKNOWN),
        ("stewarts_wilt", "warm", "wet", Favours.UNKNOWN),
    ],
)
def test_favourability(disorder: str, warmth: str | None, moisture: str | None, expected: Favours) -> None:
    assert weather.favourability(disorder, warmth, moisture, TABLES) is expected


@pytest.mark.parametrize("disorder", DISORDERS)
def test_published_ranges_agree_with_the_classes(disorder: str) -> None:
    item = weather.favour_of(disorder, TABLES)
    assert item is not None
    if item.temp_f is not None:
        middle = weather.warmth(sum(item.temp_f) / 2, TABLES)
        assert middle in item.favourable or middle not in item.unfavourable


# --------------------------------------------------------------------------- southern rust


@pytest.mark.parametrize(
    ("mean_c", "hours", "expected"),
    [
        (26, 16, Infection.BEST),
        (25, 4, Infection.NOT_MET),  # limit 22 at 4 h
        (12, 16, Infection.NONE),
        (36, 16, Infection.NONE),
        (26, 0, Infection.NONE),
        (20, 4, Infection.MET),
        (28, 8, Infection.MET),
        (25, 6, Infection.UNCERTAIN),  # between the rows: only the longer one says yes
        (20, 6, Infection.MET),
        (30, 10, Infection.UNCERTAIN),
        (30, 6, Infection.NOT_MET),  # both rows say no
        (17, 40, Infection.MET),
    ],
)
def test_southern_rust_dew_table(mean_c: float, hours: float, expected: Infection) -> None:
    # hk85
    assert weather.rust_infection(mean_c, hours, TABLES) is expected


RANK = [Infection.NONE, Infection.NOT_MET, Infection.UNCERTAIN, Infection.MET, Infection.BEST]


@given(st.floats(-5, 45), st.floats(0, 24), st.floats(0, 24))
def test_more_dew_never_makes_rust_less_likely(mean_c: float, a: float, b: float) -> None:
    less, more = (weather.rust_infection(mean_c, hours, TABLES) for hours in sorted((a, b)))
    assert RANK.index(less) <= RANK.index(more)


# --------------------------------------------------------------------------- blight, gray leaf spot


@pytest.mark.parametrize(
    ("mean_c", "hours", "expected"),
    [
        (20, 4, Infection.NOT_MET),
        (20, 5, Infection.MET),
        (10, 12, Infection.NONE),
        (31, 12, Infection.NONE),
        (26, 6, Infection.UNCERTAIN),
    ],
)
def test_northern_corn_leaf_blight(mean_c: float, hours: float, expected: Infection) -> None:
    # lc83
    assert weather.blight_infection(mean_c, hours, TABLES) is expected


def test_gray_leaf_spot_does_not_grow_at_90_percent() -> None:
    # tm93
    assert not weather.gls_grows(90, TABLES)
    assert weather.gls_grows(95, TABLES)


def test_gray_leaf_spot_hours_outlast_a_short_dry_spell() -> None:
    # tm93: germlings live six days at 60 %
    wet, short, long = [96.0] * 10, [60.0] * (5 * 24), [60.0] * (7 * 24)
    assert weather.gls_hours([*wet, *short, *wet], TABLES) == 20
    assert weather.gls_hours([*wet, *long, *wet], TABLES) == 10


def test_gray_leaf_spot_lives_longer_in_damper_air() -> None:
    # tm93: fifteen days at 90 %
    wet, spell = [96.0] * 10, [90.0] * (14 * 24)
    assert weather.gls_hours([*wet, *spell, *wet], TABLES) == 20


@pytest.mark.parametrize(
    ("tillage", "last", "before", "residue", "risk"),
    [
        ("no_till", True, True, None, "high"),
        ("moldboard", True, True, None, "low"),
        ("no_till", False, True, None, "moderate"),
        ("no_till", False, False, None, "low"),
        ("disk", True, None, 40, "moderate"),
        ("disk", False, None, None, "low"),
        ("disk", True, None, 20, None),  # not in the table
        ("no_till", True, None, None, None),
    ],
)
def test_gray_leaf_spot_class(
    tillage: str, last: bool, before: bool | None, residue: float | None, risk: str | None
) -> None:
    # il98
    assert weather.gls_residue_risk(tillage, last, TABLES, before, residue) == risk


# --------------------------------------------------------------------------- wet hours, tar spot


@pytest.mark.parametrize(("humidity", "rain", "wet"), [(90, 0, True), (89, 0, False), (50, 0.1, True)])
def test_wet_hour(humidity: float, rain: float, wet: bool) -> None:
    # sen
    assert weather.is_wet_hour(humidity, rain, TABLES) is wet


@pytest.mark.parametrize("humidity", [-1, 101])
def test_impossible_humidity_is_refused(humidity: float) -> None:
    with pytest.raises(ImpossibleValue, match="humidity"):
        weather.is_wet_hour(humidity, 0, TABLES)


def test_the_tar_spot_equations_ship_switched_off() -> None:
    with pytest.raises(SwitchedOff, match="tar spot"):
        weather.tar_spot_risk(20, 90, 6, TABLES)


@pytest.mark.parametrize(
    ("mean_c", "humidity", "night", "expected"),
    [(20, 90, 6, 0.685), (22, 95, 5, 0.231), (24, 92, 6, 0.052)],
)
def test_the_tar_spot_equations_when_switched_on(
    mean_c: float, humidity: float, night: float, expected: float
) -> None:
    # web23, coefficients from memory; derived values
    on = replace(TABLES.weather.tar_spot_logistic, enabled=True)
    tables = replace(TABLES, weather=replace(TABLES.weather, tar_spot_logistic=on))
    assert weather.tar_spot_risk(mean_c, humidity, night, tables) == pytest.approx(expected, abs=0.001)


def test_everything_from_memory_that_has_a_switch_is_off() -> None:
    models = [*TABLES.heat.rm_regression, TABLES.weather.tar_spot_logistic]
    assert all(model.known != "memory" or not model.enabled for model in models)
