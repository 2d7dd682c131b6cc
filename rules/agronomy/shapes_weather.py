"""The shapes of weather.toml (see :mod:`.shapes`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rules.agronomy.shapes import Pair, Risk, Sourced, YesNo

Warmth = Literal["cool", "mild", "warm", "hot"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassLimits(Sourced):
    """Limits between cool, mild, warm and hot, degrees F of the mean temperature."""

    warmth_f: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Favour(Sourced):
    """Which warmth favours one disorder, and whether it needs wet leaves."""

    disorder: str
    favourable: tuple[Warmth, ...]
    unfavourable: tuple[Warmth, ...]
    needs_wet: bool
    temp_f: Pair | None = None
    wet_hours: float | None = None
    latent_days: Pair | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRange(Sourced):
    """Another range in print for the same disorder, not used, and why."""

    disorder: str
    because: str
    temp_f: Pair | None = None
    latent_days: Pair | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RustDew(Sourced):
    """Limits and optimum of southern rust infection, degrees C and hours of dew."""

    none_at_or_below_c: float
    none_at_or_above_c: float
    best_c: float
    best_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RustDewRow(Sourced):
    """Temperatures (C) at which so many hours of dew sufficed for southern rust."""

    hours: float
    low_c: float
    high_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BlightStep(Sourced):
    """Best temperature and least dew for one step of northern corn leaf blight."""

    step: str
    best_c: float
    dew_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BlightRange(Sourced):
    """Temperatures (C) at which northern corn leaf blight infects at all."""

    infects_c: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class GlsHumidity(Sourced):
    """Relative humidity (percent) from which gray leaf spot germ tubes grow."""

    growth_at_rh: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GlsSurvival(Sourced):
    """Days that gray leaf spot germlings live through air of one humidity."""

    rh: float
    dry_days: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GlsResidue(Sourced):
    """Pre-plant risk of gray leaf spot by tillage and former crops."""

    tillage: tuple[str, ...]
    corn_last_year: YesNo
    corn_two_years_ago: YesNo
    risk: Risk
    residue_pct_from: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WetHour(Sourced):
    """Relative humidity (percent) from which an hour counts as wet."""

    rh_from: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TarSpotLogistic(Sourced):
    """Two logistic equations (intercept, temperature, humidity term)."""

    humidity: tuple[float, float, float]
    night: tuple[float, float, float]
    action_level: float
    scope: str
    enabled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherBook:
    """weather.toml."""

    class_limits: ClassLimits
    favour: tuple[Favour, ...]
    published_range: tuple[PublishedRange, ...]
    rust_dew: RustDew
    rust_dew_row: tuple[RustDewRow, ...]
    blight_step: tuple[BlightStep, ...]
    blight_range: BlightRange
    gls_humidity: GlsHumidity
    gls_survival: tuple[GlsSurvival, ...]
    gls_residue: tuple[GlsResidue, ...]
    wet_hour: WetHour
    tar_spot_logistic: TarSpotLogistic
