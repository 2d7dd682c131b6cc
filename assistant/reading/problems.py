"""Keeps apart the problems that a note tells of in one field.

Two names that are stated as so are two problems; so are marks of another form and colour
behind "also", "another", "up high there's".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from assistant.reading.attributes import group, signs
from rules.model import Fact, Status, Value

_GENERAL = frozenset({"any", "rust", "leaf_disease", "stalk_rot", "ear_rot"})
_MARKS = ("lesion_form", "lesion_colour")


@dataclass(slots=True)
class _Group:
    facts: list[int] = field(default_factory=list)
    names: set[Value] = field(default_factory=set)
    marks: dict[str, set[Value]] = field(default_factory=lambda: {attribute: set() for attribute in _MARKS})


def split(
    facts: Sequence[Fact], clauses: Sequence[int], separators: Sequence[int]
) -> tuple[tuple[int, ...], ...]:
    """The indexes of the facts of each problem.

    Args:
        facts: the facts of one field, in reading order.
        clauses: the clause that each fact stands in.
        separators: where in the note a word says that something else follows.
    """
    groups = [_Group()]
    for unit in _units(facts, clauses, separators):
        made = _summed(facts, unit)
        if groups[-1].facts and _differs(groups[-1], made):
            groups.append(made)
        else:
            _merge(groups[-1], made)
    return tuple(tuple(g.facts) for g in groups if any(_tells(facts[i]) for i in g.facts))


def _tells(fact: Fact) -> bool:
    """Whether the fact says that something is wrong."""
    return fact.status is Status.PRESENT and fact.attribute in group("seen") | {
        "problem",
        "suspected_problem",
    } | {
        "incidence_pct",
        "severity_pct",
        "plants_affected",
        "lesions_per_leaf",
        "lesions_per_plant",
    }


def _units(facts: Sequence[Fact], clauses: Sequence[int], separators: Sequence[int]) -> list[list[int]]:
    """Runs of signs between separators, and before a second stated name."""
    units: list[list[int]] = [[]]
    name: Value | None = None
    for i, fact in enumerate(facts):
        if fact.attribute not in signs():
            continue
        previous = facts[units[-1][-1]] if units[-1] else None
        parted = previous and any(previous.span[1] <= at <= fact.span[0] for at in separators)
        if parted:
            units.append([])
        if _names(fact):
            if name is not None and fact.value != name and units[-1]:
                units.append(_taken_along(facts, clauses, units[-1], i, name))
            name = fact.value
        units[-1].append(i)
    return [unit for unit in units if unit]


def _names(fact: Fact) -> bool:
    return fact.attribute == "problem" and fact.status is Status.PRESENT and fact.value not in _GENERAL


def _taken_along(
    facts: Sequence[Fact], clauses: Sequence[int], unit: list[int], i: int, name: Value
) -> list[int]:
    """The signs right before a second name in its own clause, which go with it."""
    tail = [j for j in unit if clauses[j] == clauses[i]]
    if any(facts[j].value == name for j in tail):
        return []
    del unit[len(unit) - len(tail) :]
    return tail


def _summed(facts: Sequence[Fact], unit: list[int]) -> _Group:
    made = _Group(facts=list(unit))
    for i in unit:
        fact = facts[i]
        if fact.status is Status.PRESENT:
            if _names(fact):
                made.names.add(fact.value)
            if fact.attribute in _MARKS:
                made.marks[fact.attribute].add(fact.value)
    return made


def _differs(one: _Group, other: _Group) -> bool:
    if one.names and other.names:
        return not one.names & other.names
    if one.names and any(other.marks.values()) and not any(one.marks.values()):
        return True
    told = [a for a in _MARKS if one.marks[a] and other.marks[a]]
    return bool(told) and all(not one.marks[a] & other.marks[a] for a in told)


def _merge(group_: _Group, other: _Group) -> None:
    group_.facts += other.facts
    group_.names |= other.names
    for attribute in _MARKS:
        group_.marks[attribute] |= other.marks[attribute]
