"""The lint of rule records: vocabulary, phases, and the limits of the engine's safe subset."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from rules.evidence import compile_evidence, values_of
from rules.model import Action, Fault
from rules.records import Condition, Rule
from rules.tables import Tables

PHASES = ("find", "evidence", "pressure", "threshold", "decide", "settle", "caution")

_MOST_CONDITIONS = 12  # the engine stops at 16
_MOST_ON_ONE_PATTERN = 250  # it stops at 256
_MOST_ATTRIBUTES = 480  # it stops at 511 first-level tests
_MOST_RANGES = 50  # it stops at 64 tests true at once for one fact

_FUNGICIDE = ("works", "sometimes", "rarely_pays", "does_not_help")
_LIKES = ("cool", "mild", "warm", "hot", "wet", "dry")

#: Atoms that the program's own arithmetic asserts; rules may test them.
COMPUTED: dict[str, tuple[str, ...] | None] = {
    "month": None,
    "temperature": None,
    "severity_tenths": None,
    "length_tmm": None,
    "cover_days_left": None,
    "stage_group": None,
    "lead": None,
    "plan": None,
    "window": None,
    "wants": _LIKES,
    "fungicide": _FUNGICIDE,
    "history_of_lead": ("yes",),
    "sprayed_leaves": ("out", "not_out"),
    "clean": ("yes",),
    "only_near": ("yes",),
    "not_walked": ("yes",),
    "known_here": None,
    "near_window": ("yes",),
    "interval_too_long": ("yes",),
    "disagree_about_spray": ("yes",),
    "check_open": ("yes", "no"),
    "too_little": ("yes",),
    "action": tuple(Action),
    "pollen": ("yes",),
    "cause": None,
    "previous_active_class": None,
    "leaf_surface@plant_part:midrib": ("upper", "lower", "both"),
}


def _vocabulary(tables: Tables) -> dict[str, tuple[str, ...] | None]:
    """Attribute -> values that a rule may test (None: numbers, or open text)."""
    made: dict[str, tuple[str, ...] | None] = dict(COMPUTED)
    for attribute in tables.attributes.values():
        values = (
            None if attribute.kind in ("number", "date", "text", "stage") else values_of(attribute, tables)
        )
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


def rules_make_sense(tables: Tables) -> Iterator[Fault]:
    """Rules that name what does not exist, or look at facts before they can be there."""
    vocabulary = _vocabulary(tables)
    made = _made_in(tables)
    for name, n in Counter(r.id for r in tables.rules).items():
        if n > 1:
            yield Fault(file="rulesets", record=name, message=f"id used {n} times")
    for rule in tables.rules:
        if rule.phase not in PHASES:
            yield Fault(
                file="rulesets", record=rule.id, message=f"phase {rule.phase!r}; allowed: {', '.join(PHASES)}"
            )
            continue
        if not rule.because or not rule.when or not rule.then:
            yield Fault(file="rulesets", record=rule.id, message="needs when, then and because")
        if len(rule.when) + len(rule.unless) > _MOST_CONDITIONS:
            yield Fault(file="rulesets", record=rule.id, message=f"more than {_MOST_CONDITIONS} conditions")
        for condition in (*rule.when, *rule.unless):
            yield from _condition(rule, condition, vocabulary)
        yield from _stratified(rule, made)
        yield from _conclusions(rule)


def _condition(
    rule: Rule, condition: Condition, vocabulary: dict[str, tuple[str, ...] | None]
) -> Iterator[Fault]:
    attribute, operator, value = condition
    if operator not in ("=", "in", ">=", "<=", ">", "<"):
        yield Fault(
            file="rulesets", record=rule.id, message=f"operator {operator!r}; allowed: = in >= <= > <"
        )
    if attribute not in vocabulary:
        yield Fault(file="rulesets", record=rule.id, message=f"no attribute {attribute!r}")
        return
    allowed = vocabulary[attribute]
    for one in value if isinstance(value, tuple) else (value,):
        if operator not in ("=", "in") and not isinstance(one, int):
            yield Fault(
                file="rulesets", record=rule.id, message=f"{attribute} {operator} wants a whole number"
            )
        if isinstance(one, str) and allowed is not None and one not in allowed:
            yield Fault(
                file="rulesets",
                record=rule.id,
                message=f"{attribute} cannot be {one!r}: {', '.join(allowed)}",
            )


def _made_in(tables: Tables) -> dict[str, set[int]]:
    """Attribute -> the phases (by number) in which rules conclude it."""
    made: dict[str, set[int]] = defaultdict(set)
    for rule in tables.rules:
        for conclusion in rule.then:
            if conclusion[0] == "fact" and rule.phase in PHASES:
                made[str(conclusion[1])].add(PHASES.index(rule.phase))
    return made


def _stratified(rule: Rule, made: dict[str, set[int]]) -> Iterator[Fault]:
    """What stands under "unless" must be settled before this phase begins."""
    here = PHASES.index(rule.phase)
    for attribute, _, _ in rule.when:
        if made[attribute] and min(made[attribute]) > here:
            yield Fault(
                file="rulesets", record=rule.id, message=f"{attribute} is concluded only in a later phase"
            )
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


def engine_limits(tables: Tables) -> Iterator[Fault]:
    """Rulesets that the engine would load and then hang on, or crash."""
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
        yield Fault(
            file="rulesets", record="", message=f"more than {_MOST_ATTRIBUTES} attributes in conditions"
        )
    for pattern, n in uses.items():
        if n > _MOST_ON_ONE_PATTERN:
            yield Fault(
                file="rulesets", record=str(pattern), message=f"{n} rules test this; the engine allows 256"
            )
    for attribute, tests in ranges.items():
        if len(tests) > _MOST_RANGES:
            yield Fault(
                file="rulesets", record=attribute, message=f"{len(tests)} range tests; the engine allows 64"
            )
