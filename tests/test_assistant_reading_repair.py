from __future__ import annotations

import pytest

from assistant.reading.word_tables import load
from tests.reading_notes import only, read, told


@pytest.mark.parametrize(
    ("note", "heard", "fact"),
    [
        ("orange postules on the ear leaf", "postules", "lesion_form=pustule"),
        ("tan legions on the lower leaves", "legions", "lesion_form=lesion"),
        ("gauss wilt on the ear leaf", "gauss wilt", "problem=goss_wilt"),
        ("great leaf spot on the lower leaves", "great leaf spot", "problem=gray_leaf_spot"),
        ("anthrac nose on the bottom leaves", "anthrac nose", "problem=anthracnose_leaf_blight"),
        ("tar spot at are three on the ear leaf", "are three", "growth_stage=R3"),
        ("physoderna on the midrib", "physoderna", "problem=physoderma_brown_spot"),
        ("rust in the lower can of pee", "can of pee", "canopy_position=lower"),
        ("sprayed with propiconizole", "propiconizole", "active_ingredient=propiconazole"),
    ],
)
def test_a_slip_is_put_right_and_the_words_kept(note: str, heard: str, fact: str) -> None:
    scene = only(note)
    assert fact in told([scene])
    assert [repair.heard for repair in scene.repairs] == [heard]
    assert [note[slice(*repair.span)] for repair in scene.repairs] == [heard]


@pytest.mark.parametrize(
    "note",
    [
        "The legions of Rome marched on.",
        "It is a relief to be home and the castle is far.",
        "Kids are three and five years old.",
        "We drove to town for parts, lunch and a haircut.",
        "Neighbors brought sandwiches, lemonade and brownies over yesterday evening.",
        "The auction starts at nine, tractors and wagons first, then household goods.",
    ],
)
def test_ordinary_words_are_left_alone(note: str) -> None:
    assert [repair for scene in read(note) for repair in scene.repairs] == []


def test_field_names_are_left_alone() -> None:
    scene = only("Rustad farm, tan spots on the ear leaf")
    assert scene.field == "Rustad farm"
    assert scene.repairs == ()


def test_clean_notes_need_no_repair() -> None:
    from tests.reading_notes import measured

    assert [repair for note, _facts in measured() for scene in read(note) for repair in scene.repairs] == []


def test_shorthand_is_read_without_a_repair() -> None:
    scene = only("VT, GLS <1% bttm lvs, N-T C-C")
    assert {
        "problem=gray_leaf_spot",
        "canopy_position=lower",
        "tillage=no_till",
        "previous_crop=corn",
    } <= set(told([scene]))
    assert scene.repairs == ()


def test_the_ordinary_words_hold_no_word_that_only_the_trade_uses() -> None:
    words = load()
    assert not {"pustules", "physoderma", "anthracnose", "diplodia", "azoxystrobin"} & words.ordinary
    assert {"legions", "relief", "castle", "grass"} <= words.ordinary
