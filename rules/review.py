"""Faults of reference and sense in the tables: every one is listed, none stops the rest.

The rule records themselves are checked by :mod:`rules.lint`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from rules.evidence import values_of
from rules.lint import engine_limits, rules_make_sense
from rules.model import Fault
from rules.tables import MARKS, Tables

KNOWN = ("read", "read_second_hand", "memory", "judgement", "derived", "common_practice")

_FUNGICIDE = ("works", "sometimes", "rarely_pays", "does_not_help")
_CAUSES = (
    "fungus",
    "chytrid",
    "oomycete",
    "bacterium",
    "virus",
    "saprophyte",
    "insect",
    "chemical",
    "weather",
    "nutrient",
    "genetic",
    "senescence",
)
_PARTS = ("leaf", "stalk", "ear", "whole_plant")
_LIKES = ("cool", "mild", "warm", "hot", "wet", "dry")


def review(tables: Tables) -> list[Fault]:
    """Every fault of reference and sense."""
    passes: tuple[Callable[[Tables], Iterator[Fault]], ...] = (
        _sources_exist,
        _disorders_make_sense,
        _signs_exist,
        _checks_make_sense,
        rules_make_sense,
        _windows_exist,
        engine_limits,
    )
    return [fault for one in passes for fault in one(tables)]


def cited(tables: Tables) -> Iterator[tuple[str, str, tuple[str, ...], str]]:
    """Every (file, record, sources, known) of the tables."""
    for d in tables.disorders.values():
        file = f"disorders/{d.id}.toml"
        yield file, "prior", d.prior.source, d.prior.known
        yield file, "management", d.management.source, d.management.known
        yield from ((file, f"sign {s.attribute}", s.source, s.known) for s in d.sign)
        yield from ((file, f"combination {c.name}", c.source, c.known) for c in d.combination)
        yield from ((file, f"statement {s.about}", s.source, s.known) for s in d.statement)
        if d.epidemic:
            yield file, "epidemic", d.epidemic.source, d.epidemic.known
        if d.eppo:
            yield file, "eppo", d.eppo_source, "read"
    yield from (("checks", c.id, c.source, c.known) for c in tables.checks)
    yield from (("rulesets", r.id, r.source, r.known) for r in tables.rules)
    yield from (
        ("windows.toml", f"{w.disorder} {w.stage_group}", w.source, w.known) for w in tables.windows.values()
    )
    yield from (("practice.toml", p.name, p.source, p.known) for p in tables.practice)
    yield from (("figures.toml", f.id, f.source, f.known) for f in tables.figures.values())


def _sources_exist(tables: Tables) -> Iterator[Fault]:
    for file, record, sources, known in cited(tables):
        if not sources:
            yield Fault(file=file, record=record, message="no source")
        for key in sources:
            if key not in tables.sources and key not in MARKS:
                yield Fault(file=file, record=record, message=f"source {key!r} is in no file of sources/")
        if known not in KNOWN:
            yield Fault(file=file, record=record, message=f"known = {known!r}; allowed: {', '.join(KNOWN)}")


def _disorders_make_sense(tables: Tables) -> Iterator[Fault]:
    for d in tables.disorders.values():
        file = f"disorders/{d.id}.toml"
        choices = (
            (d.management.fungicide, _FUNGICIDE),
            (d.cause, _CAUSES),
            (d.part, _PARTS),
            *((like, _LIKES) for like in (d.epidemic.likes if d.epidemic else ())),
        )
        for value, allowed in choices:
            if value not in allowed:
                yield Fault(file=file, record="", message=f"{value!r}; allowed: {', '.join(allowed)}")
        for pair in (d.epidemic.temp_f, d.epidemic.latent_days) if d.epidemic else ():
            if pair and (len(pair) != 2 or pair[0] > pair[1]):
                yield Fault(file=file, record="epidemic", message=f"{pair} is no range (low, high)")
        if d.management.fungicide in ("works", "sometimes") and d.id not in tables.plan_of:
            yield Fault(
                file=file, record="management", message="a fungicide helps, but plans.toml has no plan for it"
            )
        if d.management.fungicide == "does_not_help" and d.id in tables.plan_of:
            yield Fault(
                file=file, record="management", message="no fungicide helps, but plans.toml has a plan for it"
            )
        if not d.sign:
            yield Fault(file=file, record="", message="no sign")


def _signs_exist(tables: Tables) -> Iterator[Fault]:
    for d in tables.disorders.values():
        seen: Counter[tuple[str, str, str]] = Counter()
        for sign in d.sign:
            yield from _known_values(tables, d.id, sign.attribute, sign.values)
            seen.update((sign.attribute, value, sign.status) for value in sign.values)
            if sign.status not in ("present", "absent"):
                yield Fault(
                    file=f"disorders/{d.id}.toml", record=sign.attribute, message=f"status {sign.status!r}"
                )
        for (attribute, value, _), n in seen.items():
            if n > 1:
                yield Fault(
                    file=f"disorders/{d.id}.toml", record=attribute, message=f"{value!r} is graded twice"
                )
        for combination in d.combination:
            for attribute, values in (*combination.all, *combination.absent):
                yield from _known_values(tables, d.id, attribute, values)


def _known_values(tables: Tables, disorder: str, name: str, values: tuple[str, ...]) -> Iterator[Fault]:
    file = f"disorders/{disorder}.toml"
    attribute = tables.attributes.get(name)
    if attribute is None:
        yield Fault(file=file, record=name, message="no such attribute")
        return
    if not attribute.clue:
        yield Fault(
            file=file, record=name, message="this attribute carries no clue, so no sign can rest on it"
        )
    allowed = values_of(attribute, tables)
    for value in values:
        if value not in allowed:
            yield Fault(file=file, record=name, message=f"cannot be {value!r}; allowed: {', '.join(allowed)}")


def _checks_make_sense(tables: Tables) -> Iterator[Fault]:
    for name, n in Counter(c.id for c in tables.checks).items():
        if n > 1:
            yield Fault(file="checks", record=name, message=f"id used {n} times")
    for check in tables.checks:
        if check.attribute not in tables.attributes:
            yield Fault(file="checks", record=check.id, message=f"no attribute {check.attribute!r}")
        for fact in (*check.yes, *check.no):
            if len(fact) != 3 or fact[0] not in tables.attributes:
                yield Fault(
                    file="checks", record=check.id, message=f"{fact} is no (attribute, value, status)"
                )
        for parts in check.parts:
            if len(parts.pair) != 2 or not set(parts.pair) <= set(tables.disorders):
                yield Fault(file="checks", record=check.id, message=f"{parts.pair} is no pair of disorders")
            for attribute in parts.by:
                if attribute not in tables.attributes:
                    yield Fault(file="checks", record=check.id, message=f"no attribute {attribute!r}")


def _windows_exist(tables: Tables) -> Iterator[Fault]:
    from rules.timing import GROUPS

    for plan in set(tables.plan_of.values()):
        for group in GROUPS:
            if (plan, group) not in tables.windows:
                yield Fault(file="windows.toml", record=plan, message=f"nothing is said of {group}")
