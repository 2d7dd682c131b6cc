"""Field names where growers put them: at the head of a note, behind "in" and "on the"; and none elsewhere."""

from __future__ import annotations

import pytest

from tests.reading_notes import ON, only, read, reader, told

#: Notes of one field; the name as it was typed.
NAMED: list[tuple[str, str]] = [
    ("Fennimore south, tan boxes, R3", "Fennimore south"),
    ("elm grove field rust both sides r1", "elm grove field"),
    ("hog barn eighty r2 nothing on it", "hog barn eighty"),
    ("at the schumacher place gray leaf spot on the third leaf down", "schumacher place"),
    ("In Whispering Pines the crop is at R2", "Whispering Pines"),
    ("At Stoneybrook, northern, long gray cigars", "Stoneybrook"),
    ("Walked the Kovacs. R3, tar spot.", "Kovacs"),
    ("we're on the old Danforth quarter, rust on the ear leaf", "old Danforth quarter"),
    ("Gus's back forty has tar spot", "Gus's back forty"),
    ("checked dad's forty, clean", "dad's forty"),
    ("out at Kowalski's, R2, rust both sides", "Kowalski's"),
    ("McAllister's, tar spot, 3 percent, R4", "McAllister's"),
    ("O'Brien place R3 rust", "O'Brien place"),
    ("Big Sandy, V10, no disease", "Big Sandy"),
    ("Two Rivers, R1, clean", "Two Rivers"),
    ("Half Moon forty, V17, clean", "Half Moon forty"),
    ("clean and at dent out on the prairie ten", "prairie ten"),
    ("Norris E40 V12 gls 3/20", "Norris E40"),
    ("Knox W. wht spots. V9.", "Knox W"),
    ("Rye Cr: R2. NCLB 2 in canoes", "Rye Cr"),
    ("crazy top on 2 pl @ Sandbar, R1", "Sandbar"),
    ("N40: V13, clean", "N40"),
    ("pivot four is tasseled and clean", "pivot four"),
    ("Circle 3 R5 tar spot", "Circle 3"),
    ("section 14 has rust", "section 14"),
    ("- Mud Lake\n- V6\n- zinc def? maybe", "Mud Lake"),
    ("Field: Ketchum bench\n- R1, clean", "Ketchum bench"),
    ("1. Prairie Rose field\n2. just shy of tassel", "Prairie Rose field"),
    ("field is blue silo no wait scratch that this is the dairy forty v ten", "dairy forty"),
]

#: Notes in which no field is named: months, people, towns, hybrids, products, weeds, counts, sayings.
UNNAMED: list[str] = [
    "July 20, R2, clean",
    "Monday, rust on the ear leaf",
    "Dave says it's tar spot. R3",
    "Jim said southern rust is in Illinois",
    "rained in Ames but not here, V12",
    "Honest opinion, I couldn't say. R3, rust.",
    "Ragweed's got the spots too. V8, white spots.",
    "Planted to Harlan 5509 on May 3. The Harlan's susceptible.",
    "Azoxystrobin plus propiconazole on July 20",
    "Goss's wilt in here, freckles along the edge",
    "Hot and dry, corn rolling",
    "Bottom leaves firing, short of nitrogen",
    "glossy little black bumps on the lower leaves",
    "Pushed 20 plants, 5 failed",
    "forty plants checked, nothing",
    "Eighty four and wet, southern rust on the ear leaf",
    "R three. Gray leaf spot below the ear.",
    "right now a quarter milk line bottom leaves have gray leaf spot",
    "Costs, all fields:\n- product: $18.40/ac",
    "They confirmed southern rust in the county south of us. R2.",
]


@pytest.mark.parametrize(("note", "field"), NAMED, ids=[row[0][:30] for row in NAMED])
def test_a_name_is_found_where_it_stands(note: str, field: str) -> None:
    scene = only(note)
    assert scene.field == field
    (fact,) = [fact for fact in scene.facts if fact.attribute == "field"]
    assert note[slice(*fact.span)] == fact.text
    assert fact.value == field


@pytest.mark.parametrize("note", UNNAMED, ids=[note[:30] for note in UNNAMED])
def test_no_name_is_made_of_other_words(note: str) -> None:
    assert [scene.field for scene in read(note)] == [None]


@pytest.mark.parametrize(
    ("note", "field"),
    [
        ("n80 r2 clean", "North Eighty"),
        ("north 80: rust", "North Eighty"),
        ("P7 - VT", "Pivot Seven"),
        ("pivot 7 at vt", "Pivot Seven"),
        ("voss has tar spot", "Voss place"),
        ("dutton bot r3 gls", "Dutton bottom"),
    ],
)
def test_what_is_short_for_a_known_field(note: str, field: str) -> None:
    known = ["North Eighty", "Pivot Seven", "Voss place", "Dutton bottom"]
    (scene,) = reader().read(note, on=ON, fields=known)
    assert scene.field == field


def test_short_for_two_known_fields_is_short_for_none() -> None:
    (scene,) = reader().read("voss, tar spot", on=ON, fields=["Voss place", "Voss eighty"])
    assert scene.field not in ("Voss place", "Voss eighty")


SEVERAL: list[tuple[str, list[tuple[str, list[str], list[str]]]]] = [
    (
        "- Heron Pond N: R3, clean\n- Heron Pond S: R2, common rust\n- Heron Pond W: V18, not scouted",
        [
            ("Heron Pond N", ["growth_stage=R3", "problem=any-"], ["problem=common_rust"]),
            ("Heron Pond S", ["growth_stage=R2", "problem=common_rust"], ["problem=any-"]),
            ("Heron Pond W", ["growth_stage=V18", "scouted=yes-"], ["growth_stage=R2"]),
        ],
    ),
    (
        "two fields hanover clean dent mapleton has rust on the ear leaf",
        [
            ("hanover", ["problem=any-", "growth_stage=R5"], ["problem=rust"]),
            ("mapleton", ["problem=rust", "canopy_position=ear_leaf"], ["growth_stage=R5"]),
        ],
    ),
    (
        "the halverson north is v seventeen and clean and by the time i got there we were at the "
        "halverson south and that one is tasseled",
        [
            ("halverson north", ["growth_stage=V17", "problem=any-"], ["growth_stage=VT"]),
            ("halverson south", ["growth_stage=VT"], ["growth_stage=V17", "problem=any-"]),
        ],
    ),
]


@pytest.mark.parametrize(("note", "fields"), SEVERAL, ids=[row[0][:20] for row in SEVERAL])
def test_every_fact_is_with_its_field_alone(
    note: str, fields: list[tuple[str, list[str], list[str]]]
) -> None:
    scenes = read(note)
    assert [scene.field for scene in scenes] == [field for field, _has, _lacks in fields]
    for scene, (_field, has, lacks) in zip(scenes, fields, strict=True):
        facts = set(told([scene]))
        assert set(has) <= facts
        assert not set(lacks) & facts
