from __future__ import annotations

import re
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rules.model import Fact, Relation, Scene
from tests.reading_notes import measured, only, plain, read, reader, told

#: The notes and facts of the contract's examples, word for word.  Each entry: field, facts.
EXAMPLES: list[tuple[str, str, list[tuple[str | None, str]]]] = [
    (
        "2027-07-26",
        """Larkin north, tan spots with square ends between the veins, two leaves under the ear,
        seven of twenty plants, nothing comes off. Didn't get up to the tops. Silks are brown.""",
        [
            (
                "Larkin north",
                """field=Larkin north; lesion_colour=tan; lesion_form=spot; lesion_shape=rectangular;
                arrangement=between_veins; canopy_position=below_ear_leaf; leaf_from_ear=-2;
                plants_affected=7; plants_checked=20; incidence_pct=35 derived; rubs_off=yes-;
                canopy_position=upper!; growth_stage=R2""",
            )
        ],
    ),
    (
        "2027-07-30",
        """not quite dough on the Gantt piece, rust on the ear leaf, might be the southern kind,
        brown dust on my thumb no wait orange, couldn't tell about the back side, upper seventies""",
        [
            (
                "Gantt piece",
                """field=Gantt piece; growth_stage=R4 nearing; problem=rust; canopy_position=ear_leaf;
                suspected_problem=southern_rust?; rubs_off=yes; rub=powder; rub_colour=orange;
                leaf_surface=lower~; temperature_f=75..79""",
            )
        ],
    ),
    (
        "2027-08-02",
        """West quarter's clean, dent, kernels a third of the way down. The river place though, black
        specks, raised, both sides, wet my finger and they stay put, fifteen percent of plants,
        susceptible hybrid.""",
        [
            ("West quarter", "field=West quarter; problem=any-; growth_stage=R5; milk_line=0.33"),
            (
                "river place",
                """field=river place; lesion_colour=black; lesion_form=spot; raised=yes; leaf_surface=both;
                rubs_off=yes-; rub=nothing; incidence_pct=15; hybrid_rating=susceptible""",
            ),
        ],
    ),
    (
        "2027-07-12",
        """Neighbor found tar spot Thursday. We don't have any yet. If it shows by blister we'll go with
        a ground rig, twenty two an acre, corn at three eighty five. V14.""",
        [
            (
                None,
                """nearby_find=tar_spot; problem=tar_spot-; total_cost_usd_ac=22; corn_price_usd_bu=3.85;
                growth_stage=V14""",
            )
        ],
    ),
    (
        "2027-08-09",
        """Flew it on the 24th, propiconazole plus azoxystrobin, at tassel. Still finding a few long gray
        cigars, inch and a half, low, maybe two percent. Cool all week, heavy dews. Harvest about
        September twentieth.""",
        [
            (
                None,
                """sprayed=yes; sprayed_on=2027-07-24; spray_method=aerial; spray_stage=VT;
                active_ingredient=propiconazole; active_ingredient=azoxystrobin; lesion_colour=gray;
                lesion_shape=cigar_shaped; lesion_length_in=1.5; canopy_position=lower; severity_pct=2?;
                weather=cool; weather=dew; planned_harvest=2027-09-20 approx""",
            )
        ],
    ),
    (
        "2027-06-20",
        """Hail came through at V7. Leaves shredded, about forty percent gone, new growth's clean,
        no disease that I can see.""",
        [(None, "weather=hail; defoliation_pct=40 approx; new_leaves_clean=yes; problem=any-?")],
    ),
]


def one_line(text: str) -> str:
    return " ".join(text.split())


def whole(fact: Fact) -> str:
    """A fact with everything that the examples say of it."""
    marks = [name for name, on in (("derived", fact.derived), ("approx", fact.approx)) if on]
    if fact.relation not in (None, Relation.AT):
        marks.append(str(fact.relation))
    return " ".join([plain(fact), *marks])


@pytest.mark.parametrize(("on", "note", "entries"), EXAMPLES, ids=[row[0] for row in EXAMPLES])
def test_the_examples_read_exactly_as_listed(
    on: str, note: str, entries: list[tuple[str | None, str]]
) -> None:
    scenes = read(one_line(note), date.fromisoformat(on))
    assert [(scene.field, sorted(map(whole, scene.facts))) for scene in scenes] == [
        (field, sorted(one_line(facts).split("; "))) for field, facts in entries
    ]
    assert [u.text for scene in scenes for u in scene.not_understood] == []


def test_a_denied_sign_carries_its_place_and_the_place_is_clean() -> None:
    facts = {plain(f): f for f in only("pustules up top, nothing raised underneath").facts}
    assert facts["raised=yes-"].where == (("leaf_surface", "lower"),)
    assert "leaf_surface=lower-" in facts


def test_a_bare_upper_is_asked_back_and_no_fact() -> None:
    scene = only("orange pustules on the upper, R3")
    assert scene.ask_back is not None
    assert not {"leaf_surface", "canopy_position"} & {f.attribute for f in scene.facts}


@pytest.mark.parametrize(
    ("note", "fact"),
    [
        ("pustules on the upper leaves", "canopy_position=upper"),
        ("pustules on the upper surface", "leaf_surface=upper"),
        ("pustules on top, none underneath", "leaf_surface=upper"),
    ],
)
def test_side_of_the_leaf_and_upper_leaves_are_never_mixed(note: str, fact: str) -> None:
    scene = only(note)
    assert fact in told([scene])
    assert scene.ask_back is None


