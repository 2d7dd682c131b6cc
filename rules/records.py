"""The shapes of the knowledge tables: one frozen record a kind of statement."""

from __future__ import annotations

from dataclasses import dataclass

from rules.model import Strength

#: One condition of a rule: attribute, operator, value (a tuple of values for "in").
Condition = tuple[str, str, str | int | tuple[str | int, ...]]
#: What a rule concludes: ("fact", attribute, value), ("act", action) or ("caution", seriousness).
Conclusion = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One publication (or the mark of a fact without one)."""

    key: str
    title: str
    where: str = ""
    author: str = ""
    year: int | None = None
    known: str = "read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Attribute:
    """One attribute of the vocabulary; see the head of ``attributes.toml``."""

    id: str
    kind: str
    group: str
    say: str
    values: tuple[str, ...] = ()
    clue: str = ""
    sign: bool = False
    one: bool = False
    surprise: int = 0
    unit: str | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """How one observation speaks about one disorder."""

    attribute: str
    values: tuple[str, ...] = ("yes",)
    status: str = "present"
    strength: Strength
    strong: bool = False
    source: tuple[str, ...]
    known: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Combination:
    """Signs that mean more together than apart."""

    name: str
    all: tuple[tuple[str, tuple[str, ...]], ...]
    absent: tuple[tuple[str, tuple[str, ...]], ...] = ()
    strength: Strength
    source: tuple[str, ...]
    known: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """A sentence for people about a disorder."""

    about: str
    text: str
    source: tuple[str, ...]
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """How common a disorder is before anything was looked at, in centi-nats."""

    weight: int
    because: str
    source: tuple[str, ...]
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Management:
    """Whether a foliar fungicide helps against it."""

    fungicide: str
    text: str
    source: tuple[str, ...]
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Epidemic:
    """What weather it wants and how long infection takes to show (days)."""

    temp_f: tuple[int, ...] = ()
    latent_days: tuple[int, ...] = ()
    wet_hours: float | None = None
    likes: tuple[str, ...] = ()
    source: tuple[str, ...]
    known: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Disorder:
    """One disease, injury, deficiency or look-alike."""

    id: str
    name: str
    cause: str
    part: str
    prior: Prior
    management: Management
    sign: tuple[Sign, ...]
    combination: tuple[Combination, ...] = ()
    statement: tuple[Statement, ...] = ()
    epidemic: Epidemic | None = None
    scientific: str = ""
    also_called: tuple[str, ...] = ()
    eppo: str | None = None
    eppo_source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """A pair of look-alikes that a check tells apart, and what counts as having made it.

    ``classic`` pairs are those that publications warn of by name.
    """

    pair: tuple[str, ...]
    by: tuple[str, ...]
    classic: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRecord:
    """Something a person in the field can look at next.

    ``yes`` and ``no`` are the facts (attribute, value, status) of a bare answer;
    ``tries`` are atoms that stand for possible answers of a check that parts no
    look-alikes but may decide about a spray.
    """

    id: str
    attribute: str
    ask: str
    effort: int
    if_yes: str
    if_no: str
    yes: tuple[tuple[str, ...], ...] = ()
    no: tuple[tuple[str, ...], ...] = ()
    source: tuple[str, ...]
    known: str
    parts: tuple[Parts, ...] = ()
    tries: tuple[tuple[tuple[str, ...], ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: when these facts stand (and those do not), conclude this, because."""

    id: str
    phase: str
    when: tuple[Condition, ...]
    unless: tuple[Condition, ...] = ()
    then: tuple[Conclusion, ...]
    because: str
    source: tuple[str, ...]
    known: str = "read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """What one stage group means for spraying against one disorder (or against "default")."""

    disorder: str
    stage_group: str
    window: str
    text: str
    source: tuple[str, ...]
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A threshold with its unit, source and how well it is known."""

    id: str
    value: float
    low: float | None = None
    high: float | None = None
    unit: str
    text: str
    source: tuple[str, ...]
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """A figure of common practice that is shown beside the published one at these stages."""

    name: str
    stages: tuple[str, ...]
    value: float
    low: float
    high: float
    unit: str
    text: str
    source: tuple[str, ...]
    known: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """A single fact that is tried against the decision, how it is said, and what it takes the place of."""

    say: str
    facts: tuple[tuple[str, str], ...]
    drops: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What one general name stands for: disorders behind "rust", groups behind "three-way"."""

    id: str
    members: tuple[str, ...]
