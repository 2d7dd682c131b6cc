"""What following the tool is worth: many made fields through July to September, with known truth.

    python -m tests.bench.season --fields 200 --seed 1

Each field has its own weather and its own epidemics of southern rust, gray leaf spot and tar spot.  The
same field is run under four policies: never spraying, spraying every field at tassel, doing what the tool
says after each scouting, and the best of all days (and pairs of days) in hindsight.  Money in dollars an
acre against never spraying; every figure, with its source or marked as assumed, is in
tests/cases/season.toml.  The world is rough: it ranks policies, it does not forecast.
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from rules.agronomy.money import net
from rules.agronomy.tables import load as agronomy
from rules.consult import Consultant
from rules.model import Action
from rules.tables import load
from tests.bench.season_figures import DISORDERS, figures, of
from tests.bench.season_scout import Visit, follow, sample_size
from tests.bench.season_world import (
    DAYS,
    Array,
    Field,
    Schedule,
    covered,
    day_of,
    make_field,
    spread,
    tassel_day,
    yields,
)

POLICIES = ("never", "tassel", "tool", "best")


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One field: the schedule and the dollars (against never spraying) of each policy, and what was there."""

    net: dict[str, float]
    sprays: dict[str, Schedule]
    visits: tuple[Visit, ...]
    untreated_loss: float  # percent of yield
    tassel_bu: float
    ear_leaf: float  # untreated severity of the ear leaf four weeks after tassel, percent, diseases summed
    diseases: tuple[str, ...]
    rust_lost: tuple[float, ...]  # severe rust alone, bu/ac: unsprayed, sprayed at tassel, at milk, at dent


def run(fields: int, seed: int) -> list[Result]:
    """So many fields."""
    consultant = Consultant(load(), oracle_only=True)
    return [one(consultant, seed, number) for number in range(fields)]


def one(consultant: Consultant, seed: int, number: int) -> Result:
    """One field, made and scouted by its own chance."""
    made = make_field(np.random.default_rng([seed, number]), consultant.tables)
    season = follow(consultant, made, np.random.default_rng([seed, number, 1]))
    tassel: Schedule = (tassel_day(made, agronomy()),)
    few, many = [(), tassel, season.sprays], _all_schedules()
    bushels, paths = _grown(made, few, consultant)
    best_of, _ = _grown(made, many, consultant)
    returns = [_net(float(b - bushels[0]), len(s)) for b, s in zip(best_of, many, strict=True)]
    best = int(np.argmax(returns))
    gains = [_net(float(b - bushels[0]), len(s)) for b, s in zip(bushels, few, strict=True)]
    after = min(DAYS - 1, tassel[0] + 28)
    return Result(
        net=dict(zip(POLICIES, (*gains, returns[best]), strict=True)),
        sprays=dict(zip(POLICIES, (*few, many[best]), strict=True)),
        visits=tuple(season.visits),
        untreated_loss=100 * (1 - float(bushels[0]) / made.potential),
        tassel_bu=float(bushels[1] - bushels[0]),
        ear_leaf=100 * sum(float(p[after, 0, -1]) for p in paths.values()),
        diseases=tuple(paths),
        rust_lost=rust_lost(made, consultant),
    )


def rust_lost(made: Field, consultant: Consultant) -> tuple[float, ...]:
    """Bushels an acre lost to rust alone: unsprayed, and with one spray at tassel, milk or dent.

    Nothing for a field whose untreated ear leaves stay under the severity of the trials by half milk line.
    """
    days = (tassel_day(made, agronomy()), *(day_of(stage, made, agronomy()) for stage in ("R3", "R5")))
    rust = next((e for e in made.epidemics if e.disorder == "southern_rust"), None)
    if rust is None:
        return ()
    path = spread(rust, covered([(), *((day,) for day in days)], made, consultant.tables))
    if 100 * path[day_of("R5.5", made, agronomy()), 0, -1] <= of("severe_rust_pct"):
        return ()
    left = yields(made, {"southern_rust": path}, consultant.tables)
    return tuple(made.potential - float(bushels) for bushels in left)


def kept(lost: Sequence[tuple[float, ...]]) -> list[float]:
    """Percent of the fields' whole loss that a spray at tassel, milk and dent keeps."""
    unsprayed, *sprayed = np.sum(lost, axis=0)
    return [round(float(100 * (1 - each / unsprayed)), 1) for each in sprayed]


def _all_schedules() -> list[Schedule]:
    """None, every day, and every pair of days far enough apart."""
    days, apart = range(DAYS), of("least_days_between")
    pairs = [pair for pair in combinations(days, of("most_sprays")) if pair[1] - pair[0] >= apart]
    return [(), *((day,) for day in days), *pairs]


