from __future__ import annotations

import pytest

from rules.model import Check, Scene, Status, Value
from tests.reading_notes import ON, reader, told

Stated = tuple[tuple[str, Value, Status], ...]


def check(attribute: str, yes: Stated = (), no: Stated = ()) -> Check:
    return Check(
        id=attribute,
        ask="?",
        attribute=attribute,
        separates=("a", "b"),
        would_change_decision=True,
        yes=yes,
        no=no,
    )


FLIP = check(
    "leaf_surface",
    yes=(("leaf_surface", "both", Status.PRESENT),),
    no=(("leaf_surface", "lower", Status.ABSENT),),
)
RUB = check("rubs_off", yes=(("rubs_off", True, Status.PRESENT),), no=(("rubs_off", True, Status.ABSENT),))
EAR = check(
    "canopy_position",
    yes=(("canopy_position", "ear_leaf", Status.PRESENT),),
    no=(("canopy_position", "ear_leaf", Status.ABSENT),),
)
COLOUR = check("rub_colour")
COUNT = check("incidence_pct")


def reply(text: str, asked: Check) -> Scene:
    (scene,) = reader().read(text, on=ON, asked=asked)
    return scene


@pytest.mark.parametrize(
    ("asked", "text", "facts"),
    [
        (FLIP, "nope, clean underneath", ["leaf_surface=lower-"]),
        (FLIP, "nope, nothing underneath", ["leaf_surface=lower-"]),
        (FLIP, "no", ["leaf_surface=lower-"]),
        (FLIP, "yes", ["leaf_surface=both"]),
        (FLIP, "Yep.", ["leaf_surface=both"]),
        (FLIP, "both", ["leaf_surface=both"]),
        (FLIP, "just on top", ["leaf_surface=upper"]),
        (FLIP, "no, top only", ["leaf_surface=upper"]),
        (FLIP, "couldn't tell", ["leaf_surface=lower~"]),
        (FLIP, "didn't look", ["leaf_surface=lower!"]),
        (FLIP, "not yet", ["leaf_surface=lower!"]),
        (RUB, "it doesn't", ["rubs_off=yes-"]),
        (RUB, "nothing comes off", ["rubs_off=yes-"]),
        (RUB, "not sure", ["rubs_off=yes~"]),
        (EAR, "not yet", ["canopy_position=ear_leaf-"]),
        (EAR, "it's above it now", ["canopy_position=above_ear_leaf"]),
        (COLOUR, "orange", ["rub_colour=orange"]),
        (COUNT, "fifteen percent", ["incidence_pct=15"]),
        (COUNT, "8 of 20", ["plants_affected=8", "plants_checked=20"]),
    ],
)
def test_a_bare_answer_states_what_was_asked(asked: Check, text: str, facts: list[str]) -> None:
    assert told([reply(text, asked)]) == facts


def test_a_count_gives_the_percentage_marked_as_derived() -> None:
    (fact,) = [f for f in reply("8 of 20", COUNT).facts if f.attribute == "incidence_pct"]
    assert (fact.value, fact.derived) == (40, True)


def test_an_answer_may_say_more_than_was_asked() -> None:
    assert set(told([reply("yes it does, orange, and it's at R3 now", RUB)])) == {
        "rubs_off=yes",
        "rub_colour=orange",
        "growth_stage=R3",
    }


def test_the_words_of_an_answer_are_where_they_stand() -> None:
    text = "well, nope"
    scene = reply("nope", FLIP)
    assert [(f.span, f.text) for f in scene.facts] == [((0, 4), "nope")]
    assert reply(text, RUB).facts == () or text[slice(*reply(text, RUB).facts[0].span)] == "nope"


def test_without_a_question_a_bare_yes_states_nothing() -> None:
    assert [f for scene in reader().read("yes", on=ON) for f in scene.facts] == []
