"""Weights -> probabilities -> standings: what it may be, and how sure one may be of it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.evidence import EvidenceTable, Weigh
from rules.model import Candidate, Evidence, Firing, Standing, Strength
from rules.tables import Tables

_PLACES = 3  # decimals of a shown probability


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """The evidence for and against every disorder, each clue counted once each way."""

    score: Mapping[str, int]  # centi-nats, prior included
    evidence: Mapping[str, tuple[Evidence, ...]]
    signs_for: Mapping[str, frozenset[str]]  # clues that speak for it
    clues_seen: frozenset[str]  # clues looked at, whatever they said

    def probability(self) -> dict[str, float]:
        """Each disorder's share; sums to 1."""
        top = max(self.score.values())
        odds = {d: math.exp((s - top) / 100) for d, s in self.score.items()}
        total = math.fsum(odds.values())
        return {d: o / total for d, o in odds.items()}


def weigh(
    tables: Tables, table: EvidenceTable, trace: Iterable[Firing], hedged: Collection[str] = ()
) -> Weighing:
    """Sums the fired evidence rules.

    ``hedged`` are the keys of doubtful observations; they keep only a share of
    their weight.
    """
    best: dict[tuple[str, str, bool], tuple[int, Weigh]] = {}
    clues: set[str] = set()
    for fired in trace:
        share = tables.weights["hedged"]["share"] / 100 if set(fired.facts) & set(hedged) else 1
        for said in table.weighs.get(fired.rule, ()):
            weight = round(said.evidence.weight * share)
            if said.sign:
                clues.add(said.clue)
            place = (said.disorder, said.clue, weight > 0)
            if place not in best or abs(weight) > abs(best[place][0]):
                best[place] = (weight, said)
    return _sum(tables, best, frozenset(clues))


def _sum(
    tables: Tables, best: Mapping[tuple[str, str, bool], tuple[int, Weigh]], clues: frozenset[str]
) -> Weighing:
    score = {d.id: d.prior.weight for d in tables.disorders.values()}
    evidence: dict[str, list[Evidence]] = defaultdict(list)
    signs_for: dict[str, set[str]] = defaultdict(set)
    for (disorder, clue, _), (weight, said) in sorted(best.items()):
        score[disorder] += weight
        evidence[disorder].append(said.evidence)
        if weight > 0 and said.sign and not clue.startswith("together."):
            signs_for[disorder].add(clue)
    return Weighing(
        score=score,
        evidence={d: tuple(sorted(e, key=lambda x: (-abs(x.weight), x.rule))) for d, e in evidence.items()},
        signs_for={d: frozenset(s) for d, s in signs_for.items()},
        clues_seen=clues,
    )


def rank(probability: Mapping[str, float]) -> list[str]:
    """Disorders, most probable first; ties by id."""
    return sorted(probability, key=lambda d: (-round(probability[d], 9), d))


def differential(
    tables: Tables,
    table: EvidenceTable,
    weighing: Weighing,
    seen: Collection[str],
    *,
    unmade: Collection[str] = (),
    confirmed: str | None = None,
) -> tuple[Candidate, ...]:
    """Every disorder with its standing, best first.

    ``seen`` are the attributes and findings that were observed (present or
    absent) without doubt, ``unmade`` those said not to have been looked at or not
    to be told; ``confirmed`` is the disorder a laboratory named.
    """
    probability = weighing.probability()
    order = rank(probability)
    shown = _rounded(probability, order)
    clues = {tables.attributes[s].clue for s in seen if s in tables.attributes}
    return tuple(
        Candidate(
            disorder=d,
            name=tables.disorders[d].name,
            eppo=tables.disorders[d].eppo,
            standing=Standing.CONFIRMED
            if d == confirmed
            else _standing(tables, weighing, probability, order, (seen, unmade), d),
            probability=shown[d],
            speaks_for=tuple(e for e in weighing.evidence.get(d, ()) if e.weight > 0),
            speaks_against=tuple(e for e in weighing.evidence.get(d, ()) if e.weight < 0),
            unchecked=_unchecked(table.telling[d], clues),
        )
        for d in order
    )


