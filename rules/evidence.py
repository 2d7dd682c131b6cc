"""Turns the disorder profiles into evidence rules: one rule a sign, many disorders weighed.

The single general rule "a sign that a profile lists speaks as strongly as the
profile says" is written out for the engine as one record a (attribute, value,
status); what each says to each disorder stays in a table beside it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from rules.model import Evidence, Status, Strength
from rules.records import Attribute, Combination, Condition, Disorder, Rule, Sign
from rules.tables import Tables

#: An observation: attribute, value, status ("present" or "absent").
Seen = tuple[str, str, str]

_JUDGED = ("judgement",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weigh:
    """What one fired evidence rule says to one disorder; ``clue`` groups correlated signs."""

    disorder: str
    clue: str
    sign: bool
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class EvidenceTable:
    """The evidence rules, what each of them weighs, and each disorder's telling signs."""

    rules: tuple[Rule, ...]
    weighs: Mapping[str, tuple[Weigh, ...]]
    telling: Mapping[str, tuple[tuple[str, str], ...]]


def values_of(attribute: Attribute, tables: Tables) -> tuple[str, ...]:
    """Every value that the attribute can take, as atoms carry it."""
    if attribute.kind == "yes":
        return ("yes",)
    if attribute.kind == "id" and not attribute.values:
        return (*tables.disorders, *tables.claims, "any")
    return attribute.values


def compile_evidence(tables: Tables) -> EvidenceTable:
    """The evidence rules of all profiles, in a fixed order."""
    rules: list[Rule] = []
    weighs: dict[str, tuple[Weigh, ...]] = {}
    for rule, said in (*_signs(tables), *_combinations(tables), *_claims(tables)):
        rules.append(rule)
        weighs[rule.id] = said
    return EvidenceTable(tuple(rules), weighs, {d: _telling(tables, d) for d in tables.disorders})


def _telling(tables: Tables, disorder: str) -> tuple[tuple[str, str], ...]:
    """The telling signs of a disorder as (attribute, clue), strongest first."""
    strongest: dict[str, int] = {}
    for sign in tables.disorders[disorder].sign:
        if tables.attributes[sign.attribute].sign and sign.strength in (Strength.HALLMARK, Strength.TYPICAL):
            weight = int(tables.weights["present"][sign.strength])
            strongest[sign.attribute] = max(weight, strongest.get(sign.attribute, 0))
    order = sorted(strongest, key=lambda a: (-strongest[a], a))
    return tuple((a, tables.attributes[a].clue) for a in order)


# ----------------------------------------------------------------------------- single signs


def _signs(tables: Tables) -> Iterator[tuple[Rule, tuple[Weigh, ...]]]:
    listed = _listed(tables)
    for attribute in tables.attributes.values():
        if not attribute.clue:
            continue
        for value in values_of(attribute, tables):
            for status in ("present", "absent"):
                said = tuple(_say(tables, listed, attribute, (attribute.id, value, status)))
                if said:
                    yield _sign_rule(attribute, value, status, said), said


def _listed(tables: Tables) -> dict[str, dict[Seen, Sign]]:
    made: dict[str, dict[Seen, Sign]] = defaultdict(dict)
    for disorder in tables.disorders.values():
        for sign in disorder.sign:
            for value in sign.values:
                made[disorder.id][sign.attribute, value, sign.status] = sign
    return made


def _say(
    tables: Tables, listed: Mapping[str, Mapping[Seen, Sign]], attribute: Attribute, seen: Seen
) -> Iterator[Weigh]:
    share = 1 if attribute.sign else tables.weights["setting"]["share"] / 100
    for disorder in tables.disorders.values():
        full, strength, sources, known = _weight(tables, listed[disorder.id], attribute, seen)
        weight = round(full * share)
        if weight:
            evidence = Evidence(
                attribute=seen[0],
                value=True if seen[1] == "yes" else seen[1],
                status=Status(seen[2]),
                strength=strength,
                weight=weight,
                rule=_sign_id(seen),
                sources=sources,
                known=known,
            )
            yield Weigh(disorder=disorder.id, clue=attribute.clue, sign=attribute.sign, evidence=evidence)


def _weight(
    tables: Tables, listed: Mapping[Seen, Sign], attribute: Attribute, seen: Seen
) -> tuple[int, Strength, tuple[str, ...], str]:
    """Centi-nats, the strength to show, sources and how well known."""
    sign = listed.get(seen)
    if sign is not None:
        weight = int(tables.weights["present"][sign.strength]) * (2 if sign.strong else 1)
        return weight, sign.strength, sign.source, sign.known
    name, value, status = seen
    if status == "present":
        return -attribute.surprise, Strength.ARGUES_AGAINST, _JUDGED, "judgement"
    there = listed.get((name, value, "present"))
    if there is None:
        return 0, Strength.POSSIBLE, _JUDGED, "judgement"
    weight = int(tables.weights["absent"][there.strength])
    shown = Strength.TYPICAL if weight > 0 else Strength.ARGUES_AGAINST
    return weight, shown, there.source, there.known


def _sign_id(seen: Seen) -> str:
    return f"sign.{seen[0]}.{seen[1]}" + (".absent" if seen[2] == "absent" else "")


