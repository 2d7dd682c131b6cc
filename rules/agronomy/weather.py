"""Does the weather favour a disease?  Classes first, then the published laboratory tables.

Temperatures in degrees C where a name ends in ``_c`` (the laboratory), else degrees F;
humidity in percent; wet time in hours.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from math import exp

from rules.agronomy.errors import OutsideTable, SwitchedOff, check_range
from rules.agronomy.shapes import Risk
from rules.agronomy.shapes_weather import Favour, GlsResidue
from rules.agronomy.tables import Agronomy


class Favours(StrEnum):
    """What the weather's classes say for one disorder."""

    FAVOURABLE = "favourable"
    UNFAVOURABLE = "unfavourable"
    UNCLEAR = "unclear"  # something is known, and it settles nothing
    UNKNOWN = "unknown"  # nothing is known of the weather, or of the disorder


class Infection(StrEnum):
    """What a laboratory table says of infection."""

    NONE = "none"
    NOT_MET = "not_met"
    UNCERTAIN = "uncertain"  # between two rows: counts as favourable
    MET = "met"
    BEST = "best"


def warmth(mean_f: float, tables: Agronomy) -> str:
    """The class of a mean temperature: cool, mild, warm or hot."""
    check_range("temperature", mean_f, *tables.heat.unit.possible_f, "F")
    cool, mild, warm = tables.weather.class_limits.warmth_f
    if mean_f < cool:
        return "cool"
    if mean_f < mild:
        return "mild"
    return "warm" if mean_f <= warm else "hot"


def favour_of(disorder: str, tables: Agronomy) -> Favour | None:
    """The record of what favours a disorder, or None."""
    return next((item for item in tables.weather.favour if item.disorder == disorder), None)


def favourability(disorder: str, warmth_class: str | None, moisture: str | None, tables: Agronomy) -> Favours:
    """What warmth (cool … hot) and moisture (wet, dry) say for a disorder; None = not known.

    Unfavourable warmth, or dry weather for one that needs wet leaves, outweighs the rest.
    """
    item = favour_of(disorder, tables)
    if item is None or (warmth_class is None and moisture is None):
        return Favours.UNKNOWN
    if warmth_class in item.unfavourable or (moisture == "dry" and item.needs_wet):
        return Favours.UNFAVOURABLE
    wet_enough = moisture == "wet" or not item.needs_wet
    if warmth_class in item.favourable and wet_enough:
        return Favours.FAVOURABLE
    return Favours.UNCLEAR


# --------------------------------------------------------------------------- southern rust, dew


def rust_infection(mean_c: float, dew_hours: float, tables: Agronomy) -> Infection:
    """Southern rust infection by mean temperature in the wet period and its length.

    Hollier & King 1985, Plant Disease 69:219: seedlings in chambers, steps of four hours.
    Between two rows the answer is uncertain unless both say no; it never supports a hold.
    """
    check_range("mean_c", mean_c, *tables.heat.unit.possible_c, "C")
    check_range("dew_hours", dew_hours, 0, float("inf"), "hours")
    limits = tables.weather.rust_dew
    if not limits.none_at_or_below_c < mean_c < limits.none_at_or_above_c or dew_hours == 0:
        return Infection.NONE
    if mean_c == limits.best_c and dew_hours >= limits.best_hours:
        return Infection.BEST
    rows = tables.weather.rust_dew_row
    if any(row.hours <= dew_hours and row.low_c <= mean_c <= row.high_c for row in rows):
        return Infection.MET
    longer = [row for row in rows if row.hours >= dew_hours]
    enough_at_next = bool(longer) and longer[0].low_c <= mean_c <= longer[0].high_c
    return Infection.UNCERTAIN if enough_at_next else Infection.NOT_MET


# --------------------------------------------------------------------------- northern corn leaf blight


