"""Facts built by hand for the tests of ``rules``: no text is read here."""

from __future__ import annotations

from datetime import date

from rules.model import Fact, Relation, Status, Value

ON = date(2027, 7, 28)


def seen(attribute: str, value: Value = True, **more: object) -> Fact:
    """A fact that is present."""
    return Fact(attribute=attribute, value=value, text=f"{attribute} {value}", **more)  # type: ignore[arg-type]


def absent(attribute: str, value: Value = True, **more: object) -> Fact:
    """A fact that was looked for and is not there."""
    return seen(attribute, value, status=Status.ABSENT, **more)


def stage(code: str, relation: Relation = Relation.AT) -> Fact:
    """A growth stage as said."""
    return seen("growth_stage", code, relation=relation)


SOUTHERN = (
    seen("lesion_form", "pustule"), seen("lesion_colour", "orange"), seen("arrangement", "dense"),
    seen("leaf_surface", "upper"), absent("leaf_surface", "lower"), seen("rubs_off"), seen("rub_colour", "orange"),
)  # fmt: skip
COMMON = (
    seen("lesion_form", "pustule"), seen("lesion_colour", "brick_red"), seen("lesion_shape", "elongated"),
    seen("leaf_surface", "both"), seen("rubs_off"), seen("rub_colour", "brown"),
)  # fmt: skip
EITHER_RUST = (seen("lesion_form", "pustule"), seen("lesion_colour", "orange_brown"), seen("rubs_off"))
PHYSODERMA = (
    seen("lesion_form", "spot"), seen("lesion_colour", "purple_brown"), seen("arrangement", "banded"),
    seen("plant_part", "midrib"), absent("raised"), absent("rubs_off"), seen("rub", "nothing"), seen("whorl_water"),
)  # fmt: skip
TAR = (
    seen("lesion_colour", "black"), seen("lesion_form", "spot"), seen("raised"), seen("leaf_surface", "both"),
    absent("rubs_off"), seen("rub", "nothing"), absent("scrapes_off"),
)  # fmt: skip
GRAY = (
    seen("lesion_shape", "rectangular"), seen("lesion_margin", "straight"), seen("lesion_colour", "tan"),
    absent("translucent"), absent("backlit_halo"), seen("lesion_form", "lesion"),
)  # fmt: skip
HIGH = (seen("canopy_position", "ear_leaf"), seen("canopy_position", "above_ear_leaf"))
LOW = (seen("canopy_position", "lower"),)
WARM_WET = (seen("temperature_f", 85), seen("humidity", "high"))
COOL = (seen("temperature_f", 66), seen("weather", "cool"))
