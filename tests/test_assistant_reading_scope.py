"""How what is named is meant; behind each [target] its label, "gone" where it is no fact of today."""

from __future__ import annotations

import re

import pytest

from rules.model import Fact, Relation, Status
from tests.reading_notes import only, read, told

CASES = """
no [pustules]absent on the underside
[pustules]present on the upper side, nothing [raised]absent underneath
orange dust, [rubs off]present on my finger
black spots, doesn't [rub off]absent
it won't [rub off]absent no matter what
don't think it's [tar spot]absent,hedged
ruled out [gray leaf spot]absent
[gray leaf spot]absent ruled out
looks like [common rust]hedged
maybe [physoderma]hedged or [eyespot]hedged
used to have [goss's wilt]history in this field
no [gray leaf spot]absent, no [northern blight]absent, no [tar spot]absent
no [gray leaf spot]absent or [northern blight]absent, just [common rust]present
no [gray leaf spot]absent but [common rust]present on the lower leaves
no doubt it's [tar spot]present
can't rule out [southern rust]hedged
can't tell [common rust]hedged from [southern rust]hedged
hard to tell [gray leaf spot]hedged from a [bacterial leaf streak]hedged
couldn't find any [lesions]absent
[lesions]present without a [halo]absent
free of [rust]absent, [gray leaf spot]present at one percent
neither [rust]absent nor [tar spot]absent
[rust]absent is not present
[southern rust]absent hasn't shown up yet
if [southern rust]gone shows up we spray
watch for [tar spot]gone next week
no change in [gray leaf spot]present since Friday
no more [rust]present than last week
not only [common rust]present but [southern rust]present too
[lesions]present aren't [raised]absent and don't [rub off]absent
could be [anthracnose]hedged
[diplodia]hedged maybe
[rust]present on every plant no question
no [pustules]absent [lesions]present are tan
hardly any [rust]present
lab says not [goss's wilt]absent
there are no [lesions]absent above the ear
didn't see a single [pustule]absent
haven't found any [southern rust]absent
none of the [spots]present are [raised]absent
[spots]present can't be [scraped off]absent
[lesions]present with no [yellow halo]absent
not sure if it's [eyespot]hedged
had [gray leaf spot]history in this field two years ago
history of [tar spot]history on this farm
no [rust]absent however there is [tar spot]present
no disease other than [common rust]present
[rust]absent not found on ear leaf
can't tell if it's [gray leaf spot]hedged or [anthracnose]hedged
cant [rub off]absent
doesnt [rub off]absent
aint no [rust]absent in here
no [pustules]absent no [halo]absent no [ooze]absent [lesions]present only
unless [tar spot]gone moves up we hold
expecting [southern rust]gone by next week
no need to spray [gray leaf spot]present is low
not [spreading]absent
darker than [rust]gone, orange pustules
is it [tar spot]hedged?
neighbor has [southern rust]nearby
[tar spot]nearby found 30 miles south
""".strip().splitlines()


def label(fact: Fact | None) -> set[str]:
    """What a fact says of how its words were meant."""
    if fact is None:
        return {"gone"}
    if fact.attribute in ("field_history", "nearby_find"):
        return {"history" if fact.attribute == "field_history" else "nearby"}
    labels = {"present" if fact.status is Status.PRESENT else str(fact.status)}
    return (labels - {"present"}) | {"hedged"} if fact.hedged else labels


@pytest.mark.parametrize("case", CASES)
def test_each_target_is_meant_as_labelled(case: str) -> None:
    text, targets = "", []
    for before, words, labels in re.findall(r"([^\[]*)(?:\[([^\]]*)\]([a-z,]+))?", case):
        text += before
        if words:
            targets.append((len(text), len(text) + len(words), set(labels.strip(",").split(","))))
            text += words
    facts = [fact for scene in read(text) for fact in scene.facts]
    for start, end, labels in targets:
        at = [f for f in facts if f.span[0] < end and start < f.span[1] and f.attribute != "halo_colour"]
        assert label(at[0] if at else None) == labels, text[start:end]


@pytest.mark.parametrize(
    ("note", "stage", "relation"),
    [
        ("not quite to milk stage", "R3", Relation.NEARING),
        ("almost to dent", "R5", Relation.NEARING),
        ("coming up on black layer", "R6", Relation.NEARING),
        ("hasn't reached black layer", "R6", Relation.BEFORE),
        ("not at dent", "R5", Relation.BEFORE),
        ("not milk yet", "R3", Relation.BEFORE),
        ("past brown silk", "R2", Relation.AFTER),
        ("well past silking", "R1", Relation.AFTER),
        ("silking finished up", "R1", Relation.AFTER),
        ("at milk stage", "R3", None),
    ],
)
def test_a_stage_has_a_relation_and_is_never_absent(note: str, stage: str, relation: Relation | None) -> None:
    (fact,) = [f for f in only(note).facts if f.attribute == "growth_stage"]
    assert (fact.value, fact.relation, fact.status) == (stage, relation, Status.PRESENT)


@pytest.mark.parametrize(
    ("note", "fact"),
    [
        ("didn't look underneath, orange pustules", "leaf_surface=lower!"),
        ("haven't been above the ear", "canopy_position=above_ear_leaf!"),
        ("never flipped a leaf", "leaf_surface=lower!"),
        ("couldn't tell about the back side", "leaf_surface=lower~"),
        ("hard to tell if they're raised", "raised=yes~"),
        ("I haven't looked at the underside", "leaf_surface=lower!"),
        ("underside clean", "leaf_surface=lower-"),
    ],
)
def test_not_looked_at_could_not_tell_and_absent_are_three_things(note: str, fact: str) -> None:
    assert fact in told(read(note))


@pytest.mark.parametrize(
    ("note", "kept", "gone"),
    [
        ("tan, no I mean gray lesions", "lesion_colour=gray", "lesion_colour=tan"),
        (
            "upper canopy, scratch that, lower canopy, tan lesions",
            "canopy_position=lower",
            "canopy_position=upper",
        ),
        ("8 of 20, no wait 9 of 20 plants with rust", "plants_affected=9", "plants_affected=8"),
        ("R2, make that R3", "growth_stage=R3", "growth_stage=R2"),
    ],
)
def test_a_correction_replaces_what_it_corrects(note: str, kept: str, gone: str) -> None:
    facts = told(read(note))
    assert kept in facts
    assert gone not in facts


def test_plans_and_suppositions_keep_the_money() -> None:
    facts = told(
        read("If it climbs we'll fly it with propiconazole at R2, eleven dollars an acre to fly it.")
    )
    assert not [f for f in facts if f.startswith(("active", "growth", "sprayed"))]
    assert [f for f in facts if "cost" in f]


def test_the_stage_of_a_spray_is_not_the_stage_of_today() -> None:
    facts = told(read("sprayed July 14 at tassel, R3 now"))
    assert "spray_stage=VT" in facts
    assert [f for f in facts if f.startswith("growth_stage")] == ["growth_stage=R3"]


def test_a_laboratory_that_found_nothing_confirms_nothing() -> None:
    facts = told(read("lab came back negative for goss's wilt"))
    assert facts == ["problem=goss_wilt-"]
