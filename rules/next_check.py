"""Which unmade observation is worth the walk: expected gain, whether it can change the decision, effort."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from rules.differential import rank
from rules.facts import Atom
from rules.model import Action, Check, Status
from rules.records import CheckRecord
from rules.tables import Tables

#: Log-weights (centi-nats) that extra atoms add, by disorder.
Shift = Callable[[Sequence[Atom]], Mapping[str, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What is known when a check is chosen."""

    probability: Mapping[str, float]
    seen: Collection[str]  # attributes observed, doubtfully seen, or that could not be told
    action: Action
    action_of: Callable[[str], Action]  # the action if this candidate leads
    shift: Shift


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A check with its worth, and the action after either answer."""

    worth: float
    check: Check
    yes: Action
    no: Action


def check_facts(facts: Sequence[Sequence[str]]) -> tuple[tuple[str, str | bool, Status], ...]:
    """The facts of a bare answer, as (attribute, value, status)."""
    return tuple((f[0], True if f[1] in ("yes", "true") else f[1], Status(f[2])) for f in facts)


def _atoms(facts: Sequence[Sequence[str]]) -> tuple[Atom, ...]:
    return tuple(
        (f[0] if f[2] == "present" else f"{f[0]}.{f[2]}", "yes" if f[1] == "true" else f[1]) for f in facts
    )


def best_identity_check(tables: Tables, outlook: Outlook) -> Option | None:
    """The check that parts the candidates best, with its worth; None if all were made."""
    limits = tables.weights["next_check"]
    share = outlook.probability
    field = [d for d in rank(share) if share[d] >= limits["shares_from"]][: int(limits["candidates"])]
    if len(field) < 2:
        field = rank(share)[:2]
    options = []
    for record in tables.checks:
        pairs = [p for p in record.parts if set(p.pair) <= set(field)]
        if not pairs or any(set(p.by) & set(outlook.seen) for p in pairs):
            continue
        options.append(_weigh(tables, outlook, record, field, pairs[0].pair))
    return max(options, key=lambda o: (round(o.worth, 9), o.check.id), default=None)


def _weigh(
    tables: Tables, outlook: Outlook, record: CheckRecord, field: Sequence[str], pair: Sequence[str]
) -> Option:
    total = math.fsum(outlook.probability[d] for d in field)
    prior = {d: outlook.probability[d] / total for d in field}
    shifts = [outlook.shift(_atoms(facts)) for facts in (record.yes, record.no)]
    posteriors = _posteriors(prior, shifts)
    gain = _entropy(prior) - math.fsum(p * _entropy(after) for p, after in posteriors)
    yes, no = (outlook.action_of(max(after, key=lambda d: (after[d], d))) for _, after in posteriors)
    changes = bool({yes, no} - {outlook.action})
    worth = gain * (tables.weights["next_check"]["changes_decision"] if changes else 1) / record.effort
    return Option(worth=worth, check=to_check(record, tuple(pair), changes), yes=yes, no=no)


def _posteriors(
    prior: Mapping[str, float], shifts: Sequence[Mapping[str, int]]
) -> list[tuple[float, dict[str, float]]]:
    """For each outcome its probability and the shares after it.

    An outcome's likelihood under a candidate is exp(shift/100), normalised over the outcomes.
    """
    likely = [{d: math.exp(s.get(d, 0) / 100) for d in prior} for s in shifts]
    norm = {d: math.fsum(one[d] for one in likely) for d in prior}
    made = []
    for one in likely:
        joint = {d: prior[d] * one[d] / norm[d] for d in prior}
        p = math.fsum(joint.values())
        made.append((p, {d: j / p for d, j in joint.items()} if p > 0 else dict(prior)))
    return made


def _entropy(shares: Mapping[str, float]) -> float:
    return -math.fsum(p * math.log2(p) for p in shares.values() if p > 0)


def best_decision_check(
    tables: Tables, outlook: Outlook, action_with: Callable[[Sequence[Sequence[str]]], Action]
) -> Check | None:
    """The unmade check of stage, height, amount, hybrid or weather that can change the decision."""
    options = []
    for place, record in enumerate(c for c in tables.checks if c.tries):
        if record.attribute in outlook.seen:
            continue
        changed = sum(action_with(t) is not outlook.action for t in record.tries)
        if changed:
            options.append((changed / len(record.tries) / record.effort, -place, record))
    if not options:
        return None
    return to_check(max(options, key=lambda o: o[:2])[2], (), True)


def to_check(record: CheckRecord, pair: tuple[str, ...], changes: bool) -> Check:
    """The record as an answer shows it."""
    return Check(
        id=record.id,
        ask=record.ask,
        attribute=record.attribute,
        separates=pair,
        would_change_decision=changes,
        if_yes=record.if_yes,
        if_no=record.if_no,
        yes=check_facts(record.yes),
        no=check_facts(record.no),
        sources=record.source,
    )
