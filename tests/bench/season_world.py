"""A made field for the season bench: its weather, its epidemics, and what they leave of the yield.

All spray schedules of one field are run side by side: arrays are (schedule, layer).  An epidemic is
logistic growth with a latent period: infection falls on healthy leaf in proportion to what is open,
to the day's favour and to what a spray lets through, and opens when the latent period is over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from math import ceil

import numpy as np
from numpy.typing import NDArray

from rules.agronomy.days import days_after_silk, stage_on_day
from rules.agronomy.loss import chart_row, leaf_loss
from rules.agronomy.severity import severity_loss
from rules.agronomy.tables import Agronomy, load
from rules.agronomy.weather import Infection, favour_of, rust_infection
from rules.tables import Tables
from tests.bench.season_figures import DISORDERS, of

Array = NDArray[np.float64]
START, END = (date.fromisoformat(day) for day in of("season_days"))
DAYS = (END - START).days + 1
NEVER = 10**6  # the day of a spray that is not made
_STEPS = 10  # relations are looked up in tenths of a percent


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """Daily mean temperature (F), wet hours, and whether it rained."""

    mean_f: Array
    wet_hours: Array
    rain: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Epidemic:
    """One disease in one field: spores from outside by day, rate, latent days, favour by day."""

    disorder: str
    reaction: int  # 0 susceptible, 1 moderate, 2 resistant
    incoming: Array
    rate: float
    latent: int
    favour: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One made field.  ``silk`` is a day of the season; ``within`` says where in a published band it lies."""

    weather: Weather
    silk: int
    epidemics: tuple[Epidemic, ...]
    potential: float
    within: float
    corn_last_year: bool
    history: bool


# ------------------------------------------------------------------ making a field


