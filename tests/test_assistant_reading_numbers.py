"""Numbers as they are said and typed in the field."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.reading.numbers import Number, plain, scan
from tests.reading_tokens import tokens, words

ONE = [
    ("85", 85),
    ("34,000", 34000),
    ("34k", 34000),
    ("34 thousand", 34000),
    ("4.25", 4.25),
    (".5", 0.5),
    ("85f", 85),
    ("200bu", 200),
    ("1/16", 0.0625),
    ("5/8", 0.625),
    ("1 1/2", 1.5),
    ("½", 0.5),
    ("¼", 0.25),
    ("¾", 0.75),
    ("1½", 1.5),
    ("zero", 0),
    ("seventeen", 17),
    ("twenty five", 25),
    ("twenty-five", 25),
    ("two hundred", 200),
    ("two hundred twenty", 220),
    ("two hundred and twenty", 220),
    ("a hundred", 100),
    ("a hundred and ten", 110),
    ("twenty five hundred", 2500),
    ("thirty four thousand", 34000),
    ("thirty four thousand five hundred", 34500),
    ("two ten", 210),
    ("one eighty five", 185),
    ("three oh five", 305),
    ("one and a half", 1.5),
    ("two and a half", 2.5),
    ("three and three quarters", 3.75),
    ("a third", 1 / 3),
    ("two thirds", 2 / 3),
    ("two-thirds", 2 / 3),
    ("one sixteenth", 1 / 16),
    ("a sixteenth", 1 / 16),
    ("one thirty second", 1 / 32),
    ("three quarters", 0.75),
    ("three eighths", 0.375),
    ("half the", 0.5),
    ("half an inch", 0.5),
    ("quarter inch", 0.25),
    ("point five", 0.5),
    ("three point eight five", 3.85),
    ("a couple", 2),
    ("a couple of", 2),
    ("two dozen", 24),
    ("half a dozen", 6),
]

RANGES = [
    ("15 to 20", 15, 20),
    ("15-20", 15, 20),
    ("fifteen to twenty", 15, 20),
    ("two or three", 2, 3),
    ("five through ten", 5, 10),
    ("between ten and fifteen", 10, 15),
    ("ten maybe fifteen", 10, 15),
    ("15% to 20%", 15, 20),
    ("1/8 to 1/4", 0.125, 0.25),
    ("quarter to half inch", 0.25, 0.5),
    ("twenty-five to thirty", 25, 30),
    ("one eighty to two hundred", 180, 200),
]

# contract.md section 4, rule 5
DECADES = [
    ("eighties", 80, 89),
    ("80s", 80, 89),
    ("70's", 70, 79),
    ("low eighties", 80, 84),
    ("mid eighties", 84, 86),
    ("mid-80s", 84, 86),
    ("upper seventies", 75, 79),
    ("high eighties", 85, 89),
    ("mid to upper eighties", 84, 89),
    ("70s to 80s", 70, 89),
]

NEAR = [
    "about thirty",
    "around 30",
    "roughly thirty",
    "call it thirty",
    "~30",
    "<30",
    "< 30",
    "thirty or so",
    "thirty plus",
    "30+",
    "30-ish",
    "nearly thirty",
]

NAMES = ["section 8", "group 3 plus group 11", "the north eighty", "back forty", "home eighty", "frac 11"]


def read(text: str) -> tuple[Number, ...]:
    return scan(plain(tokens(text)))


@pytest.mark.parametrize(("text", "value"), ONE)
def test_one_number(text: str, value: float) -> None:
    found = read(text)
    assert [(n.low, n.high) for n in found] == [(pytest.approx(value), pytest.approx(value))]


@pytest.mark.parametrize(("text", "low", "high"), RANGES)
def test_ranges(text: str, low: float, high: float) -> None:
    assert [(n.low, n.high) for n in read(text)] == [(low, high)]


@pytest.mark.parametrize(("text", "low", "high"), DECADES)
def test_decades(text: str, low: float, high: float) -> None:
    (found,) = read(text)
    assert (found.low, found.high, found.decade) == (low, high, True)


def test_a_decade_as_one_token() -> None:
    (found,) = scan(plain(words("mid-80s")))
    assert (found.low, found.high) == (84, 86)


@pytest.mark.parametrize("text", NEAR)
def test_about(text: str) -> None:
    (found,) = read(text)
    assert (found.low, found.approx) == (30, True)


@pytest.mark.parametrize("text", ["thirty", "30", "thirty percent", "azoxystrobin plus 30"])
def test_not_about(text: str) -> None:
    (found,) = read(text)
    assert not found.approx


@pytest.mark.parametrize("text", NAMES)
def test_names_are_no_numbers(text: str) -> None:
    assert read(text) == ()


def test_a_field_name_leaves_the_count_behind_it() -> None:
    assert [n.low for n in read("north eighty seven of twenty plants")] == [7, 20]


@pytest.mark.parametrize(
    "text", ["the 24th", "5pm", "on the third", "july ninth", "home quarter", "lower half of it"]
)
def test_days_hours_and_parts_are_no_numbers(text: str) -> None:
    assert read(text) == ()


def test_a_pair_gives_its_second_number_alone() -> None:
    (found,) = read("two ten")
    assert (found.pair, found.alone().low, found.alone().first) == ((2, 10), 10, 1)


def test_a_range_runs_upward() -> None:
    assert [n.low for n in read("20 to 5")] == [20, 5]


@pytest.mark.parametrize("glued", ["15–20", "15-20"])
def test_a_range_in_one_token(glued: str) -> None:
    (found,) = scan(plain(words(glued)))
    assert (found.low, found.high) == (15, 20)


def test_the_tail_is_kept() -> None:
    assert [(n.low, n.tail) for n in read("85f 200bu 90º")] == [(85, "f"), (200, "bu"), (90, "º")]


@given(st.integers(1, 999))
def test_words_and_figures_agree(value: int) -> None:
    (said,) = read(_in_words(value))
    assert said.low == value


@given(st.lists(st.text(min_size=1).filter(lambda word: not word.isspace()), max_size=30))
def test_any_tokens_are_read(spoken: list[str]) -> None:
    row = words(*(word.lower() for word in spoken))
    for number in scan(plain(row)):
        assert 0 <= number.first <= number.core < number.last <= len(row)
        assert number.low <= number.high


def test_a_long_chain_is_read_in_one_go() -> None:
    spoken = ("one", "and") * 3000
    assert len(scan(spoken)) == 3000


_UNITS = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen",
    "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def _in_words(value: int) -> str:
    if value < 20:
        return _UNITS[value]
    if value < 100:
        rest = f" {_UNITS[value % 10]}" if value % 10 else ""
        return _TENS[value // 10 - 1] + rest
    rest = f" and {_in_words(value % 100)}" if value % 100 else ""
    return f"{_UNITS[value // 100]} hundred{rest}"
