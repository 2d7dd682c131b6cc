"""Quantities in notes: each row is what was said and every fact that it states."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.reading.measures import find
from assistant.reading.sheet import bounds
from assistant.reading.tokens import Found
from tests.reading_tokens import facts, text_of, tokens, words

Rows = list[tuple[str, dict[str, object]]]

TEMPERATURE: Rows = [
    ("85F", {"temperature_f": 85}),
    ("85°F", {"temperature_f": 85}),
    ("85 degrees", {"temperature_f": 85}),
    ("85 degrees F", {"temperature_f": 85}),
    ("85 F.", {"temperature_f": 85}),
    ("88°, hvy dew", {"temperature_f": 88}),
    ("eighty five degrees", {"temperature_f": 85}),
    ("one hundred two degrees", {"temperature_f": 102}),
    ("one oh two degrees", {"temperature_f": 102}),
    ("85 to 90 degrees", {"temperature_f": (85, 90)}),
    ("mid eighties", {"temperature_f": (84, 86)}),
    ("upper seventies", {"temperature_f": (75, 79)}),
    ("ninety plus degrees", {"temperature_f": 90}),
    ("highs in the upper 70s", {"temperature_high_f": (75, 79)}),
    ("highs 97", {"temperature_high_f": 97}),
    ("high of 88", {"temperature_high_f": 88}),
    ("lows in the seventies", {"temperature_low_f": (70, 79)}),
    ("70 at night", {"temperature_low_f": 70}),
    ("nights in the 60s", {"temperature_low_f": (60, 69)}),
    ("highs near ninety lows around 70", {"temperature_high_f": 90, "temperature_low_f": 70}),
    ("88 and humid", {"temperature_f": 88}),
    ("it's 90 out", {"temperature_f": 90}),
    ("92 today", {"temperature_f": 92}),
    ("R2, 85, dry", {"growth_stage": "R2", "temperature_f": 85}),
    ("temp 85", {"temperature_f": 85}),
    ("29 C", {"temperature_c": 29}),
    ("29c", {"temperature_c": 29}),
    ("29 celsius", {"temperature_c": 29}),
]

AIR_AND_WATER: Rows = [
    ("humidity 85 percent", {"humidity_pct": 85}),
    ("90% humidity", {"humidity_pct": 90}),
    ("rh 95", {"humidity_pct": 95}),
    ("humidity in the eighties", {"humidity_pct": (80, 89)}),
    ("an inch of rain", {"rain_in": 1}),
    ("two and a half inches of rain", {"rain_in": 2.5}),
    ("inch and a half of rain", {"rain_in": 1.5}),
    ("got two inches last night", {"rain_in": 2}),
    ("rained an inch", {"rain_in": 1}),
    ("eight tenths of rain", {"rain_in": 0.8}),
    ("had eight tenths Tuesday", {"rain_in": 0.8}),
    ("30 mm of rain", {"rain_mm": 30}),
    ("3 cm of rain", {"rain_mm": 30}),
    ("wind 10 mph", {"wind_speed_mph": 10}),
    ("winds 15 to 20 mph", {"wind_speed_mph": (15, 20)}),
    ("sixty mile an hour winds", {"wind_speed_mph": 60}),
    ("gusting to 50", {"wind_speed_mph": 50}),
]

SHARES: Rows = [
    ("ninety percent", {"percent": 90}),
    ("90%", {"percent": 90}),
    ("15 to 20 percent", {"percent": (15, 20)}),
    ("15-20%", {"percent": (15, 20)}),
    ("15–20 %", {"percent": (15, 20)}),
    ("<1%", {"percent": 1}),
    ("one and a half percent", {"percent": 1.5}),
    ("15 percent of the plants", {"incidence_pct": 15}),
    ("ninety percent incidence", {"incidence_pct": 90}),
    ("10% inc", {"incidence_pct": 10}),
    ("15% plts", {"incidence_pct": 15}),
    ("incidence 30", {"incidence_pct": 30}),
    ("twelve percent severity", {"severity_pct": 12}),
    ("severity <1%", {"severity_pct": 1}),
    ("three percent of the leaf", {"severity_pct": 3}),
    ("two percent of the leaf covered", {"severity_pct": 2}),
    ("ten percent of the ear leaf", {"severity_pct": 10}),
    ("3% on the leaf above", {"severity_pct": 3}),
    ("2-3% EL", {"severity_pct": (2, 3)}),
    ("about a quarter of the ear leaf", {"severity_pct": 25}),
    ("severity five percent incidence thirty percent", {"severity_pct": 5, "incidence_pct": 30}),
    ("thirty percent incidence five percent severity", {"severity_pct": 5, "incidence_pct": 30}),
    ("half the plants", {"incidence_pct": 50}),
    ("half of the plants", {"incidence_pct": 50}),
    ("a third of plants", {"incidence_pct": 33}),
    ("two thirds of the plants", {"incidence_pct": 67}),
    ("every plant has it", {"incidence_pct": 100}),
    ("nearly every plant", {"incidence_pct": 100}),
    ("every other plant", {"incidence_pct": 50}),
    ("one plant in ten", {"incidence_pct": 10}),
    ("one in ten plants", {"incidence_pct": 10}),
    ("about forty percent gone", {"defoliation_pct": 40}),
    ("30 percent leaf loss", {"defoliation_pct": 30}),
    ("forty percent of the leaf area gone", {"defoliation_pct": 40}),
    ("about 60 percent residue", {"residue_pct": 60}),
    ("residue 45%", {"residue_pct": 45}),
    ("70 percent chance of rain", {}),
    ("80 percent sure", {}),
    ("50% silked", {}),
]

COUNTS: Rows = [
    ("9 out of 10 plants", {"plants_affected": 9, "plants_checked": 10, "incidence_pct": 90}),
    ("8 of 20", {"plants_affected": 8, "plants_checked": 20, "incidence_pct": 40}),
    ("7 of 20 plants", {"plants_affected": 7, "plants_checked": 20, "incidence_pct": 35}),
    ("seven in thirty", {"plants_affected": 7, "plants_checked": 30, "incidence_pct": 23.3}),
    ("two in ten plants", {"plants_affected": 2, "plants_checked": 10, "incidence_pct": 20}),
    ("2/10 plts", {"plants_affected": 2, "plants_checked": 10, "incidence_pct": 20}),
    ("18 of 120 plants", {"plants_affected": 18, "plants_checked": 120, "incidence_pct": 15}),
    ("three plants out of twenty five", {"plants_affected": 3, "plants_checked": 25, "incidence_pct": 12}),
    ("in 4 of 40 ears", {"plants_affected": 4, "plants_checked": 40, "incidence_pct": 10}),
    (
        "north eighty seven of twenty plants",
        {"plants_affected": 7, "plants_checked": 20, "incidence_pct": 35},
    ),
    ("checked 20 plants, 7 had it", {"plants_affected": 7, "plants_checked": 20, "incidence_pct": 35}),
    ("checked fifty plants", {"plants_checked": 50}),
    ("found it on three plants", {"plants_affected": 3}),
    ("4 lesions per leaf", {"lesions_per_leaf": 4, "lesion_form": "lesion"}),
    ("two spots a leaf", {"lesions_per_leaf": 2, "lesion_form": "spot"}),
    ("20 pustules on the ear leaf", {"lesions_per_leaf": 20, "lesion_form": "pustule"}),
    ("five lesions per plant", {"lesions_per_plant": 5, "lesion_form": "lesion"}),
    ("3 per leaf", {"lesions_per_leaf": 3}),
    ("thirty percent failed the push test", {"push_test_failed": 30}),
]

SIZES: Rows = [
    ("half inch", {"lesion_size_in": 0.5}),
    ("half an inch", {"lesion_size_in": 0.5}),
    ("half-inch spots", {"lesion_size_in": 0.5}),
    ("quarter inch", {"lesion_size_in": 0.25}),
    ("three quarters of an inch", {"lesion_size_in": 0.75}),
    ("1/16 in", {"lesion_size_in": 0.0625}),
    ("1/16in black dots", {"lesion_size_in": 0.0625}),
    ("one sixteenth inch", {"lesion_size_in": 0.0625}),
    ("an eighth of an inch", {"lesion_size_in": 0.125}),
    ("5/8 inch", {"lesion_size_in": 0.625}),
    ("1 1/2 inches", {"lesion_size_in": 1.5}),
    ("1-1/2 inches", {"lesion_size_in": 1.5}),
    ("one and a half inches", {"lesion_size_in": 1.5}),
    ('3" lesions', {"lesion_size_in": 3}),
    ("1 to 2 inches long", {"lesion_length_in": (1, 2)}),
    ("an inch long", {"lesion_length_in": 1}),
    ("half an inch wide", {"lesion_width_in": 0.5}),
    ("half inch across", {"lesion_size_in": 0.5}),
    ("long gray cigars, inch and a half, low", {"lesion_length_in": 1.5}),
    ("1/8 by 2 inches", {"lesion_length_in": 2, "lesion_width_in": 0.125}),
    ("2 inches by a quarter inch", {"lesion_length_in": 2, "lesion_width_in": 0.25}),
    ("3 inches long and half an inch wide", {"lesion_length_in": 3, "lesion_width_in": 0.5}),
    ("2 mm", {"lesion_size_mm": 2}),
    ("2mm", {"lesion_size_mm": 2}),
    ("5 cm", {"lesion_size_mm": 50}),
    ("15 mm by 3 mm", {"lesion_size_mm": 15}),
    ("pinhead tan spots", {"lesion_size_like": "pinhead"}),
    ("match head size", {"lesion_size_like": "match_head"}),
    ("no bigger than a match head", {"lesion_size_like": "match_head"}),
    ("size of a dime", {"lesion_size_like": "dime"}),
    ("dime sized", {"lesion_size_like": "dime"}),
    ("nickel-sized", {"lesion_size_like": "nickel"}),
    ("quarter size", {"lesion_size_like": "quarter"}),
    ("pencil eraser size", {"lesion_size_like": "pencil_eraser"}),
    ("pepper grain", {"lesion_size_like": "pepper_grain"}),
    ("poppy seed size", {"lesion_size_like": "poppy_seed"}),
    ("thirty inch rows", {"row_spacing_in": 30}),
    ('30" rows', {"row_spacing_in": 30}),
    ("15-inch rows", {"row_spacing_in": 15}),
    ("corn is 20 inches tall", {}),
    ("forty feet of pipe", {}),
]

STAGES: Rows = [
    ("R three", {"growth_stage": "R3"}),
    ("R3", {"growth_stage": "R3"}),
    ("r 3", {"growth_stage": "R3"}),
    ("R-3", {"growth_stage": "R3"}),
    ("V-T", {"growth_stage": "VT"}),
    ("V-T.", {"growth_stage": "VT"}),
    ("VT", {"growth_stage": "VT"}),
    ("v 12", {"growth_stage": "V12"}),
    ("v twelve", {"growth_stage": "V12"}),
    ("V12", {"growth_stage": "V12"}),
    ("six leaf stage", {"growth_stage": "V6"}),
    ("eight collars", {"growth_stage": "V8"}),
    ("r5.5", {"growth_stage": "R5"}),
    ("R4-R5", {"growth_stage": "R4-R5"}),
    ("R3/R4", {"growth_stage": "R3-R4"}),
    ("r4 to r5", {"growth_stage": "R4-R5"}),
    ("R4 or 5", {"growth_stage": "R4-R5"}),
    ("between V6 and V8", {"growth_stage": "V6-V8"}),
    ("VT/R1", {"growth_stage": "VT-R1"}),
    ("v twelve eighty percent of plants", {"growth_stage": "V12", "incidence_pct": 80}),
    ("R4 or 5 percent of plants", {"growth_stage": "R4", "incidence_pct": 5}),
    ("half milk line", {"milk_line": 0.5, "growth_stage": "R5"}),
    ("1/2 milk line", {"milk_line": 0.5, "growth_stage": "R5"}),
    ("1/2 milk, stalks ok", {"milk_line": 0.5, "growth_stage": "R5"}),
    ("3/4 milk line", {"milk_line": 0.75, "growth_stage": "R5"}),
    ("3/4 starch", {"milk_line": 0.75, "growth_stage": "R5"}),
    ("quarter milk line", {"milk_line": 0.25, "growth_stage": "R5"}),
    ("quarter milk line left", {"milk_line": 0.75, "growth_stage": "R5"}),
    ("milk line a third of the way down", {"milk_line": 0.33, "growth_stage": "R5"}),
    ("kernels a third of the way down", {"milk_line": 0.33, "growth_stage": "R5"}),
    ("milk line is halfway down", {"milk_line": 0.5, "growth_stage": "R5"}),
    ("milk line at half", {"milk_line": 0.5, "growth_stage": "R5"}),
    ("50% milk line", {"milk_line": 0.5, "growth_stage": "R5"}),
    ("milk stage", {}),
]

LEAVES: Rows = [
    ("two leaves under the ear", {"leaf_from_ear": -2, "canopy_position": "below_ear_leaf"}),
    ("third leaf below the ear", {"leaf_from_ear": -3, "canopy_position": "below_ear_leaf"}),
    ("ear leaf minus three", {"leaf_from_ear": -3, "canopy_position": "below_ear_leaf"}),
    ("two leaves down from the ear", {"leaf_from_ear": -2, "canopy_position": "below_ear_leaf"}),
    ("two or three leaves below the ear", {"leaf_from_ear": (-3, -2), "canopy_position": "below_ear_leaf"}),
    ("one above the ear leaf", {"leaf_from_ear": 1, "canopy_position": "above_ear_leaf"}),
    ("ear leaf plus one", {"leaf_from_ear": 1, "canopy_position": "above_ear_leaf"}),
    ("the leaf just above the ear leaf", {"leaf_from_ear": 1, "canopy_position": "above_ear_leaf"}),
    ("every leaf above the ear", {}),
    ("ear leaf", {}),
    ("4 inches above the ear", {"lesion_size_in": 4}),
]

WAITS: Rows = [
    ("week from tassel", {"days_to_tassel": 7}),
    ("ten days to tassel", {"days_to_tassel": 10}),
    ("tassel in ten days", {"days_to_tassel": 10}),
    ("three weeks to black layer", {"days_to_maturity": 21}),
    ("two to three weeks to black layer", {"days_to_maturity": (14, 21)}),
    ("six weeks to harvest", {"days_to_harvest": 42}),
    ("harvest in three weeks", {"days_to_harvest": 21}),
    ("rescout in a week", {"rescout_in_days": 7}),
    ("come back in ten days", {"rescout_in_days": 10}),
    ("rescout in 7-10 days", {"rescout_in_days": (7, 10)}),
    ("in a week we'll look again", {"rescout_in_days": 7}),
    ("applicator is 5 days out", {"applicator_lead_days": 5}),
    ("plane needs three days notice", {"applicator_lead_days": 3}),
    ("30 day phi", {"preharvest_interval_days": 30}),
    ("phi is 30 days", {"preharvest_interval_days": 30}),
    ("14-day pre-harvest interval", {"preharvest_interval_days": 14}),
    ("sprayed two weeks ago", {}),
    ("black layer two weeks ago", {}),
]

MONEY: Rows = [
    ("two hundred bushel corn", {"yield_potential_bu_ac": 200}),
    ("two hundred twenty bushel corn", {"yield_potential_bu_ac": 220}),
    ("two ten bushel corn", {"yield_potential_bu_ac": 210}),
    ("200 bu/ac", {"yield_potential_bu_ac": 200}),
    ("200bu/ac", {"yield_potential_bu_ac": 200}),
    ("one eighty corn", {"yield_potential_bu_ac": 180}),
    ("180 to 200 bushel", {"yield_potential_bu_ac": (180, 200)}),
    ("yield potential 220", {"yield_potential_bu_ac": 220}),
    ("12 t/ha", {"yield_potential_t_ha": 12}),
    ("ten bushel loss", {}),
    ("$4.10 corn", {"corn_price_usd_bu": 4.1}),
    ("four ten corn", {"corn_price_usd_bu": 4.1}),
    ("three ninety corn", {"corn_price_usd_bu": 3.9}),
    ("3.85 corn", {"corn_price_usd_bu": 3.85}),
    ("four dollar corn", {"corn_price_usd_bu": 4}),
    ("four dollars a bushel", {"corn_price_usd_bu": 4}),
    ("four dollars and ten cents", {"corn_price_usd_bu": 4.1}),
    ("4.25 a bushel", {"corn_price_usd_bu": 4.25}),
    ("corn at three eighty five", {"corn_price_usd_bu": 3.85}),
    ("cash price 3.95", {"corn_price_usd_bu": 3.95}),
    ("200bu, $4.05, R3", {"yield_potential_bu_ac": 200, "corn_price_usd_bu": 4.05, "growth_stage": "R3"}),
    ("nine an acre to fly it", {"application_cost_usd_ac": 9}),
    ("thirty two an acre all in", {"total_cost_usd_ac": 32}),
    ("thirty two fifty an acre", {"total_cost_usd_ac": 32.5}),
    ("twenty six with the ground rig", {"total_cost_usd_ac": 26}),
    ("$38 an acre to spray", {"total_cost_usd_ac": 38}),
    ("we'd be into it twenty eight an acre", {"total_cost_usd_ac": 28}),
    (
        "product is 18 an acre and 12 an acre to fly it",
        {"product_cost_usd_ac": 18, "application_cost_usd_ac": 12},
    ),
    ("15 gallons an acre", {"spray_volume_gal_ac": 15}),
    ("2 gpa", {"spray_volume_gal_ac": 2}),
    ("planted at 34,000", {"population_per_ac": 34000}),
    ("34 thousand population", {"population_per_ac": 34000}),
    ("rated a 4 out of 9 where 9 is best", {"rating_value": 4, "rating_best_end": 9}),
    ("a two on a one to nine scale with nine good", {"rating_value": 2, "rating_best_end": 9}),
    ("rated 3 on a scale of 1 to 9, 1 is best", {"rating_value": 3, "rating_best_end": 1}),
    ("rated 3 on a scale of 1 to 9 where 9 is worst", {"rating_value": 3, "rating_best_end": 1}),
    ("scores a 6 for gray leaf spot", {"rating_value": 6}),
]

#: Said otherwise than the rows above, tried after they held.
OTHERWISE: Rows = [
    ("out of 25 plants I found it on 6", {"plants_affected": 6, "plants_checked": 25, "incidence_pct": 24}),
    (
        "walked twenty plants and nine of them had rust",
        {"plants_affected": 9, "plants_checked": 20, "incidence_pct": 45},
    ),
    ("4 out of the 20 plants I looked at", {"plants_affected": 4, "plants_checked": 20, "incidence_pct": 20}),
    ("leaf area covered maybe 3 percent", {"severity_pct": 3}),
    ("as long as my finger", {"lesion_size_like": "finger_length"}),
    ("two inches by an eighth", {"lesion_length_in": 2, "lesion_width_in": 0.125}),
    ("it hit ninety five yesterday", {"temperature_f": 95}),
    ("it got down to seventy two last night", {"temperature_low_f": 72}),
    ("wind out of the south fifteen to twenty five", {"wind_speed_mph": (15, 25)}),
    ("a week to ten days from tassel", {"days_to_tassel": (7, 10)}),
    ("co-op is backed up a week", {"applicator_lead_days": 7}),
    ("ten bucks to put it on", {"application_cost_usd_ac": 10}),
    ("thirty four thousand plants per acre in thirties", {"population_per_ac": 34000}),
    ("population thirty three five", {"population_per_ac": 33500}),
    ("hail took about 30 percent of the leaf area", {"defoliation_pct": 30}),
    ("leaves are about half gone", {"defoliation_pct": 50}),
    ("four oh five corn", {"corn_price_usd_bu": 4.05}),
    ("four and a quarter corn", {"corn_price_usd_bu": 4.25}),
    ("material is nineteen fifty an acre", {"product_cost_usd_ac": 19.5}),
    ("expecting one ninety to two ten", {"yield_potential_bu_ac": (190, 210)}),
    ("an inch and a quarter of rain", {"rain_in": 1.25}),
    ("4 inch diameter patch", {}),
    ("14 oz an acre", {}),
    ("two miles east, half mile from the river", {}),
]

NOTHING = [
    "twenty rows in",
    "one of the plants",
    "there are two fields",
    "section 8",
    "in the eighty",
    "I walked in forty rows",
    "the north eighty",
    "Group 3 plus group 11",
    "second year corn",
    "5 of 8 rows",
    "3 of 10 leaves",
    "back in the nineties",
    "sprayed 7/9 at tassel",
    "July 12 was the big storm",
    "V45 and R9",
]

ROWS = [*TEMPERATURE, *AIR_AND_WATER, *SHARES, *COUNTS, *SIZES, *STAGES, *LEAVES, *WAITS, *MONEY, *OTHERWISE]


def read(text: str) -> list[Found]:
    return find(tokens(text))


@pytest.mark.parametrize(("text", "expected"), ROWS)
def test_said(text: str, expected: dict[str, object]) -> None:
    assert facts(read(text)) == sorted(expected.items(), key=str)


@pytest.mark.parametrize("text", NOTHING)
def test_no_quantity(text: str) -> None:
    assert read(text) == []


@pytest.mark.parametrize(
    "text",
    [
        "pushed 20, 6 went over",
        "six of twenty failed the push test",
        "pinch test 6 of 20",
        "push test fails 6 of 20",
    ],
)
def test_push_test(text: str) -> None:
    assert facts(read(text)) == [("plants_checked", 20), ("push_test_failed", 30), ("push_test_failed", 6)]
    assert [one.value for one in read(text) if one.unit == "%"] == [30]


def test_arithmetic_is_marked() -> None:
    assert {one.attribute: one.derived for one in read("7 of 20 plants")} == {
        "plants_affected": False,
        "plants_checked": False,
        "incidence_pct": True,
    }


@pytest.mark.parametrize(
    "text", ["about 30 percent of plants", "severity <1%", "about a quarter of the ear leaf"]
)
def test_about_is_approximate(text: str) -> None:
    assert [one.approx for one in read(text)] == [True]


@pytest.mark.parametrize(
    ("text", "value"),
    [("150 percent", 150), ("116 inch spots", 116), ("140 degrees", 140), ("900 bushel corn", 900)],
)
def test_out_of_bounds_is_handed_on(text: str, value: float) -> None:
    assert facts(read(text)) == [("out_of_bounds", value)]


def test_bounds_are_those_of_the_vocabulary() -> None:
    assert bounds()["severity_pct"] == (0, 100)
    narrow = {**bounds(), "temperature_f": (50, 80)}
    assert facts(find(tokens("85 degrees"), narrow)) == [("out_of_bounds", 85)]


@pytest.mark.parametrize(
    ("text", "covered"),
    [
        ("orange, 15 percent of the plants, low", "15 percent of the plants"),
        ("tan, ten percent of the ear leaf", "ten percent"),
        ("lesions 1 to 2 inches long on it", "1 to 2 inches long"),
        ("say two ten bushel corn here", "say two ten bushel corn"),
        ("it's two leaves under the ear now", "two leaves under the ear"),
        ("milk line a third of the way down today", "milk line a third of the way down"),
    ],
)
def test_the_words_that_say_it(text: str, covered: str) -> None:
    row = tokens(text)
    assert {text_of(one, row, text) for one in find(row)} == {covered}


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (("85º",), ("temperature_f", 85)),
        (("85", "f."), ("temperature_f", 85)),
        (("85", "°", "f"), ("temperature_f", 85)),
        (("v", "-", "t."), ("growth_stage", "VT")),
        (("200bu",), ("yield_potential_bu_ac", 200)),
        (("2mm",), ("lesion_size_mm", 2)),
        (("2", "mm"), ("lesion_size_mm", 2)),
        (("1/16in",), ("lesion_size_in", 0.0625)),
        (("15–20", "%"), ("percent", (15, 20))),
        (("el-1",), ("leaf_from_ear", -1)),
        (("ear", "leaf", "-3"), ("leaf_from_ear", -3)),
    ],
)
def test_other_shapes_of_tokens(row: tuple[str, ...], expected: tuple[str, object]) -> None:
    assert expected in facts(find(words(*row)))


@pytest.mark.parametrize(
    ("text", "covered"),
    [
        ("leaf area covered maybe 3 percent", "3 percent"),
        ("severity probably 5 percent", "5 percent"),
        ("milk line maybe half", "half"),
    ],
)
def test_words_of_doubt_stay_outside(text: str, covered: str) -> None:
    row = tokens(text)
    assert {text_of(one, row, text) for one in find(row)} == {covered}


def test_a_new_line_parts_what_is_said() -> None:
    assert facts(read("severity\n12 percent of plants")) == [("incidence_pct", 12)]


@given(st.lists(st.text(min_size=1, max_size=8).filter(lambda word: not word.isspace()), max_size=25))
def test_any_tokens_are_read(spoken: list[str]) -> None:
    row = words(*(word.lower() for word in spoken))
    assert all(0 <= one.first < one.last <= len(row) for one in find(row))


_PIECES = [text for text, _ in ROWS]


@given(st.lists(st.sampled_from(_PIECES), min_size=1, max_size=6), st.sampled_from([" ", ", ", ". "]))
def test_pieces_of_notes_in_any_order_are_read(pieces: list[str], joint: str) -> None:
    row = tokens(joint.join(pieces))
    for one in find(row):
        assert 0 <= one.first < one.last <= len(row)


#: A piece that ends with "in" makes no sentence with a dot: "1/16 in. long" is one measure.
_SENTENCES = [(t, e) for t, e in ROWS if "percent" not in e and not t.endswith(" in")]


@given(st.lists(st.sampled_from(_SENTENCES), min_size=1, max_size=4))
def test_sentences_do_not_disturb_each_other(pieces: list[tuple[str, dict[str, object]]]) -> None:
    """Two sentences state what each states alone."""
    row = tokens(". ".join(text.rstrip(".") for text, _ in pieces) + ".")
    expected = sorted((pair for _, facts_of in pieces for pair in facts_of.items()), key=str)
    assert facts(find(row)) == expected
