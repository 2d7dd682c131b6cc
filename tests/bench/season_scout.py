"""The scout of the season bench: what a walk through a made field states, and what the tool then says.

The scout sees the field as it is and states it as facts: the stage, the signs of each disease found, how
many plants have it, how high it stands, how much of the leaf it covers, the week's weather.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache

import numpy as np

from rules.agronomy.days import main_stage
from rules.agronomy.sampling import wilson
from rules.agronomy.severity import rust_severity
from rules.agronomy.tables import load as agronomy
from rules.consult import Consultant
from rules.model import Action, Earlier, Fact
from tests.bench.season_figures import of
from tests.bench.season_world import DAYS, Array, Field, Schedule, covered, date_of, spread, stage_of
from tests.facts_for_rules import GRAY, SOUTHERN, TAR, absent, seen

SIGNS = {"southern_rust": SOUTHERN, "gray_leaf_spot": GRAY, "tar_spot": TAR}
REACTIONS = ("susceptible", "moderate", "resistant")
#: From the lowest layer up: the words for it.
HEIGHTS = (
    seen("canopy_position", "lower"),
    seen("leaf_from_ear", -3),
    seen("leaf_from_ear", -1),
    seen("canopy_position", "ear_leaf"),
)
_THIRD = 1  # the layer of the third leaf below the ear


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One visit: what was decided on what day, at what stage, and the rule that says why first."""

    day: int
    stage: str
    action: Action
    rule: str


@dataclass(slots=True)
class Season:
    """What the tool did in one field."""

    visits: list[Visit] = field(default_factory=list)
    sprays: Schedule = ()
    earlier: list[Earlier] = field(default_factory=list)


def follow(consultant: Consultant, made: Field, chance: np.random.Generator) -> Season:
    """Scouts a field through the season and does what the tool says."""
    season, day = Season(), int(chance.integers(of("visit_days")))
    paths = _paths(made, (), consultant)
    while day < DAYS and stage_of(day, made, agronomy()) != "R6" and len(season.sprays) < of("most_sprays"):
        facts, problems = observe(made, {d: p[day, 0] for d, p in paths.items()}, day, chance)
        told = consultant.consult(facts, problems, on=date_of(day), earlier=season.earlier)
        assert told.decision is not None
        stage = main_stage(stage_of(day, made, agronomy()), agronomy())
        rule = told.decision.because[0].rule
        season.visits.append(Visit(day=day, stage=stage, action=told.decision.action, rule=rule))
        season.earlier.append(Earlier(on=date_of(day), facts=facts))
        if told.decision.action is Action.SPRAY and day + of("lead_days") < DAYS:
            season.sprays = (*season.sprays, day + of("lead_days"))
            season.earlier.append(_sprayed(season.sprays[-1]))
            paths = _paths(made, season.sprays, consultant)
        day = _next(day, told.decision.rescout_on)
    return season


def _paths(made: Field, schedule: Schedule, consultant: Consultant) -> dict[str, Array]:
    cover = covered([schedule], made, consultant.tables)
    return {e.disorder: spread(e, cover) for e in made.epidemics}


def _sprayed(day: int) -> Earlier:
    facts = (seen("sprayed"), seen("sprayed_on", date_of(day)), seen("active_class", of("fungicide")))
    return Earlier(on=date_of(day), facts=facts)


def _next(day: int, rescout: date | None) -> int:
    """A week on, or on the day that the tool names if that is sooner."""
    week = day + of("visit_days")
    return week if rescout is None else max(day + 1, min(week, (rescout - date_of(0)).days))


# ------------------------------------------------------------------ what is seen


def observe(
    made: Field, open_: Mapping[str, Array], day: int, chance: np.random.Generator
) -> tuple[tuple[Fact, ...], list[tuple[int, ...]]]:
    """The facts of one walk, and the groups of those that belong to one disease."""
    stage = main_stage(stage_of(day, made, agronomy()), agronomy())
    facts = [seen("growth_stage", stage), *_weather(made, day), *_crop(made)]
    facts.append(seen("applicator_lead_days", of("lead_days")))
    problems = []
    for epidemic in made.epidemics:
        found = _found(epidemic.disorder, open_[epidemic.disorder], chance)
        if found:
            found += [seen("hybrid_rating", REACTIONS[epidemic.reaction])]
            problems.append(tuple(range(len(facts), len(facts) + len(found))))
            facts += found
    if not problems:
        facts += [absent("lesion_form", form) for form in ("pustule", "spot", "lesion")]
    return tuple(facts), problems


def _found(disorder: str, open_: Array, chance: np.random.Generator) -> list[Fact]:
    """What a sample of plants shows of one disease; nothing if no plant of it has any."""
    plants = sample_size()
    share = [_plants_with(float(x), n) for x, n in zip(open_, of("layer_leaves"), strict=True)]
    has = chance.random((plants, len(share))) < np.array(share)
    if not has.any():
        return []
    top = int(np.flatnonzero(has.any(axis=0))[-1])
    # The rule for leaf spots counts plants with it on the third leaf below the ear or higher.
    counted = has[:, _THIRD:] if disorder == "gray_leaf_spot" and top >= _THIRD else has
    with_it = int(counted.any(axis=1).sum())
    rated = 100 * float(open_[top]) * float(np.exp(chance.normal(0, of("rating_error"))))
    heights = HEIGHTS[top : top + 1]
    return [
        *SIGNS[disorder],
        *heights,
        seen("plants_checked", plants),
        seen("plants_affected", with_it),
        seen("incidence_pct", round(100 * with_it / plants)),
        seen("severity_pct", max(0.1, round(rated, 1) if rated < 1 else float(round(min(rated, 100))))),
    ]


def _plants_with(share: float, leaves: int) -> float:
    """Share of plants with at least one such leaf among ``leaves``, from the share of leaf area."""
    leaf = float(np.interp(100 * share, *_leaves_by_severity())) / 100
    return 1 - (1 - leaf) ** leaves


@cache
def _leaves_by_severity() -> tuple[list[float], list[float]]:
    """Percent of leaves with it by percent of leaf area: Pataky & Headrick 1988, read backwards."""
    percents = [float(n) for n in range(101)]
    return [rust_severity(n, agronomy()) for n in percents], percents


@cache
def sample_size() -> int:
    """Fewest plants whose Wilson interval at half the plants is as narrow as asked for."""
    confidence = agronomy().sampling.count.confidence
    plants = 1
    while True:
        low, high = wilson(plants / 2, plants, confidence)
        if (high - low) / 2 <= of("sample_half_width"):
            return plants
        plants += 1


def _weather(made: Field, day: int) -> list[Fact]:
    """The week behind: its mean temperature, and whether nights were dewy or dry."""
    week = slice(max(0, day - 6), day + 1)
    nights = int((made.weather.wet_hours[week] >= of("wet_night_hours")).sum())
    facts = [seen("temperature_f", round(float(made.weather.mean_f[week].mean())))]
    dry, wet = of("wet_nights")
    if nights >= wet:
        facts.append(seen("weather", "dew"))
    elif nights <= dry:
        facts.append(seen("weather", "dry"))
    return facts


def _crop(made: Field) -> list[Fact]:
    if not made.corn_last_year:
        return [seen("previous_crop", "soybean")]
    facts = [seen("previous_crop", "corn"), seen("residue_pct", 40)]
    return [*facts, seen("field_history", "gray_leaf_spot")] if made.history else facts