def _grown(
    made: Field, schedules: Sequence[Schedule], consultant: Consultant
) -> tuple[Array, dict[str, Array]]:
    cover = covered(schedules, made, consultant.tables)
    paths = {e.disorder: spread(e, cover) for e in made.epidemics}
    return np.broadcast_to(yields(made, paths, consultant.tables), (len(schedules),)), paths


def _net(bushels: float, sprays: int) -> float:
    return net(bushels, of("price"), of("cost") * sprays)


# ------------------------------------------------------------------ the report


def mean_se(values: Sequence[float]) -> str:
    """A mean with its standard error over fields."""
    return f"{np.mean(values):7.2f} +- {np.std(values, ddof=1) / len(values) ** 0.5:.2f}"


def report(results: Sequence[Result]) -> None:
    """Prints all that came out."""
    _policies(results)
    _errors(results)
    _by_rule(results)
    _world(results)


def _policies(results: Sequence[Result]) -> None:
    print("policy    net $/ac against never spraying   sprays a field   fields sprayed")
    for policy in POLICIES:
        sprays = [len(r.sprays[policy]) for r in results]
        print(
            f"{policy:8}  {mean_se([r.net[policy] for r in results]):28}     {np.mean(sprays):8.2f}"
            f"       {np.mean([s > 0 for s in sprays]):8.0%}"
        )
    for a, b in (("tool", "tassel"), ("tool", "never"), ("best", "tool")):
        print(f"{a} less {b}: {mean_se([r.net[a] - r.net[b] for r in results])} $/ac, field by field")
    print(f"visits a field: {np.mean([len(r.visits) for r in results]):.1f}")


def _errors(results: Sequence[Result]) -> None:
    print(f"\nerrors of each policy (a spray costs {of('cost'):g} $/ac, corn is {of('price'):.2f} $/bu)")
    for policy in ("tassel", "tool", "never"):
        toward = [r.net[policy] for r in results if r.sprays[policy] and r.net[policy] < 0]
        missed = [r.net["best"] for r in results if not r.sprays[policy] and r.net["best"] > 0]
        sprayed = sum(bool(r.sprays[policy]) for r in results)
        print(
            f"{policy:7} toward spraying: {len(toward)} of {sprayed} sprayed fields lost by it"
            f" (mean {_mean(toward):.0f} $/ac);"
            f" toward waiting: {len(missed)} of {len(results) - sprayed} unsprayed fields would have paid"
            f" (mean {_mean(missed):.0f} $/ac)"
        )


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values)) if values else 0.0


def _by_rule(results: Sequence[Result]) -> None:
    """Sprayed fields by the rule and the stage of the first spray."""
    found: dict[tuple[str, str], list[float]] = defaultdict(list)
    for r in results:
        first = next((v for v in r.visits if v.action is Action.SPRAY), None)
        if first is not None:
            found[first.rule, first.stage].append(r.net["tool"])
    print("\nfirst spray by rule and stage: fields, of them paid, mean net $/ac")
    for (rule, stage), nets in sorted(found.items()):
        print(f"  {rule:12} {stage:4} {len(nets):4} {sum(n > 0 for n in nets):4} {np.mean(nets):8.1f}")
    print("decisions:", dict(Counter(v.action.value for r in results for v in r.visits)))
    for disorder in (*DISORDERS, None):
        some = [r for r in results if (disorder in r.diseases if disorder else not r.diseases)]
        if len(some) > 1:
            shown = "; ".join(f"{p} {mean_se([r.net[p] for r in some])}" for p in POLICIES[1:])
            print(f"  fields with {disorder or 'none of them':15} {len(some):4}: {shown}")


def _world(results: Sequence[Result]) -> None:
    print("\nthe world against what is published")
    low, high = of("vt_response_bu")
    print(
        f"  mean response to a tassel spray {mean_se([r.tassel_bu for r in results])} bu/ac"
        f" (published means {low} to {high})"
    )
    print(f"  untreated loss {mean_se([r.untreated_loss for r in results])} % of yield")
    edges, classes = (0, 10, 15, 10**9), of("response_by_class_bu")
    for n, published in enumerate(classes):
        some = [r.tassel_bu for r in results if edges[n] <= r.ear_leaf < edges[n + 1]]
        print(
            f"  untreated ear leaf from {edges[n]} %: {_mean(some):.1f} bu/ac in {len(some)} fields"
            f" (published {published})"
        )
    severe = [r.rust_lost for r in results if r.rust_lost]
    shown = kept(severe) if severe else "none"
    print(
        f"  severe southern rust, percent of the loss kept by a spray at tassel, milk, dent: {shown}"
        f" in {len(severe)} fields (published {of('rust_protection_pct')})"
    )
    guessed = sum(bool(f.assumption) for f in figures().values())
    print(f"  {guessed} of {len(figures())} figures rest on an assumption; {sample_size()} plants a sample")


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--fields", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    print(f"{asked.fields} fields, seed {asked.seed}")
    report(run(asked.fields, asked.seed))


if __name__ == "__main__":
    main()
