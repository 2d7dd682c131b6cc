"""Draws notes of a scout out of tests/cases/frequencies.toml: what is seen, forgotten and mistaken, as facts.

Every case has its own seed (seed, disorder and number), so a new disorder in the file moves no other case.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from rules.model import Fact, Status, Value
from rules.tables import load

FILE = Path(__file__).parents[1] / "cases" / "frequencies.toml"
YEAR = 2027
NOT_DISORDERS = ("looked", "days", "parting")
#: The share of the observations that a note keeps, at least, and the share that is mistaken.
KEPT_AT_LEAST = 0.4
MISTAKEN = 0.05
UNITS = {"lesion_size_in": "in", "lesion_length_in": "in", "temperature_f": "F"}
SIDES = {"upper_only": ("upper", "lower"), "lower_only": ("lower", "upper")}


@dataclass(frozen=True, slots=True)
class Seen:
    """One observation in the file's own words; ``mistaken`` if it is not what the draw first gave."""

    attribute: str
    word: str
    mistaken: bool = False

    def __str__(self) -> str:
        return f"{self.attribute}={self.word}" + (" (mistaken)" if self.mistaken else "")


@dataclass(frozen=True, slots=True)
class Draw:
    """One note: the disorder that it was drawn from, what it says, and its day."""

    disorder: str
    number: int
    look: str
    seen: tuple[Seen, ...]
    on: date

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The note as facts, none twice."""
        return tuple(dict.fromkeys(fact for seen in self.seen for fact in facts_of(seen)))


@cache
def frequencies() -> dict[str, Any]:
    """The file as it is."""
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def disorders() -> list[str]:
    """The disorders of the file, in its order."""
    return [name for name in frequencies() if name not in NOT_DISORDERS]


@cache
def words(attribute: str) -> tuple[str, ...]:
    """Every word that the file has for an attribute: what a mistaken scout may say instead."""
    signs = [s for name in disorders() for s in frequencies()[name]["sign"] if s["attribute"] == attribute]
    found = dict.fromkeys(word for sign in signs for word in sign["shares"])
    return ("yes", "absent") if "yes" in found or "absent" in found else tuple(found)


def draw(disorder: str, number: int, seed: int) -> Draw:
    """The note of that number: observed, some of it mistaken, some of it left out."""
    chance = random.Random(f"{seed} {disorder} {number}")
    record = frequencies()[disorder]
    look = _pick(chance, record.get("looks", {"any": 1.0}))
    seen, stage = _observe(chance, record["sign"], look)
    kept = max(1, round(len(seen) * chance.uniform(KEPT_AT_LEAST, 1)))
    left = sorted(chance.sample(range(len(seen)), min(kept, len(seen))))
    day = date.fromisoformat(f"{YEAR}-{frequencies()['days'][stage]}")
    return Draw(disorder, number, look, tuple(seen[n] for n in left), day)


def _observe(chance: random.Random, signs: Sequence[Mapping[str, Any]], look: str) -> tuple[list[Seen], str]:
    """What the scout reports, and the stage that the crop is really at."""
    seen: list[Seen] = []
    stage = ""
    for sign in (s for s in signs if look in s.get("look", [look])):
        attribute = sign["attribute"]
        word = _pick(chance, sign["shares"])
        if attribute == "growth_stage":
            stage = word
        looked = sign.get("looked", frequencies()["looked"].get(attribute))
        if chance.random() >= looked or not _asked(sign, seen):
            continue
        others = [w for w in words(attribute) if w != word]
        mistaken = chance.random() < MISTAKEN and bool(others)
        seen.append(Seen(attribute, chance.choice(others) if mistaken else word, mistaken))
    return seen, stage


def _asked(sign: Mapping[str, Any], seen: Sequence[Seen]) -> bool:
    """Whether what a sign needs was reported before it."""
    if (need := sign.get("needs")) is None:
        return True
    word = "absent" if need.startswith("no ") else "yes"
    return any(s.attribute == need.removeprefix("no ") and s.word == word for s in seen)


def _pick(chance: random.Random, shares: Mapping[str, float]) -> str:
    return chance.choices(list(shares), weights=list(shares.values()))[0]


def facts_of(seen: Seen) -> tuple[Fact, ...]:
    """The facts that one observation comes to; a side found clean is a fact of its own."""
    if seen.attribute == "leaf_surface" and seen.word in SIDES:
        there, clean = SIDES[seen.word]
        return _fact(seen.attribute, there), _fact(seen.attribute, clean, Status.ABSENT)
    if seen.word in ("yes", "absent"):
        return (_fact(seen.attribute, True, Status.PRESENT if seen.word == "yes" else Status.ABSENT),)
    if seen.word.startswith("no "):
        return (_fact(seen.attribute, seen.word.removeprefix("no "), Status.ABSENT),)
    number = load().attributes[seen.attribute].kind == "number"
    return (_fact(seen.attribute, float(seen.word) if number else seen.word),)


def _fact(attribute: str, value: Value, status: Status = Status.PRESENT) -> Fact:
    said = f"{attribute} {value}"
    return Fact(attribute=attribute, value=value, status=status, unit=UNITS.get(attribute), text=said)


def parted(pair: Mapping[str, Any], seen: Sequence[Seen]) -> bool:
    """Whether the note holds what tells a classic pair apart, found or not found."""
    return any(_counts(by, one) for by in pair["by"] for one in seen)


def _counts(by: str, seen: Seen) -> bool:
    attribute, _, word = by.partition(".")
    if attribute != seen.attribute or (word and seen.word.removeprefix("no ") != word):
        return False
    # The upper side alone: nobody turned the leaf.
    return not (attribute == "leaf_surface" and seen.word == "upper")
