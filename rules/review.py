"""Faults of reference and sense in the tables: every one is listed, none stops the rest.

The limits of the engine's safe subset are checked here too, so that a ruleset
outside it is refused at load.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator

from rules.evidence import compile_evidence, values_of
from rules.model import Action, Fault
from rules.records import Condition, Rule
from rules.tables import MARKS, Tables

KNOWN = ("read", "read_second_hand", "memory", "judgement", "derived", "common_practice")
PHASES = ("find", "evidence", "pressure", "threshold", "decide", "settle", "caution")

_MOST_CONDITIONS = 12  # the engine stops at 16
_MOST_ON_ONE_PATTERN = 250  # it stops at 256
_MOST_ATTRIBUTES = 480  # it stops at 511 first-level tests
_MOST_RANGES = 50  # it stops at 64 tests true at once for one fact
_FUNGICIDE = ("works", "sometimes", "rarely_pays", "does_not_help")
_CAUSES = (
    "fungus", "chytrid", "oomycete", "bacterium", "virus", "saprophyte", "insect", "chemical", "weather",
    "nutrient", "genetic", "senescence",
)  # fmt: skip
_PARTS = ("leaf", "stalk", "ear", "whole_plant")
_LIKES = ("cool", "mild", "warm", "hot", "wet", "dry")

#: Atoms that the program's own arithmetic asserts; rules may test them.
COMPUTED: dict[str, tuple[str, ...] | None] = {
    "month": None, "temperature": None, "severity_tenths": None, "length_tmm": None, "cover_days_left": None,
    "stage_group": None, "lead": None, "plan": None, "window": None, "wants": _LIKES, "fungicide": _FUNGICIDE,
    "history_of_lead": ("yes",), "sprayed_leaves": ("out", "not_out"), "clean": ("yes",), "only_near": ("yes",),
    "near_window": ("yes",), "disagree_about_spray": ("yes",), "check_open": ("yes", "no"), "too_little": ("yes",),
    "action": tuple(Action), "pollen": ("yes",), "cause": _CAUSES, "previous_active_class": None,
    "leaf_surface@plant_part:midrib": ("upper", "lower", "both"),
}  # fmt: skip


def review(tables: Tables) -> list[Fault]:
    """Every fault of reference and sense."""
    passes: tuple[Callable[[Tables], Iterator[Fault]], ...] = (
        _sources_exist, _disorders_make_sense, _signs_exist, _checks_make_sense, _rules_make_sense, _windows_exist,
        _engine_limits,
    )  # fmt: skip
    return [fault for one in passes for fault in one(tables)]


def _cited(tables: Tables) -> Iterator[tuple[str, str, tuple[str, ...], str]]:
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
    yield from (("windows.toml", f"{w.disorder} {w.stage_group}", w.source, w.known) for w in tables.windows.values())
    yield from (("figures.toml", f.id, f.source, f.known) for f in tables.figures.values())


def _sources_exist(tables: Tables) -> Iterator[Fault]:
    for file, record, sources, known in _cited(tables):
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
            (d.management.fungicide, _FUNGICIDE), (d.cause, _CAUSES), (d.part, _PARTS),
            *((like, _LIKES) for like in (d.epidemic.likes if d.epidemic else ())),
        )  # fmt: skip
        for value, allowed in choices:
            if value not in allowed:
                yield Fault(file=file, record="", message=f"{value!r}; allowed: {', '.join(allowed)}")
        for pair in (d.epidemic.temp_f, d.epidemic.latent_days) if d.epidemic else ():
            if pair and (len(pair) != 2 or pair[0] > pair[1]):
                yield Fault(file=file, record="epidemic", message=f"{pair} is no range (low, high)")
        if d.management.fungicide in ("works", "sometimes") and d.id not in tables.plan_of:
            yield Fault(file=file, record="management", message="a fungicide helps, but plans.toml has no plan for it")
        if not d.sign:
            yield Fault(file=file, record="", message="no sign")


def _signs_exist(tables: Tables) -> Iterator[Fault]:
    for d in tables.disorders.values():
        seen: Counter[tuple[str, str, str]] = Counter()
        for sign in d.sign:
            yield from _known_values(tables, d.id, sign.attribute, sign.values)
            seen.update((sign.attribute, value, sign.status) for value in sign.values)
            if sign.status not in ("present", "absent"):
                yield Fault(file=f"disorders/{d.id}.toml", record=sign.attribute, message=f"status {sign.status!r}")
        for (attribute, value, _), n in seen.items():
            if n > 1:
                yield Fault(file=f"disorders/{d.id}.toml", record=attribute, message=f"{value!r} is graded twice")
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
        yield Fault(file=file, record=name, message="this attribute carries no clue, so no sign can rest on it")
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
                yield Fault(file="checks", record=check.id, message=f"{fact} is no (attribute, value, status)")
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


def _vocabulary(tables: Tables) -> dict[str, tuple[str, ...] | None]:
    """Attribute -> values that a rule may test (None: numbers, or open text)."""
    made: dict[str, tuple[str, ...] | None] = dict(COMPUTED)
    for attribute in tables.attributes.values():
        values = None if attribute.kind in ("number", "date", "text", "stage") else values_of(attribute, tables)
        if attribute.id == "active_ingredient":
            values = tuple(tables.actives)
        for status in ("", ".absent", ".not_checked", ".cannot_tell"):
            made[attribute.id + status] = values
        made[f"{attribute.id}.said"] = ("yes",)
    for rule in tables.rules:
        for conclusion in rule.then:
            if conclusion[0] == "fact" and conclusion[1] not in tables.attributes:
                old = made.get(str(conclusion[1])) or ()
                made[str(conclusion[1])] = (*old, str(conclusion[2]))
    return made


def _rules_make_sense(tables: Tables) -> Iterator[Fault]:
    vocabulary = _vocabulary(tables)
    made = _made_in(tables)
    for name, n in Counter(r.id for r in tables.rules).items():
        if n > 1:
            yield Fault(file="rulesets", record=name, message=f"id used {n} times")
    for rule in tables.rules:
        if rule.phase not in PHASES:
            yield Fault(file="rulesets", record=rule.id, message=f"phase {rule.phase!r}; allowed: {', '.join(PHASES)}")
            continue
        if not rule.because or not rule.when or not rule.then:
            yield Fault(file="rulesets", record=rule.id, message="needs when, then and because")
        if len(rule.when) + len(rule.unless) > _MOST_CONDITIONS:
            yield Fault(file="rulesets", record=rule.id, message=f"more than {_MOST_CONDITIONS} conditions")
        for condition in (*rule.when, *rule.unless):
            yield from _condition(rule, condition, vocabulary)
        yield from _stratified(rule, made)
        yield from _conclusions(rule)


def _condition(rule: Rule, condition: Condition, vocabulary: dict[str, tuple[str, ...] | None]) -> Iterator[Fault]:
    attribute, operator, value = condition
    if operator not in ("=", "in", ">=", "<=", ">", "<"):
        yield Fault(file="rulesets", record=rule.id, message=f"operator {operator!r}; allowed: = in >= <= > <")
    if attribute not in vocabulary:
        yield Fault(file="rulesets", record=rule.id, message=f"no attribute {attribute!r}")
        return
    allowed = vocabulary[attribute]
    for one in value if isinstance(value, tuple) else (value,):
        if operator not in ("=", "in") and not isinstance(one, int):
            yield Fault(file="rulesets", record=rule.id, message=f"{attribute} {operator} wants a whole number")
        if isinstance(one, str) and allowed is not None and one not in allowed:
            yield Fault(file="rulesets", record=rule.id, message=f"{attribute} cannot be {one!r}: {', '.join(allowed)}")


def _made_in(tables: Tables) -> dict[str, set[int]]:
    """Attribute -> the phases (by number) in which rules conclude it."""
    made: dict[str, set[int]] = defaultdict(set)
    for rule in tables.rules:
        for conclusion in rule.then:
            if conclusion[0] == "fact" and rule.phase in PHASES:
                made[str(conclusion[1])].add(PHASES.index(rule.phase))
    return made


def _stratified(rule: Rule, made: dict[str, set[int]]) -> Iterator[Fault]:
    """"unless" may only look at facts that no rule of this phase or a later one concludes."""
    here = PHASES.index(rule.phase)
    for attribute, _, _ in rule.when:
        if made[attribute] and min(made[attribute]) > here:
            yield Fault(file="rulesets", record=rule.id, message=f"{attribute} is concluded only in a later phase")
    for attribute, _, _ in rule.unless:
        if made[attribute] and max(made[attribute]) >= here:
            message = f"unless {attribute}, which is concluded in this phase or later"
            yield Fault(file="rulesets", record=rule.id, message=message)


def _conclusions(rule: Rule) -> Iterator[Fault]:
    for conclusion in rule.then:
        ok = {
            "fact": len(conclusion) == 3,
            "act": len(conclusion) == 2 and conclusion[1] in list(Action),
            "caution": len(conclusion) == 2 and isinstance(conclusion[1], int),
            "rescout": len(conclusion) == 2 and isinstance(conclusion[1], int),
            "look_for": len(conclusion) == 2 and isinstance(conclusion[1], str),
        }.get(str(conclusion[0]), False)
        if not ok:
            yield Fault(file="rulesets", record=rule.id, message=f"cannot conclude {conclusion}")


def _engine_limits(tables: Tables) -> Iterator[Fault]:
    rules = (*tables.rules, *compile_evidence(tables).rules)
    uses: Counter[tuple[str, str, str | int]] = Counter()
    ranges: dict[str, set[tuple[str, str | int]]] = defaultdict(set)
    for rule in rules:
        for attribute, operator, value in (*rule.when, *rule.unless):
            for one in value if isinstance(value, tuple) else (value,):
                uses[attribute, operator, one] += 1
                if operator not in ("=", "in"):
                    ranges[attribute].add((operator, one))
    if len({a for a, _, _ in uses}) > _MOST_ATTRIBUTES:
        yield Fault(file="rulesets", record="", message=f"more than {_MOST_ATTRIBUTES} attributes in conditions")
    for pattern, n in uses.items():
        if n > _MOST_ON_ONE_PATTERN:
            yield Fault(file="rulesets", record=str(pattern), message=f"{n} rules test this; the engine allows 256")
    for attribute, tests in ranges.items():
        if len(tests) > _MOST_RANGES:
            yield Fault(file="rulesets", record=attribute, message=f"{len(tests)} range tests; the engine allows 64")