def blight_infection(mean_c: float, dew_hours: float, tables: Agronomy) -> Infection:
    """Northern corn leaf blight lesions by temperature and dew (Levy & Cohen 1983).

    Certain at the best temperature only; elsewhere in the range enough dew is uncertain.
    """
    check_range("mean_c", mean_c, *tables.heat.unit.possible_c, "C")
    check_range("dew_hours", dew_hours, 0, float("inf"), "hours")
    lesion = tables.weather.blight_step[-1]
    low, high = tables.weather.blight_range.infects_c
    if not low <= mean_c <= high:
        return Infection.NONE
    if dew_hours < lesion.dew_hours:
        return Infection.NOT_MET
    return Infection.MET if mean_c == lesion.best_c else Infection.UNCERTAIN


# --------------------------------------------------------------------------- gray leaf spot


def gls_grows(humidity: float, tables: Agronomy) -> bool:
    """Whether gray leaf spot germ tubes grow at a relative humidity (Thorson & Martinson 1993)."""
    check_range("humidity", humidity, 0, 100, "%")
    return humidity >= tables.weather.gls_humidity.growth_at_rh


def gls_hours(hourly_humidity: Iterable[float], tables: Agronomy) -> int:
    """Hours of growth gathered so far; a dry spell longer than germlings live starts over.

    The spell's mean humidity chooses how long they live (rows of the table, the drier holds;
    below the driest row its figure is kept).
    """
    grown = 0
    dry: list[float] = []
    for humidity in hourly_humidity:
        if gls_grows(humidity, tables):
            grown, dry = grown + 1, []
            continue
        dry.append(humidity)
        if len(dry) > _hours_alive(sum(dry) / len(dry), tables):
            grown = 0
    return grown


def _hours_alive(humidity: float, tables: Agronomy) -> float:
    rows = tables.weather.gls_survival
    reached = [row for row in rows if row.rh <= humidity]
    return 24 * (reached[-1] if reached else rows[0]).dry_days


def gls_residue_risk(
    tillage: str,
    corn_last_year: bool,
    tables: Agronomy,
    corn_two_years_ago: bool | None = None,
    residue_pct: float | None = None,
) -> Risk | None:
    """Pre-plant risk of gray leaf spot by tillage and former crops; None where no row fits."""
    for row in tables.weather.gls_residue:
        crops = _agrees(row.corn_last_year, corn_last_year) and _agrees(
            row.corn_two_years_ago, corn_two_years_ago
        )
        if tillage in row.tillage and crops and _enough_residue(row, residue_pct):
            return row.risk
    return None


def _agrees(wanted: str, known: bool | None) -> bool:
    return wanted == "any" or (known is not None and known == (wanted == "yes"))


def _enough_residue(row: GlsResidue, residue_pct: float | None) -> bool:
    return row.residue_pct_from is None or (residue_pct is not None and residue_pct >= row.residue_pct_from)


# --------------------------------------------------------------------------- wet hours, tar spot


def is_wet_hour(humidity: float, rain: float, tables: Agronomy) -> bool:
    """Whether leaves count as wet in an hour: rain, or humidity from 90 % up."""
    check_range("humidity", humidity, 0, 100, "%")
    check_range("rain", rain, 0, float("inf"))
    return rain > 0 or humidity >= tables.weather.wet_hour.rh_from


def tar_spot_risk(mean_c: float, max_humidity: float, night_hours: float, tables: Agronomy) -> float:
    """Mean of the two logistic equations for tar spot (0 to 1).

    Raises:
        SwitchedOff: while the coefficients are from memory, which is how they ship.
        OutsideTable: night hours that no night has.
    """
    model = tables.weather.tar_spot_logistic
    if not model.enabled:
        raise SwitchedOff("the tar spot equation pair")
    if not 0 <= night_hours <= 24:
        raise OutsideTable("night_hours", night_hours, "0 to 24")
    by_humidity = model.humidity[0] + model.humidity[1] * mean_c + model.humidity[2] * max_humidity
    by_night = model.night[0] + model.night[1] * mean_c + model.night[2] * night_hours
    return (_logistic(by_humidity) + _logistic(by_night)) / 2


def _logistic(value: float) -> float:
    return 1 / (1 + exp(-value))
