"""What Tab offers."""

from __future__ import annotations

import pytest

from assistant.commands import COMMANDS
from assistant.completion import Ending, endings
from assistant.reports.export import FORMS

FIELDS = ("Spring Draw", "North Eighty East", "North Eighty West", "draw of the north")


def texts(before: str) -> list[str]:
    return [e.text for e in endings(before, COMMANDS, FIELDS)]


def test_commands_by_their_beginning() -> None:
    assert texts("/h") == ["/help", "/history"]
    assert texts("/") == sorted(COMMANDS)
    assert texts("/nothing") == []


def test_a_command_that_takes_a_field_offers_fields() -> None:
    assert texts("/history north") == ["North Eighty East", "North Eighty West"]
    assert endings("/field spr", COMMANDS, FIELDS) == [Ending("Spring Draw", 3)]


def test_export_offers_every_form() -> None:
    assert texts("/export ") == sorted(FORMS)
    assert texts("/export m") == ["markdown"]


@pytest.mark.parametrize(
    ("before", "length"),
    [("spr", 3), ("at spring dr", 9), ("first line\nSPRING", 6), ("orange at Spring Dra", 10)],
)
def test_a_field_within_a_note(before: str, length: int) -> None:
    assert endings(before, COMMANDS, FIELDS) == [Ending("Spring Draw", length)]


def test_the_longest_run_of_words_decides() -> None:
    assert endings("at north eighty w", COMMANDS, FIELDS) == [Ending("North Eighty West", 14)]


@pytest.mark.parametrize("before", ["", "s", "at ", "gray lesions"])
def test_nothing_to_offer(before: str) -> None:
    assert texts(before) == []