def test_words_that_led_to_nothing_are_told() -> None:
    scene = only("gray leaf spot on the ear leaf near the gazebo, R3")
    assert [u.text for u in scene.not_understood] == ["gazebo"]


def test_a_note_without_facts_is_one_scene_with_everything_unread() -> None:
    scene = only("Invoice for the plumber came.")
    assert (scene.field, scene.facts) == (None, ())
    assert "plumber" in " ".join(u.text for u in scene.not_understood)


@pytest.mark.parametrize(
    "note",
    [
        "Hail adjuster brings the small truck.",
        "There's rust on the old pickup and a dent in the door.",
        "We ate popcorn.",
        "My dog is brown.",
        "It was a long day, good night.",
        "Combine needs a new belt and the header is out of line.",
    ],
)
def test_ordinary_talk_states_nothing_of_the_crop(note: str) -> None:
    assert told(read(note)) == []


# ------------------------------------------------------------------ measured notes


def score(change: Callable[[str], str]) -> tuple[float, float]:
    """Recall and precision over the measured notes, each changed first."""
    stated = found = right = 0
    for note, facts in measured():
        expected, got = {f.lower() for f in facts}, {f.lower() for f in told(read(change(note)))}
        stated, found, right = stated + len(expected), found + len(got), right + len(expected & got)
    return right / stated, right / found


def unpunctuated(note: str) -> str:
    return re.sub(r"(?<!\d)[.,;:!?]|[.,;:!?](?!\d)", " ", note)


@pytest.mark.parametrize(
    ("name", "change", "least"),
    [
        ("as written", lambda note: note, 0.98),
        ("lower case", str.lower, 0.96),
        ("upper case", str.upper, 0.96),
        ("no apostrophes", lambda note: note.replace("'", ""), 0.95),
        ("no punctuation", unpunctuated, 0.85),
    ],
)
def test_measured_notes_are_read(name: str, change: Callable[[str], str], least: float) -> None:
    recall, precision = score(change)
    assert recall >= least, name
    assert precision >= least, name


def test_case_never_turns_a_denial_round() -> None:
    for note, _facts in measured():
        flips = {f.rstrip("-?") for f in map(str.lower, told(read(note))) if f.rstrip("?").endswith("-")}
        shouted = {f for f in map(str.lower, told(read(note.upper()))) if not f.rstrip("?").endswith("-")}
        plain_now = {f for f in map(str.lower, told(read(note))) if not f.rstrip("?").endswith("-")}
        assert not (flips & shouted) - plain_now, note


# ------------------------------------------------------------------ any text at all


def sound(text: str, scenes: tuple[Scene, ...]) -> None:
    """Every span lies in the text and holds the words that are said to stand there."""
    assert scenes
    for scene in scenes:
        spots = [(f.span, f.text) for f in scene.facts] + [(r.span, r.heard) for r in scene.repairs]
        for span, words in [*spots, *((u.span, u.text) for u in scene.not_understood)]:
            assert 0 <= span[0] < span[1] <= len(text)
            assert text[slice(*span)] == words
        assert all(i < len(scene.facts) for group in scene.problems for i in group)


WORDS = """
no not rust tar spot orange , . ? if or and the on ear leaf lower underside 5 percent of plants R3 north
eighty at neighbor has don't we 12 of 20 last year no wait scratch that maybe nothing didn't look at
couldn't tell both sides clean same thing over at Hodge's upper
"""
ODD = ["\u0130", "\x1b[31m", "\u202e", "\U0001f33d", "\u00bd", "\u2019"]
SAYINGS = st.sampled_from([*WORDS.split(), *ODD])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(SAYINGS, max_size=60).map(" ".join))
def test_any_run_of_field_words_is_read_soundly(text: str) -> None:
    sound(text, read(text))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=300))
def test_any_string_is_read_soundly(text: str) -> None:
    sound(text, read(text))


@pytest.mark.parametrize(
    "text",
    [
        "a" * 100_000,
        "no " * 30_000,
        "(" * 2_000,
        "if rust or " * 9_000,
        "\x00\x1b[31m" * 5_000,
        "İ" * 3_000,
        "",
    ],
    ids=["one word", "no", "brackets", "if", "controls", "dotted capital", "nothing"],
)
def test_long_and_odd_texts_take_bounded_time(text: str) -> None:
    start = time.perf_counter()
    scenes = read(text)
    assert time.perf_counter() - start < 6  # about 1 s on an idle core
    sound(text, scenes)


def test_a_long_note_says_what_its_parts_say() -> None:
    parts = [
        "Creek field, tar spot on the ear leaf, R3.",
        "Home place, gray leaf spot on the lower leaves, R2.",
    ]
    filler = "We walked and talked about nothing much and then some more. " * 30
    scenes = read(f"{parts[0]} {filler}\n{parts[1]}")
    assert [scene.field for scene in scenes] == ["Creek field", "Home place"]
    assert "problem=gray_leaf_spot" in told(scenes[1:])


def test_the_same_words_give_the_same_scenes() -> None:
    note = one_line(EXAMPLES[1][1])
    assert read(note) == read(note)


def test_a_note_is_read_within_a_blink() -> None:
    note = one_line(f"{EXAMPLES[0][1]} {EXAMPLES[2][1]}")
    reader()
    read(note)
    start = time.perf_counter()
    for _ in range(20):
        read(note)
    assert (time.perf_counter() - start) / 20 < 0.02  # about 2 ms on an idle core


def test_importing_the_reader_does_not_import_spacy() -> None:
    code = "import sys, assistant.reading.reader; sys.exit('spacy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