def _sign_rule(attribute: Attribute, value: str, status: str, said: tuple[Weigh, ...]) -> Rule:
    name = attribute.id if status == "present" else f"{attribute.id}.absent"
    shown = attribute.say if value == "yes" else f"{attribute.say} {value.replace('_', ' ')}"
    because = (
        f"{shown}{'' if status == 'present' else ', looked for and absent'}: what each profile says of it"
    )
    sources = sorted({s for w in said for s in w.evidence.sources})
    return _rule(_sign_id((attribute.id, value, status)), ((name, "=", value),), because, tuple(sources))


def _rule(name: str, when: tuple[Condition, ...], because: str, source: tuple[str, ...]) -> Rule:
    return Rule(
        id=name,
        phase="evidence",
        when=when,
        then=(("fact", "weighed", name),),
        because=because,
        source=source,
    )


# ----------------------------------------------------------------------------- combinations


def _combinations(tables: Tables) -> Iterator[tuple[Rule, tuple[Weigh, ...]]]:
    for disorder in tables.disorders.values():
        for number, combination in enumerate(disorder.combination, start=1):
            name = f"together.{disorder.id}.{number}"
            yield (
                _combination_rule(name, disorder, combination),
                (_combination_weigh(tables, name, disorder, combination),),
            )


def _combination_rule(name: str, disorder: Disorder, combination: Combination) -> Rule:
    when: list[Condition] = [(attribute, "in", values) for attribute, values in combination.all]
    when += [(f"{attribute}.absent", "in", values) for attribute, values in combination.absent]
    because = f"{combination.name}: together the mark of {disorder.name}"
    return _rule(name, tuple(when), because, combination.source)


def _combination_weigh(tables: Tables, name: str, disorder: Disorder, combination: Combination) -> Weigh:
    evidence = Evidence(
        attribute=combination.all[0][0],
        value=combination.name,
        status=Status.PRESENT,
        strength=combination.strength,
        weight=int(tables.weights["present"][combination.strength]),
        rule=name,
        sources=combination.source,
        known=combination.known,
    )
    return Weigh(disorder=disorder.id, clue=name, sign=True, evidence=evidence)


# ----------------------------------------------------------------------------- names in the note


_CLAIMS = (
    ("problem", "problem", "stated", Status.PRESENT),
    ("suspected_problem", "suspected_problem", "suspected", Status.PRESENT),
    ("problem.absent", "problem", "denied", Status.ABSENT),
    ("suspected_problem.absent", "suspected_problem", "denied_hedged", Status.ABSENT),
    ("nearby_find", "nearby_find", "nearby", Status.PRESENT),
    ("known_here", "problem", "known_here", Status.PRESENT),
)


def _claims(tables: Tables) -> Iterator[tuple[Rule, tuple[Weigh, ...]]]:
    names = {d: (d,) for d in tables.disorders} | dict(tables.claims)
    for atom, attribute, kind, status in _CLAIMS:
        for name, disorders in names.items():
            rule_id = f"claim.{atom}.{name}"
            said = tuple(_claim(tables, rule_id, attribute, name, kind, status, d) for d in disorders)
            said += tuple(_lookalikes(tables, rule_id, attribute, name, kind, status, disorders))
            yield (
                _rule(
                    rule_id,
                    ((atom, "=", name),),
                    "named in the note: a claim, not yet an observation",
                    _JUDGED,
                ),
                said,
            )
    for name in tables.disorders:
        rule_id = f"claim.laboratory.{name}"
        when: tuple[Condition, ...] = (("lab_confirmed", "=", "yes"), ("problem", "=", name))
        said = (_claim(tables, rule_id, "lab_confirmed", name, "laboratory", Status.PRESENT, name),)
        yield _rule(rule_id, when, "a laboratory has named it", _JUDGED), said


def _lookalikes(
    tables: Tables,
    rule: str,
    attribute: str,
    name: str,
    kind: str,
    status: Status,
    disorders: tuple[str, ...],
) -> Iterator[Weigh]:
    """Whoever names one thing may have seen what is classically mistaken for it."""
    if f"{kind}_lookalike" not in tables.weights["claim"]:
        return
    near = {d for p in _classic(tables) if p & set(disorders) for d in p} - set(disorders)
    for disorder in sorted(near):
        yield _claim(tables, rule, attribute, name, f"{kind}_lookalike", status, disorder)


def _classic(tables: Tables) -> list[set[str]]:
    return [set(p.pair) for c in tables.checks for p in c.parts if p.classic]


def _claim(
    tables: Tables, rule: str, attribute: str, name: str, kind: str, status: Status, disorder: str
) -> Weigh:
    weight = int(tables.weights["claim"][kind])
    strength = Strength.TYPICAL if weight > 0 else Strength.ARGUES_AGAINST
    evidence = Evidence(
        attribute=attribute,
        value=name,
        status=status,
        strength=strength,
        weight=weight,
        rule=rule,
        sources=_JUDGED,
        known="judgement",
    )
    return Weigh(disorder=disorder, clue="claim", sign=False, evidence=evidence)
