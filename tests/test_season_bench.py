"""The season bench, small: what must hold of any run, whatever the figures come to."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from rules.agronomy.days import stage_group
from rules.agronomy.tables import load as agronomy
from rules.consult import Consultant
from rules.model import Action
from rules.tables import load
from rules.timing import window_of
from tests.bench.season import POLICIES, Result, kept, one, run, rust_lost
from tests.bench.season_figures import DISORDERS, figures, of
from tests.bench.season_world import Field, covered, make_field, spread, stage_of, tassel_day, yields

FIELDS, SEED = 24, 5
PLANS = {"sr": "southern_rust", "ts": "tar_spot", "ls": "leaf_spot"}


@cache
def results() -> tuple[Result, ...]:
    return tuple(run(FIELDS, SEED))


@cache
def made(number: int, *arriving: str) -> Field:
    """A field of the run; with ``arriving``, the first from ``number`` on that has all of those diseases."""
    while True:
        field = make_field(np.random.default_rng([SEED, number]), load())
        if set(arriving) <= {e.disorder for e in field.epidemics}:
            return field
        number += 1


def test_every_figure_has_its_source_or_says_that_it_is_assumed() -> None:
    known = load().sources
    for name, figure in figures().items():
        assert figure.source or figure.read_in or figure.assumption, name
        assert [key for key in figure.source if key not in known] == [], name


def test_hindsight_is_at_least_as_good_as_every_policy_in_every_field() -> None:
    for n, r in enumerate(results()):
        assert set(r.net) == set(POLICIES)
        assert all(math.isfinite(value) for value in r.net.values())
        assert r.net["best"] >= max(r.net.values()) - 1e-9, (n, r.net, r.sprays)


def test_never_spraying_costs_nothing_and_every_field_is_sprayed_at_tassel() -> None:
    for n, r in enumerate(results()):
        assert r.net["never"] == 0
        assert r.sprays["never"] == ()
        assert r.sprays["tassel"] == (tassel_day(made(n), agronomy()),)


def test_the_tool_sprays_inside_the_window_of_the_disease_it_sprays_for() -> None:
    said = [v for r in results() for v in r.visits if v.action is Action.SPRAY]
    assert said, "the run holds no spray at all: nothing was tested"
    for visit in said:
        group = stage_group(visit.stage, agronomy())
        window = window_of(load(), PLANS[visit.rule.partition("_")[0]], group)
        assert window in ("open", "weak", "last_call", "judge"), visit


def test_the_tool_is_not_sprayed_on_a_covered_field_or_past_dent() -> None:
    cover = load().figures["cover_mixture_days"].value
    for n, r in enumerate(results()):
        days = r.sprays["tool"]
        for sooner, later in pairwise(days):
            assert later - sooner > cover - of("lead_days"), (n, days)
        for visit in r.visits:
            if visit.action is Action.SPRAY:
                assert visit.day < made(n).silk + 32, "beginning dent, 32 days after silking"


def test_a_seeded_run_comes_out_the_same_again() -> None:
    again = run(3, SEED)
    assert again == list(results()[:3])
    assert run(3, SEED + 1) != again


# ------------------------------------------------------------------ the world


@pytest.mark.parametrize("disorder", DISORDERS)
def test_an_epidemic_only_grows_and_a_spray_never_makes_more_of_it(disorder: str) -> None:
    field = made(0, disorder)
    epidemic = next(e for e in field.epidemics if e.disorder == disorder)
    schedules = [(), (tassel_day(field, agronomy()),)]
    path = spread(epidemic, covered(schedules, field, load()))
    assert (np.diff(path, axis=0) >= -1e-12).all()
    assert path.min() >= 0
    assert path.max() <= 1 + 1e-9
    assert (path[:, 1] <= path[:, 0] + 1e-12).all()


@pytest.mark.parametrize("disorder", DISORDERS)
def test_nothing_opens_before_the_latent_period_is_over(disorder: str) -> None:
    field = made(0, disorder)
    epidemic = next(e for e in field.epidemics if e.disorder == disorder)
    path = spread(epidemic, covered([()], field, load()))
    first = int(np.flatnonzero(epidemic.incoming)[0])
    assert (path[: first + epidemic.latent] == 0).all()


def test_yield_never_rises_above_the_potential_and_a_clean_field_keeps_all_of_it() -> None:
    field = made(0, *DISORDERS)
    cover = covered([(), (30,)], field, load())
    paths = {e.disorder: spread(e, cover) for e in field.epidemics}
    left = yields(field, paths, load())
    assert (left <= field.potential).all()
    assert (left > 0).all()
    assert yields(field, {}, load())[0] == field.potential
    rust = np.zeros_like(paths["southern_rust"])
    assert yields(field, {"southern_rust": rust}, load())[0] == field.potential


def test_the_later_the_spray_the_less_of_a_severe_rust_it_saves() -> None:
    """Faske & Emerson 2021, Plant Disease, doi 10.1094/PDIS-06-20-1247-RE: tassel 40.4, milk 23.7, dent 2.6 %."""
    consultant = Consultant(load(), oracle_only=True)
    lost = [found for n in range(400) if (found := rust_lost(made(n), consultant))]
    assert len(lost) >= 3
    tassel, milk, dent = kept(lost)
    assert tassel > milk > dent
    assert dent < milk / 2


def test_stages_of_the_made_season_follow_the_calendar() -> None:
    field = made(0)
    assert stage_of(field.silk, field, agronomy()) == "R1"
    assert stage_of(field.silk + 44, field, agronomy()) == "R5.5"
    assert stage_of(tassel_day(field, agronomy()), field, agronomy()) == "VT"


def test_each_field_is_its_own_and_does_not_depend_on_how_many_are_run() -> None:
    assert one(Consultant(load(), oracle_only=True), SEED, 2) == results()[2]
