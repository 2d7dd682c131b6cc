"""The shapes of the agronomy tables: one record a kind of row, one book a file.

Every figure stands beside its ``source`` keys and how it is ``known``.  A pair is a
range ``(low, high)``.  Days are calendar days, heat units are 86/50 in degrees F,
percent is 0 to 100, unless a field's name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Pair = tuple[float, float]
Days = tuple[int, int]
Known = Literal["read", "read_second_hand", "memory", "derived", "judgement"]
Risk = Literal["low", "moderate", "high"]
YesNo = Literal["yes", "no", "any"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """Anything that rests on publications (keys of knowledge/sources)."""

    source: tuple[str, ...]
    known: Known
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Disputed(Sourced):
    """A published figure that others contradict: used or not, and why."""

    used: bool
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement(Sourced):
    """A sentence for people; nothing is computed from it."""

    about: str
    text: str


# --------------------------------------------------------------------------- stages.csv, stages.toml


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow(Sourced):
    """One growth stage; a sub-stage names the stage that it is ``part_of``."""

    code: str
    name: str
    group: str
    bbch: str
    part_of: str | None = None
    moisture_pct: float | None = None
    dry_matter_pct: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Milestone(Sourced):
    """Start of a stage: days ``after`` silking, days ``left`` to black layer."""

    stage: str
    after: int
    left: int
    left_shown: Days
    left_shortest: int
    after_shown: Days | None = None
    milk_line: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedDays(Disputed):
    """Days to or from one stage, as printed."""

    stage: str
    days: Days


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(Sourced):
    """Days from the start of one stage to the start of another."""

    start: str
    end: str
    days: Days


@dataclass(frozen=True, slots=True, kw_only=True)
class Tassel(Sourced):
    """Days from full tassel to silk."""

    days_to_silk: Days


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaves(Sourced):
    """The last leaf stage that the calendar reckons with."""

    last: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace(Sourced):
    """Heat units a day in midsummer, for leaf stages from ``from_stage`` on."""

    from_stage: str
    gdd_per_day: float
    gdd_per_day_shown: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjuster(Sourced):
    """How far the hail adjusters' drooping-leaf count runs ahead of collars."""

    leaves_ahead: int
    leaves_ahead_shown: Days
    first_row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedPercent(Disputed):
    """A percentage printed for one stage."""

    stage: str
    percent: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class StageBook:
    """stages.toml."""

    milestone: tuple[Milestone, ...]
    tassel: Tassel
    leaves: Leaves
    pace: Pace
    adjuster: Adjuster
    published_after: tuple[PublishedDays, ...]
    published_left: tuple[PublishedDays, ...]
    step: tuple[Step, ...]
    statement: tuple[Statement, ...]
    moisture: tuple[PublishedPercent, ...]
    dry_matter: tuple[PublishedPercent, ...]


# --------------------------------------------------------------------------- heat.toml, heat_*.csv


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatUnit(Sourced):
    """Base and cap of the heat unit, and the readings that are possible at all."""

    base_f: float
    cap_f: float
    base_c: float
    cap_c: float
    possible_f: Pair
    possible_c: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class Emergence(Sourced):
    """Heat units from planting to emergence."""

    gdd: float
    gdd_shown: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class CollarRate(Disputed):
    """Heat units for each leaf collar between two leaf counts."""

    from_leaf: int
    to_leaf: int
    gdd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FillShare(Sourced):
    """Share of the heat from silk to black layer gone by the start of a stage."""

    stage: str
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DentHeat(Sourced):
    """Heat units for the whole of dent."""

    gdd_shown: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class LatePlanting(Sourced):
    """Heat units fewer for each day of planting past ``after``, up to ``until`` (MM-DD)."""

    gdd_per_day: float
    before_silk_per_day: float
    after: str
    until: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RatingBasis(Sourced):
    """What a heat rating counted from emergence lacks against one from planting."""

    from_emergence_add: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MaturityStep(Sourced):
    """Points of grain moisture for each day of relative maturity."""

    points_per_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RmRegression(Sourced):
    """Heat rating out of relative maturity; kept off while it is from memory."""

    of: str
    slope: float
    intercept: float
    enabled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RmSpot(Sourced):
    """Heat units to black layer printed for a span of relative maturity."""

    rm: Pair
    gdd: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatBook:
    """heat.toml."""

    unit: HeatUnit
    emergence: Emergence
    collar_rate: tuple[CollarRate, ...]
    fill_share: tuple[FillShare, ...]
    dent_heat: DentHeat
    late_planting: LatePlanting
    rating_basis: RatingBasis
    maturity_step: MaturityStep
    rm_regression: tuple[RmRegression, ...]
    rm_spot: tuple[RmSpot, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatToStage(Sourced):
    """Heat units at a stage in one published table; shown, not reckoned with."""

    table: str
    stage: str
    as_printed: str
    gdd: float
    used: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatLeft(Sourced):
    """Heat units from a stage to black layer for a zone of relative maturity."""

    stage: str
    as_printed: str
    rm_low: int
    rm_high: int
    gdd_left: float
