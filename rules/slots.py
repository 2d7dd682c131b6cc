"""The slots of a rule: which of its conditions one single fact has to meet."""

from __future__ import annotations

from rules.records import Condition, Rule

Slot = tuple[Condition, ...]


def slots(rule: Rule) -> tuple[Slot, ...]:
    """The conditions of a rule, bounds on one attribute put together.

    ``temperature >= 75`` and ``temperature <= 90`` are met by one fact; "upper" and
    "lower" of one attribute are two facts.  The engine never lets one fact fill two
    slots, so bounds must share one.
    """
    made: list[list[Condition]] = []
    bounds: dict[str, list[Condition]] = {}
    for condition in rule.when:
        attribute, operator, _ = condition
        if operator in ("=", "in"):
            made.append([condition])
        elif attribute in bounds:
            bounds[attribute].append(condition)
        else:
            bounds[attribute] = [condition]
            made.append(bounds[attribute])
    return tuple(tuple(slot) for slot in made)