def make_field(chance: np.random.Generator, tables: Tables) -> Field:
    """One field by chance."""
    weather = _weather(chance)
    silk = int(np.clip(round(chance.normal(*of("silk_day"))), 4, DAYS // 2))
    epidemics = [_epidemic(d, weather, chance, tables.agronomy) for d in DISORDERS]
    corn = bool(chance.random() < of("corn_last_year"))
    return Field(
        weather=weather,
        silk=silk,
        epidemics=tuple(e for e in epidemics if e is not None),
        potential=float(chance.normal(*of("yield_potential"))),
        within=float(chance.random()),
        corn_last_year=corn,
        history=corn and bool(chance.random() < 1 / 2),
    )


def _weather(chance: np.random.Generator) -> Weather:
    months = np.array([START.toordinal() + d for d in (15, 46, 76)], dtype=float)
    normal = np.interp(np.arange(DAYS) + START.toordinal(), months, of("month_mean_f"))
    keeps, spread = of("day_memory"), of("day_spread_f")
    departure = np.zeros(DAYS)
    rain = np.zeros(DAYS, dtype=bool)
    for day in range(1, DAYS):
        departure[day] = keeps * departure[day - 1] + chance.normal(0, spread * (1 - keeps**2) ** 0.5)
        rain[day] = chance.random() < of("rain_chance")[int(rain[day - 1])]
    hours, off = of("dew_hours")
    wet = chance.normal(hours + chance.normal(0, of("year_hours")), off, DAYS) + of("rain_hours") * rain
    mean = normal + departure + chance.normal(0, of("year_spread_f"))
    return Weather(mean_f=mean, wet_hours=np.clip(wet, 0, 24), rain=rain)


def _epidemic(
    disorder: str, weather: Weather, chance: np.random.Generator, tables: Agronomy
) -> Epidemic | None:
    here = chance.random() < of("arrives")[disorder]
    first = int(chance.integers(*of("arrival_day")[disorder], endpoint=True))
    median, spread = of("arrival_strength")[disorder]
    strength = float(median * np.exp(chance.normal(0, spread)))
    reaction = int(chance.choice(3, p=of("reaction_share")[disorder]))
    favour = favour_of(disorder, tables)
    assert favour is not None
    latent = int(chance.integers(*favour.latent_days, endpoint=True))
    if reaction == 2:
        latent = of("latent_resistant_days").get(disorder, latent)
    if not here:
        return None
    incoming = np.zeros(DAYS)
    incoming[first : first + of("arrival_for_days")[disorder]] = strength
    return Epidemic(
        disorder=disorder,
        reaction=reaction,
        incoming=incoming,
        rate=of("rate")[disorder] * of("reaction_rate")[reaction],
        latent=latent,
        favour=np.array([_favour(disorder, float(t), float(h), tables) for t, h in _nights(weather)]),
    )


def _nights(weather: Weather) -> list[tuple[float, float]]:
    return list(zip(weather.mean_f, weather.wet_hours, strict=True))


def _favour(disorder: str, mean_f: float, hours: float, tables: Agronomy) -> float:
    """How well one day suits infection, 0 to 1."""
    if disorder == "southern_rust":
        return _rust_favour((mean_f - of("night_below_mean_f") - 32) * 5 / 9, hours, tables)
    record = favour_of(disorder, tables)
    assert record is not None
    low, high = record.temp_f
    outside = max(low - mean_f, mean_f - high, 0.0)
    warmth = max(0.0, 1 - outside / of("warmth_fades_f"))
    if record.wet_hours:
        return warmth * (hours >= record.wet_hours)
    return warmth * min(1.0, hours / of("gls_full_hours"))


def _rust_favour(night_c: float, hours: float, tables: Agronomy) -> float:
    """Southern rust by the published dew table (Hollier & King 1985)."""
    found = rust_infection(night_c, hours, tables)
    if found in (Infection.NONE, Infection.NOT_MET):
        return 0.0
    by_hours = of("rust_by_hours")
    reached = [share for least, share in by_hours.items() if hours >= int(least)]
    share = max(reached, default=min(by_hours.values()))
    return share / 2 if found is Infection.UNCERTAIN else share


# ------------------------------------------------------------------ a season under schedules

Schedule = tuple[int, ...]


def covered(schedules: Sequence[Schedule], field: Field, tables: Tables) -> NDArray[np.bool_]:
    """(day, schedule, layer): is the layer covered?  A spray before tassel misses the upper two layers."""
    last = round(tables.figures["cover_mixture_days"].value)
    layers = np.arange(len(of("layer_share")))
    days = np.arange(DAYS)[:, None]
    made = np.zeros((DAYS, len(schedules), len(layers)), dtype=bool)
    for n in range(of("most_sprays")):
        on = np.array([s[n] if n < len(s) else NEVER for s in schedules])
        still = (days >= on) & (days <= on + last)
        out = (on >= tassel_day(field, tables.agronomy))[:, None] | (layers < len(layers) // 2)
        made |= still[:, :, None] & out
    return made


def tassel_day(field: Field, tables: Agronomy) -> int:
    """The first day of full tassel."""
    return ceil(field.silk + days_after_silk("VT", tables))


def spread(epidemic: Epidemic, cover: NDArray[np.bool_]) -> Array:
    """(day, schedule, layer): share of leaf area with open disease."""
    days, schedules, layers = cover.shape
    lands = _lands(layers)
    open_ = np.zeros((schedules, layers))
    taken = np.zeros_like(open_)
    waiting = np.zeros((epidemic.latent, schedules, layers))
    through = 1 - of("control")[epidemic.disorder] * cover
    outside = _from_outside(epidemic.disorder, layers)
    path = np.zeros((days, schedules, layers))
    for day in range(days):
        place = day % epidemic.latent
        open_ = open_ + waiting[place]
        spores = epidemic.rate * (open_ @ lands) + epidemic.incoming[day] * outside
        fresh = np.minimum(epidemic.favour[day] * spores * through[day], 1.0) * (1 - taken)
        taken = taken + fresh
        waiting[place] = fresh
        path[day] = open_
    return path


def _lands(layers: int) -> Array:
    """Where the spores of a layer land: its own, and the rest evenly."""
    own = of("deposit_to_own_layer")
    return np.eye(layers) * own + (1 - own) / layers


def _from_outside(disorder: str, layers: int) -> Array:
    """Blown in: on every layer; from residue: on the lowest."""
    if disorder == "southern_rust":
        return np.array(of("upper_share_of_blown_in")) * layers
    return np.eye(layers)[0] * layers


# ------------------------------------------------------------------ yield


def yields(field: Field, paths: dict[str, Array], tables: Tables) -> Array:
    """Bushels an acre that each schedule leaves."""
    some = next(iter(paths.values()), None)
    left = np.full(1 if some is None else some.shape[1], field.potential)
    if "southern_rust" in paths:
        left = left * (1 - _rust_loss(field, paths["southern_rust"], tables.agronomy) / 100)
    if "gray_leaf_spot" in paths:
        dent = day_of("R5", field, tables.agronomy)
        rated = 100 * paths["gray_leaf_spot"][dent, :, -1]
        left = left * (1 - _look_up(_relation("gls_ear_leaf_at_dent"), rated, field) / 100)
    if "tar_spot" in paths:
        ripe = day_of("R6", field, tables.agronomy)
        rated = 100 * paths["tar_spot"][ripe, :, -1]
        left = left - _look_up(_relation("tar_spot_ear_leaf"), rated, field)
    return np.maximum(left, 0.0)


def day_of(stage: str, field: Field, tables: Agronomy) -> int:
    """The day on which a stage begins, or the last of the season."""
    return min(DAYS - 1, round(field.silk + days_after_silk(stage, tables)))


def _look_up(bands: tuple[Array, Array], percent: Array, field: Field) -> Array:
    """The loss within a published band at the field's own place in it."""
    at = np.clip(np.rint(percent * _STEPS).astype(int), 0, 100 * _STEPS)
    low, high = bands[0][at], bands[1][at]
    return low + field.within * (high - low)


@cache
def _relation(name: str) -> tuple[Array, Array]:
    losses = [severity_loss(name, n / _STEPS, load()) for n in range(100 * _STEPS + 1)]
    return np.array([item.low for item in losses]), np.array([item.high for item in losses])


def _rust_loss(field: Field, path: Array, tables: Agronomy) -> Array:
    """Percent of yield, by the leaf-loss chart: each day's newly dead leaf at that day's stage."""
    dead = np.minimum(100.0, 100 * of("rust_death") * (path @ np.array(of("layer_share"))))
    lag, lost, before = of("death_lag_days"), np.zeros(path.shape[1]), np.zeros(path.shape[1])
    for day in range(lag, day_of("R6", field, tables)):
        row = chart_row(stage_of(day, field, tables), tables)
        if row is not None:
            chart, now = _chart(row), dead[day - lag]
            lost += _at(chart, now) - _at(chart, before)
            before = now
    return lost


@cache
def _chart(row: str) -> Array:
    return np.array([leaf_loss(row, n / _STEPS, load()) or 0.0 for n in range(100 * _STEPS + 1)])


def _at(chart: Array, percent: Array) -> Array:
    return chart[np.rint(percent * _STEPS).astype(int)]


def stage_of(day: int, field: Field, tables: Agronomy) -> str:
    """The stage of a day, with the quarters of dent."""
    after = day - field.silk
    reached = [m.stage for m in tables.stages.milestone if m.after <= after]
    return reached[-1] if reached else stage_on_day(after, tables)


def date_of(day: int) -> date:
    """The calendar day of a day of the season."""
    return START + timedelta(days=day)
