from __future__ import annotations

import pytest

from rules.model import Scene
from tests.reading_notes import ON, only, read, reader, told

#: note -> field (None where none is named) -> some facts of that field.
SEVERAL: list[tuple[str, list[tuple[str | None, list[str]]]]] = [
    (
        "north eighty looks clean. Over at the creek bottom field, tar spot on the ear leaf, R3.",
        [("north eighty", ["problem=any-"]), ("creek bottom field", ["problem=tar_spot", "growth_stage=R3"])],
    ),
    (
        "gray leaf spot in the north eighty and tar spot at the river farm",
        [("north eighty", ["problem=gray_leaf_spot"]), ("river farm", ["problem=tar_spot"])],
    ),
    (
        "R2 here, common rust down low. Went on to the home quarter, R3, southern rust on the ear leaf.",
        [
            (None, ["growth_stage=R2", "problem=common_rust"]),
            ("home quarter", ["growth_stage=R3", "problem=southern_rust"]),
        ],
    ),
    (
        "back forty clean home quarter has gray leaf spot at five percent east section not scouted",
        [
            ("back forty", ["problem=any-"]),
            ("home quarter", ["problem=gray_leaf_spot", "severity_pct=5"]),
            ("east section", ["scouted=yes-"]),
        ],
    ),
    (
        "tar spot found in the west section, 3 percent. None in the east section.",
        [("west section", ["problem=tar_spot", "severity_pct=3"]), ("east section", ["problem=tar_spot-"])],
    ),
    (
        "North Eighty: VT, no disease. South Forty: R1, common rust.",
        [("North Eighty", ["growth_stage=VT", "problem=any-"]), ("South Forty", ["growth_stage=R1"])],
    ),
    (
        "both the north eighty and the south forty have gray leaf spot",
        [("north eighty", ["problem=gray_leaf_spot"]), ("south forty", ["problem=gray_leaf_spot"])],
    ),
    (
        "lesions on lower leaves in the home place, then at the old hill farm nothing but holcus spots, R4",
        [
            ("home place", ["lesion_form=lesion"]),
            ("old hill farm", ["problem=holcus_spot", "growth_stage=R4"]),
        ],
    ),
    (
        "Tar spot at the Miller farm, black raised spots. Same thing over at Hodge's.",
        [
            ("Miller farm", ["problem=tar_spot", "raised=yes"]),
            ("Hodge's", ["problem=tar_spot", "raised=yes"]),
        ],
    ),
    ("Not as bad as the north eighty. Two percent tar spot at dent.", [(None, ["problem=tar_spot"])]),
]


@pytest.mark.parametrize(("note", "fields"), SEVERAL, ids=[row[0][:30] for row in SEVERAL])
def test_each_fact_goes_to_its_field(note: str, fields: list[tuple[str | None, list[str]]]) -> None:
    scenes = read(note)
    assert [scene.field for scene in scenes] == [field for field, _facts in fields]
    for scene, (_field, facts) in zip(scenes, fields, strict=True):
        assert set(facts) <= set(told([scene]))


@pytest.mark.parametrize(
    ("note", "field"),
    [
        ("Larkin north, tan spots, R2", "Larkin north"),
        ("larkin north tan spots on the ear leaf", "larkin north"),
        ("Scouted the Miller farm. Physoderma on the midrib.", "Miller farm"),
        ("tan spots on the Gantt piece", "Gantt piece"),
        ("West quarter's clean", "West quarter"),
        ("Pulled into Schroeder's place, gray leaf spot", "Schroeder's place"),
        ("back forty: orange pustules", "back forty"),
    ],
)
def test_a_name_is_found_as_it_was_typed(note: str, field: str) -> None:
    assert only(note).field == field


@pytest.mark.parametrize(
    "note",
    [
        "this field is clean",
        "across the whole field",
        "gray leaf spot on a third of the field",
        "tan spots, boxy, one quarter of the leaf",
        "orange pustules, R3",
        "eighty degrees and humid",
        "it's in the low ground",
    ],
)
def test_what_is_no_name_names_no_field(note: str) -> None:
    assert only(note).field is None


def test_a_known_field_is_found_in_any_case_and_with_figures() -> None:
    (scene,) = reader().read("SPRING DRAW 80 has tar spot", on=ON, fields=["Spring Draw Eighty"])
    assert scene.field == "Spring Draw Eighty"


def signs(scene: Scene) -> list[set[str]]:
    return [{f"{scene.facts[i].attribute}={scene.facts[i].value}" for i in group} for group in scene.problems]


def test_a_second_thing_is_a_second_problem() -> None:
    groups = signs(only("orange pustules on the lower leaves, also long tan cigar shaped lesions up high"))
    assert len(groups) == 2
    assert "lesion_form=pustule" in groups[0]
    assert {"lesion_form=lesion", "lesion_colour=tan"} <= groups[1]


def test_two_stated_names_are_two_problems() -> None:
    groups = signs(only("gray leaf spot down low and tar spot on the ear leaf"))
    assert [next(iter(g & {"problem=gray_leaf_spot", "problem=tar_spot"})) for g in groups] == [
        "problem=gray_leaf_spot",
        "problem=tar_spot",
    ]


def test_guesses_at_one_thing_are_one_problem() -> None:
    assert len(only("looks like goss's wilt but could be northern leaf blight, tan lesions").problems) == 1


def test_a_clean_field_has_no_problem() -> None:
    assert only("clean top to bottom, R3").problems == ()
