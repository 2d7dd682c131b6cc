"""Signs in their company, sprays without the word, and figures as growers say them."""

from __future__ import annotations

from datetime import date

import pytest

from tests.reading_notes import reader

ON = date(2027, 7, 28)


def facts(note: str) -> set[tuple[str, str, str]]:
    """Every fact of a note as attribute, value, status."""
    scenes = reader().read(note, on=ON)
    return {(f.attribute, str(f.value), f.status.value) for s in scenes for f in s.facts}


def has(note: str, attribute: str, value: object, status: str = "present") -> bool:
    return (attribute, str(value), status) in facts(note)


@pytest.mark.parametrize(
    ("note", "attribute", "value"),
    [
        ("white mold on the ears, from the tip down", "mold_start", "tip"),
        ("tan lesions from the tip down, R3", "leaf_zone", "tip"),
        ("pith shredded, black dots on the lower nodes", "black_specks", True),
        ("brown bumps on both sides of the leaf", "lesion_form", "pustule"),
        ("brown bumps on both sides of the leaf", "raised", True),
        ("magnesium deficiency, lower leaves, purple edges", "leaf_zone", "margin"),
        ("lower leaves have yellow edges", "leaf_zone", "margin"),
        ("galls on the ear and the tassel", "plant_part", "tassel"),
        ("midribs still green, leaf edges yellow", "midrib_colour", "green"),
        ("mold at the butt of the ear. No pink", "mold_start", "base"),
        ("tassel turned into a leafy bush", "leafy_tassel", True),
        ("tan spots with a dark rim", "lesion_border_colour", "dark_brown"),
        ("whorl was under water in June", "whorl_water", True),
        ("third leaf down has gray leaf spot", "leaf_from_ear", -3),
        ("gray leaf spot on the third leaf below the ear or higher", "leaf_from_ear", -3),
        ("gray leaf spot at L-2, VT", "leaf_from_ear", -2),
        ("gray leaf spot on every third plant", "incidence_pct", 33),
        ("no lesions on thirty plants", "plants_checked", 30),
        ("pushed thirty and none failed", "push_test_failed", 0),
        ("push 5/100, dent", "push_test_failed", 5),
        ("population thirty four thousand thirty inch rows", "population_per_ac", 34000),
        ("population thirty four thousand thirty inch rows", "row_spacing_in", 30),
        ("spots a sixteenth of an inch", "lesion_size_in", 0.0625),
        ("lesions, length: 2 to 5 in", "lesion_length_in", (2, 5)),
        ("it's been ninety, tar spot low", "temperature_f", 90),
        ("rained .6 on Monday, R2", "rain_in", 0.6),
        ("an inch of rain, R2", "weather", "rain"),
        ("three way nineteen plus eight fifty to put it on", "product_cost_usd_ac", 19),
        ("three way nineteen plus eight fifty to put it on", "application_cost_usd_ac", 8.5),
        ("corn was four thirty, it dropped to three ninety five", "corn_price_usd_bu", 3.95),
        ("the plane is thirteen and he's eight days out", "applicator_lead_days", 8),
        ("chopping it as high moisture in 20 days", "days_to_harvest", 20),
        ("the label says 30 days before harvest", "preharvest_interval_days", 30),
        ("days to pick: 9", "days_to_harvest", 9),
        ("harvest 9 17, R5", "planned_harvest", "2027-09-17"),
        ("silked the twentieth of last month", "silked_on", "2027-06-20"),
        ("planted the last day of April", "planted_on", "2027-04-30"),
        ("hail came through Sunday", "weather_on", "2027-07-25"),
        ("cool wet weekend ahead, R2", "weather", "cool_forecast"),
        ("dented a week ago, tar spot", "growth_stage", "R5"),
        ("hybrid is a 3 for northern where 9 is best", "rating_value", 3),
        ("one to nine scale where nine is best it scores a three", "rating_best_end", 9),
    ],
)
def test_said(note: str, attribute: str, value: object) -> None:
    assert has(note, attribute, value), facts(note)


@pytest.mark.parametrize(
    ("note", "attribute"),
    [
        ("black specks on the leaves, wiped off with a wet thumb", "black_specks"),
        ("raised black bumps, tar spot", "lesion_form"),
        ("hail came through, worms in the whorl", "plant_part"),
        ("the tops are still green, dent", "lesion_colour"),
        ("big gray cigars, four inches long", "lesion_size_like"),
        ("irrigated last week, whorl was under water", "mold_start"),
        ("my fingers are like rawhide, R3", "rubs_off"),
        ("the cigars are four inches long", "growth_stage"),
        ("rain twenty days ago, R2", "temperature_f"),
        ("silked July 8", "growth_stage"),
        ("tassel next week", "growth_stage"),
        ("corn four eleven, three way is nineteen", "active_class"),
    ],
)
def test_not_said(note: str, attribute: str) -> None:
    assert attribute not in {a for a, _value, _status in facts(note)}


def test_a_product_with_a_day_was_sprayed() -> None:
    note = "We put a triazole and strobilurin mix on at tassel ten days ago. Brown silk."
    told = facts(note)
    assert {
        ("sprayed", "True", "present"),
        ("sprayed_on", "2027-07-18", "present"),
        ("spray_stage", "VT", "present"),
        ("growth_stage", "R2", "present"),
    } <= told


def test_a_product_that_is_only_named_was_not_sprayed() -> None:
    assert "sprayed" not in {a for a, _value, _status in facts("who has propiconazole in stock?")}


def test_neither_of_two_ends_was_looked_for() -> None:
    told = facts(
        "Pink mold on the ears. I didn't look whether it starts at the tip or is just scattered kernels."
    )
    assert ("mold_start", "scattered", "not_checked") in told


def test_a_table_of_figures_measures_nothing() -> None:
    assert facts("7 " * 400) == set()
