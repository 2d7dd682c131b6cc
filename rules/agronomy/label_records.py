"""A label as typed in, the situation it is held against, and one finding about it.

None means "not told" everywhere, and never counts as fitting.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What a user typed in from the label in hand; every field but the name may be None = not told.

    ``stages``: first and last stage allowed.  ``preharvest_days``: pairs (use, days).
    ``min_gal_ac``: pairs (method, least spray volume, gal/ac).  ``states``: two letters each,
    or ALL.  Amounts of product are not kept at all.
    """

    name: str
    active_ingredients: tuple[str, ...] | None = None
    frac_groups: tuple[str, ...] | None = None
    disorders: tuple[str, ...] | None = None
    uses: tuple[str, ...] | None = None
    states: tuple[str, ...] | None = None
    stages: tuple[str, str] | None = None
    preharvest_days: tuple[tuple[str, int], ...] | None = None
    reentry_hours: int | None = None
    max_applications: int | None = None
    min_interval_days: int | None = None
    methods: tuple[str, ...] | None = None
    min_gal_ac: tuple[tuple[str, float], ...] | None = None
    adjuvants: str | None = None
    forage: str | None = None
    plant_back: str | None = None
    restricted_use: bool | None = None
    typed_on: date | None = None
    demo: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierSpray:
    """A spray that went on before; no groups, no label or no date = not told."""

    on: date | None
    groups: tuple[str, ...] = ()
    label: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What is to be sprayed, when, where and how.

    ``use`` is a use of label_fields.toml or the crop type of a note; ``stage`` a stage code;
    ``state`` letters or name; ``earliest_harvest`` a day, or days from ``on``: where it is
    None the earliest likely harvest is reckoned from stage and use.  ``sprays`` are those of
    the field this season: () = none, None = not told.
    """

    on: date
    disorder: str | None = None
    use: str | None = None
    state: str | None = None
    stage: str | None = None
    milk_line: float | None = None
    method: str | None = None
    volume_gal_ac: float | None = None
    earliest_harvest: date | int | None = None
    sprays: tuple[EarlierSpray, ...] | None = None


class Shown(StrEnum):
    """What is shown about one limit of a label."""

    FITS = "fits"
    NOT_TYPED = "not_typed"  # the label's own word is missing
    NOT_SHOWN = "not_shown"  # something about the field is missing
    DOES_NOT = "does_not"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One limit of a label held against the situation, in plain words.

    Of a limit that was not typed in, ``text`` only names it.
    """

    field: str
    shown: Shown
    text: str


def fits(field: str, text: str) -> Finding:
    """The limit is kept."""
    return Finding(field=field, shown=Shown.FITS, text=text)


def refused(field: str, text: str) -> Finding:
    """The limit is broken."""
    return Finding(field=field, shown=Shown.DOES_NOT, text=text)


def not_shown(field: str, text: str) -> Finding:
    """Nothing can be said of the limit until what ``text`` speaks of is told."""
    return Finding(field=field, shown=Shown.NOT_SHOWN, text=text)


def not_typed(field: str, what: str) -> Finding:
    """The label's own word is missing: ``what`` names it."""
    return Finding(field=field, shown=Shown.NOT_TYPED, text=what)
