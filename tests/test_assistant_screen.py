"""Text on a terminal: wrapped, and without anything that moves a cursor."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from assistant.screen import laid_out


def test_a_long_line_hangs_under_its_own_margin() -> None:
    assert laid_out("  Do: one two three four five six", 22) == "  Do: one two three\n    four five six"


def test_short_lines_stay() -> None:
    assert laid_out("Spring Draw\n  Do: hold.\n\n  Mind", 80) == "Spring Draw\n  Do: hold.\n\n  Mind"


@given(st.text(), st.integers(min_value=1, max_value=200))
def test_only_line_ends_and_what_can_be_printed_come_out(text: str, width: int) -> None:
    assert all(c == "\n" or c.isprintable() for c in laid_out(text, width))


@given(st.lists(st.text(alphabet="abc", min_size=1, max_size=9), max_size=60), st.integers(20, 120))
def test_no_word_is_lost_and_no_line_too_long(words: list[str], width: int) -> None:
    shown = laid_out(" ".join(words), width)
    assert shown.split() == words
    assert all(len(line) < width for line in shown.split("\n"))
