"""The shapes of the tables on loss, harvest, returns and counts (see :mod:`.shapes`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rules.agronomy.shapes import Disputed, Pair, Sourced, Statement

Part = Literal["ear_leaf_up", "below_ear_leaf"]

# --------------------------------------------------------------------------- leaf_loss.csv, loss.toml


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafLossRow(Sourced):
    """One row of the leaf-loss chart: pairs (percent destroyed, percent of yield lost)."""

    row: str
    cells: tuple[Pair, ...]
    mark: Literal["A", "B", "C"]
    stage: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart(Sourced):
    """What is said of the chart as a whole."""

    lowest_row: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBeMade(Sourced):
    """Percent of yield still to be made at the start of a stage."""

    stage: str
    percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeverityRelation(Sourced):
    """A published relation between disease and yield, with what it was measured on."""

    relation: str
    disorder: str
    scope: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeverityBand(SeverityRelation):
    """Loss in bands; each row is (severity from, to, loss from, to), all percent."""

    of: str
    rows: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeveritySlope(SeverityRelation):
    """Loss in ``unit`` for each percent of severity."""

    of: str
    unit: Literal["%", "bu/ac"]
    slope_shown: Pair
    x_max: float
    slope: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressLine(SeverityRelation):
    """Yield (percent of healthy) against the area under the disease progress curve."""

    intercept: float
    slope: float
    loss_seen: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class RustIncidence(Sourced):
    """Polynomial from percent of leaves with a pustule to percent severity."""

    coefficients: tuple[float, ...]
    root_coefficients: tuple[float, ...]
    scope: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlyDeath(Sourced):
    """Percent of yield lost for each day that the plant dies early."""

    first_days: int
    first_percent_per_day: float
    later_percent_per_day: float
    published_two_weeks: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class KillLoss(Disputed):
    """Percent lost when plant or leaves are killed at a stage (frost)."""

    stage: str
    whole_plant: float
    leaves_only: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Position(Disputed):
    """Yield left (percent of check) when a part of the canopy is removed at a stage."""

    stage: str
    part: Part
    removed: float
    yield_left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LossBook:
    """loss.toml."""

    chart: Chart
    to_be_made: tuple[ToBeMade, ...]
    severity_band: tuple[SeverityBand, ...]
    severity_slope: tuple[SeveritySlope, ...]
    progress_line: ProgressLine
    rust_incidence: RustIncidence
    early_death: EarlyDeath
    kill_loss: tuple[KillLoss, ...]
    position: tuple[Position, ...]
    statement: tuple[Statement, ...]


# --------------------------------------------------------------------------- harvest.toml


@dataclass(frozen=True, slots=True, kw_only=True)
class Grain(Sourced):
    """Grain moisture, percent, at black layer and at harvest."""

    at_r6: Pair
    harvest_at: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class Drydown(Disputed):
    """Points of moisture lost a day from ``from_day`` (MM-DD) on."""

    from_day: str
    points_per_day: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastest(Sourced):
    """The fastest drydown in print, for harvest intervals."""

    points_per_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrydownHeat(Disputed):
    """Heat units for each point of moisture between two moistures."""

    from_moisture: float
    to_moisture: float
    gdd_per_point: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSupply(Sourced):
    """Heat units a day to be expected in a month."""

    month: int
    gdd_per_day: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class Ripe(Sourced):
    """The stage at which a kind of corn may be cut, and whether it then dries down."""

    crop_type: str
    stage: str
    dries: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HarvestBook:
    """harvest.toml."""

    grain: Grain
    drydown: tuple[Drydown, ...]
    fastest: Fastest
    drydown_heat: tuple[DrydownHeat, ...]
    heat_supply: tuple[HeatSupply, ...]
    ripe: tuple[Ripe, ...]


# --------------------------------------------------------------------------- returns.toml, sampling.toml


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds(Sourced):
    """How coarsely a chance is told."""

    step: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Response(Sourced):
    """Yield response of one treatment: means in low and high disease, spread between fields, bu/ac."""

    active: str
    spread: float
    mean_low: float
    mean_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialClass(Sourced):
    """Response by severity class of the untreated plots; the class excludes its upper end."""

    severity: Pair
    mean: float
    share_5bu: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnBook:
    """returns.toml."""

    odds: Odds
    response: tuple[Response, ...]
    trial_class: tuple[TrialClass, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRule(Sourced):
    """How counts of plants are judged."""

    confidence: float
    stops: int
    most_more_plants: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingBook:
    """sampling.toml."""

    count: CountRule