def _rounded(probability: Mapping[str, float], order: list[str]) -> dict[str, float]:
    """Three decimals that still sum to 1 (largest remainders get the rest)."""
    scale = 10**_PLACES
    whole = {d: math.floor(probability[d] * scale + 1e-9) for d in order}
    by_rest = sorted(order, key=lambda d: (-(probability[d] * scale - whole[d]), d))
    for d in by_rest[: scale - sum(whole.values())]:
        whole[d] += 1
    return {d: whole[d] / scale for d in order}


def parted(tables: Tables, a: str, b: str, seen: Collection[str]) -> bool | None:
    """Whether a check that tells ``a`` from ``b`` was made; None if no check is known."""
    ways = [set(p.by) for c in tables.checks for p in c.parts if set(p.pair) == {a, b}]
    return any(way & set(seen) for way in ways) if ways else None


def _standing(
    tables: Tables,
    weighing: Weighing,
    probability: Mapping[str, float],
    order: list[str],
    looked: tuple[Collection[str], Collection[str]],
    disorder: str,
) -> Standing:
    limits = tables.weights["standing"]
    p = probability[disorder]
    ruled_out = any(
        e.strength is Strength.RULES_OUT and e.weight < 0 for e in weighing.evidence.get(disorder, ())
    )
    if ruled_out and p < limits["ruled_out_below"]:
        return Standing.RULED_OUT
    if disorder == order[0] and _fits(tables, weighing, probability, order, *looked):
        return Standing.FITS
    return Standing.UNLIKELY if p < limits["unlikely_below"] else Standing.POSSIBLE


def _fits(
    tables: Tables,
    weighing: Weighing,
    probability: Mapping[str, float],
    order: list[str],
    seen: Collection[str],
    unmade: Collection[str],
) -> bool:
    limits = tables.weights["standing"]
    lead, second = order[0], order[1]
    margin = weighing.score[lead] - weighing.score[second]
    if probability[lead] < limits["fits_probability"] or margin < limits["fits_margin"]:
        return False
    if len(weighing.clues_seen) < limits["fits_clues_seen"]:
        return False
    if len(weighing.signs_for.get(lead, ())) < limits["fits_clues_for"]:
        return False
    return not untold(tables, probability, lead, seen) and not _said_unmade(tables, lead, seen, unmade)


def _said_unmade(tables: Tables, lead: str, seen: Collection[str], unmade: Collection[str]) -> bool:
    """Was a check that tells a classic look-alike from ``lead`` said not to have been made?"""
    gaps = {f for f, a in AS_SAID.items() if a in unmade} | set(unmade)
    return any(
        p.classic and lead in p.pair and set(p.by) & gaps and not set(p.by) & set(seen)
        for check in tables.checks
        for p in check.parts
    )


def untold(
    tables: Tables, probability: Mapping[str, float], lead: str, seen: Collection[str]
) -> tuple[str, ...]:
    """Rivals too likely to pass over that no check has yet told from ``lead``."""
    limits = tables.weights["standing"]
    classic = {d for c in tables.checks for p in c.parts if p.classic and lead in p.pair for d in p.pair}

    def counts(disorder: str) -> bool:
        least = limits["classic_rival" if disorder in classic else "other_rival"]
        return disorder != lead and probability[disorder] >= least

    rivals = [d for d in rank(probability) if counts(d)]
    return tuple(d for d in rivals if parted(tables, lead, d, seen) is not True)


def _unchecked(telling: Sequence[tuple[str, str]], clues: Collection[str]) -> tuple[str, ...]:
    """Telling signs (attribute, clue) of a disorder whose clues nobody has looked at, strongest first."""
    return tuple(AS_SAID.get(attribute, attribute) for attribute, clue in telling if clue not in clues)


#: The attribute that is asked for behind a finding.
AS_SAID = {
    "surface": "leaf_surface",
    "size_class": "lesion_size_in",
    "warmth": "weather",
    "moisture": "weather",
}
