"""Field names as people say them, and what must never be taken for another."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.casebook.fields import Candidates, Exact, KnownName, New, match
from assistant.casebook.names import normalise, slug
from assistant.casebook.rows import Field


def known(*names: str) -> list[KnownName]:
    return [
        KnownName(tuple(normalise(name).split()), name, Field(uid=f"u{i}", name=name, slug=slug(name)))
        for i, name in enumerate(names)
    ]


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ("north eighty", "North 80"),
        ("the north 80", "North 80"),
        ("N 80", "North 80"),
        ("N80", "North 80"),
        ("n. 80", "North 80"),
        ("NORTH-EIGHTY", "North 80"),
        ("North Eighty field", "North 80"),
        ("the north eighty acres", "North 80"),
        ("North 80", "north eighty"),
        ("northwest quarter", "NW Quarter"),
        ("north west quarter", "NW Quarter"),
        ("one sixty", "160"),
        ("one hundred and sixty", "160"),
        ("a twenty five", "A 25"),
        ("Larkin's", "Larkin"),
        ("Larkins", "Larkin place"),
        ("the Larkin place", "Larkin"),
        ("spring draws", "Spring Draw"),
        ("springdraw", "Spring Draw"),
        ("spring  draw ground", "Spring Draw"),
        ("number four", "No. 4"),
        ("#4", "No. 4"),
        ("Muller", "Müller"),
        ("Robert drop table", "Robert'); DROP TABLE"),
    ],
)
def test_the_same_field(said: str, field: str) -> None:
    found = match(said, known(field, "West Quarter Section"))
    assert isinstance(found, Exact), found
    assert found.field.name == field


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ("north 40", "North 80"),
        ("south 80", "North 80"),
        ("section 11 2", "Section 1 12"),
        ("Larkin west", "Larkin east"),
        ("Block E", "Block F"),
        ("North 80 East", "North 80"),
        ("Larkin north", "Larkin"),
        ("hog lot", "Gantt piece"),
        ("east forty", "West Forty"),
        ("", "North 80"),
        ("...", "North 80"),
    ],
)
def test_another_field(said: str, field: str) -> None:
    assert match(said, known(field)) == New(said)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ("nroth 80", "North 80"),
        ("spring drow", "Spring Draw"),
        ("gannt", "Gantt"),
        ("eighty north", "North 80"),
        ("north eighty", "North Eighty East"),
        ("Gantt piece", "Gantt farm"),
        ("spriingdraw", "Spring Draw"),
    ],
)
def test_perhaps_that_field_but_a_person_must_say(said: str, field: str) -> None:
    found = match(said, known(field, "Old Mill"))
    assert isinstance(found, Candidates), found
    assert [each.name for each in found.fields] == [field]
    assert not found.several
    assert field in str(found.error())


def test_a_name_short_of_two_fields_is_asked_about() -> None:
    found = match("north eighty", known("North Eighty West", "Spring Draw", "North Eighty East"))
    assert isinstance(found, Candidates)
    assert found.several
    assert str(found.error()) == (
        '"north eighty" could be more than one field: "North Eighty East", "North Eighty West". '
        "Say which, in full."
    )


def test_a_full_name_is_not_asked_about_though_others_are_longer() -> None:
    found = match("the north 80", known("North Eighty West", "North Eighty", "North Eighty East"))
    assert isinstance(found, Exact)
    assert found.field.name == "North Eighty"


def test_without_the_word_at_the_end_it_is_ambiguous_with_it_not() -> None:
    both = known("Gantt farm", "Gantt piece")
    assert isinstance(match("Gantt", both), Candidates)
    assert match("the Gantt piece", both) == Exact(both[1].field)


def test_two_names_of_one_field_are_one_candidate() -> None:
    field = Field(uid="u", name="North 80", slug="north-80")
    names = [KnownName(tuple(normalise(n).split()), n, field) for n in ("North 80", "Grandpa's eighty")]
    assert match("grandpas 80", names) == Exact(field)


def test_the_order_of_the_fields_changes_nothing() -> None:
    names = known("North Eighty West", "North Eighty East", "Nroth 80")
    answers = {str(match("north eighty", order)) for order in permutations(names)}
    assert len(answers) == 1


@given(st.text(max_size=30))
def test_any_name_is_its_own(name: str) -> None:
    if normalise(name):
        found = match(name, known(name))
        assert isinstance(found, Exact)


@given(st.text(max_size=40))
def test_a_slug_is_fit_for_a_command_line(name: str) -> None:
    made = slug(name)
    assert made
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not made.startswith("-")
