from __future__ import annotations

import pytest

from assistant.reading.attributes import attributes
from assistant.reading.notation import expand
from assistant.reading.vocabulary import faults, load
from assistant.reading.word_tables import LEXICONS
from assistant.reading.wordlists import table
from tests.reading_notes import read


def test_the_word_tables_have_no_fault() -> None:
    assert [str(fault) for fault in faults()] == []


@pytest.mark.parametrize(
    ("name", "attribute"),
    [(name, attribute) for name in LEXICONS for attribute in table(name)],
    ids=lambda value: str(value),
)
def test_every_group_reads_its_own_example(name: str, attribute: str) -> None:
    example = table(name)[attribute]["example"]
    said = {fact.attribute for scene in read(example) for fact in scene.facts}
    assert attribute in said, example


@pytest.mark.parametrize("phrase", table("phrases")["phrase"], ids=lambda phrase: str(phrase["example"]))
def test_every_phrase_reads_its_own_example(phrase: dict[str, object]) -> None:
    facts = {
        (f.attribute, f.value, str(f.status)) for scene in read(str(phrase["example"])) for f in scene.facts
    }
    stated = phrase["facts"]
    assert isinstance(stated, list)
    assert {(a, v, s.rstrip("?")) for a, v, s in stated} <= facts


def test_the_names_of_disorders_read_back() -> None:
    """Every line of a name gives its own disorder, when it stands as the find of a note."""
    missed = []
    words = load()
    for value, lines in table("lexicon_named")["problem"].items():
        if value == "example" or value.startswith(("-", "any")):
            continue
        for line in lines:
            form = expand(line)[0]
            if form in words.only_doubted:
                continue
            facts = [f for s in read(f"R3, found {form} on the ear leaf") for f in s.facts]
            if not [f for f in facts if f.attribute in ("problem", "suspected_problem") and f.value == value]:
                missed.append((form, value))
    assert missed == []


def test_every_disorder_has_a_spoken_name() -> None:
    said = set(table("lexicon_named")["problem"])
    from assistant.reading.attributes import disorders

    assert disorders() - said == set()


@pytest.mark.parametrize(
    ("line", "forms"),
    [
        ("tar spot(s)", ["tar spot", "tar spots"]),
        ("{gray,grey} leaf", ["gray leaf", "grey leaf"]),
        ("rub [it] off", ["rub off", "rub it off", "rub them off", "rub that off"]),
        ("goss's wilt", ["goss's wilt", "gosss wilt"]),
    ],
)
def test_the_notation_opens_into_forms(line: str, forms: list[str]) -> None:
    assert expand(line) == forms


def test_every_kind_of_cue_has_an_act_or_is_known_to_need_none() -> None:
    from assistant.reading.cues_applied import _ACTS

    passive = {"sure", "keep", "here", "exhaust", "correct", "stop", "separate"}
    assert set(load().cues) == set(_ACTS) | passive


def test_yes_attributes_hold_true() -> None:
    yes = {name for name, body in attributes().items() if body["kind"] == "yes"}
    held = {m.value for meanings in load().forms.values() for m in meanings if m.attribute in yes}
    assert held == {True}
