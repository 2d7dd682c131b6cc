"""Atoms: the small flat facts that rules are written over.

An atom is ``(attribute, value)``.  What was looked at and is absent stands under
``attribute.absent``; what was not checked or could not be told under
``attribute.not_checked`` and ``attribute.cannot_tell``.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from rules.model import EngineFault, Fact, Status, Value

Atom = tuple[str, str | int]

_LONGEST = 80
_LARGEST = 2**31


def key(atom: Atom) -> str:
    """The readable identity of an atom."""
    return f"{atom[0]}={atom[1]}"


def checked(atom: Atom) -> Atom:
    """``atom`` itself if the engine can bear it.

    Raises:
        EngineFault: for a value that is not a short, non-empty string or a whole number.
    """
    attribute, value = atom
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise EngineFault(f"{attribute}: only text and whole numbers can be facts, not {value!r}")
    if isinstance(value, int) and abs(value) >= _LARGEST:
        raise EngineFault(f"{attribute}: {value} is too large")
    if isinstance(value, str) and not 0 < len(value) <= _LONGEST:
        raise EngineFault(f"{attribute}: text of 1 to {_LONGEST} characters, not {len(value)}")
    return atom


def plain(value: Value) -> str | int:
    """A fact's value as an atom can carry it: numbers whole, ranges by their middle."""
    if isinstance(value, bool):
        return "yes"
    if isinstance(value, tuple):
        return round(sum(value) / 2)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return round(value)
    return value[:_LONGEST] if isinstance(value, str) else value


def atom_of(fact: Fact) -> Atom:
    """The atom that one fact of a note becomes.

    A denial or a gap that the words tie to a place ("nothing raised underneath")
    says nothing of the plant as a whole, so it stands under the place; so does a
    side of the leaf that is only the midrib's ("a few below along the midrib").
    """
    attribute = fact.attribute
    places = [(name, plain(value)) for name, value in fact.where if value != "leaf"]
    if fact.status is not Status.PRESENT:
        attribute = f"{attribute}.{fact.status}"
    elif attribute != "leaf_surface":
        places = []
    else:
        places = [place for place in places if place[0] == "plant_part"]
    if places:
        attribute = f"{attribute}@{','.join(f'{name}:{value}' for name, value in places)}"
    return checked((attribute, plain(fact.value)))


def atoms_of(facts: Iterable[Fact]) -> tuple[Atom, ...]:
    """The atoms of many facts, each once, in a fixed order."""
    return tuple(sorted({atom_of(f) for f in facts if f.value != ""}, key=key))
