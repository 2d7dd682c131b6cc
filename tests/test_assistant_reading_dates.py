"""Dates in notes.  The day of most notes here is Tuesday 28 July 2026."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.reading.calendar_days import Lean, day_of_month, month_day, nth_weekday, weekday
from assistant.reading.dates import find
from assistant.reading.tokens import Found
from tests.reading_tokens import text_of, tokens, words

ON = date(2026, 7, 28)

SAID = [
    ("sprayed July 9th at tassel", "sprayed_on", date(2026, 7, 9)),
    ("sprayed at VT on the 14th", "sprayed_on", date(2026, 7, 14)),
    ("sprayed at silking on the 15th", "sprayed_on", date(2026, 7, 15)),
    ("Flew it on the 24th, propiconazole plus azoxystrobin", "sprayed_on", date(2026, 7, 24)),
    ("triazole went on July 15 at silking", "sprayed_on", date(2026, 7, 15)),
    ("spray went on two weeks ago", "sprayed_on", date(2026, 7, 14)),
    ("started after the spraying on the 18th", "sprayed_on", date(2026, 7, 18)),
    ("Sprayed 7/12 with pyraclostrobin", "sprayed_on", date(2026, 7, 12)),
    ("sprd 7/9 w/ azoxystrobin", "sprayed_on", date(2026, 7, 9)),
    ("tassels out, sprayed last Friday", "sprayed_on", date(2026, 7, 24)),
    ("the day before yesterday we sprayed", "sprayed_on", date(2026, 7, 26)),
    ("treated a couple of weeks ago", "sprayed_on", date(2026, 7, 14)),
    ("treated ten days back", "sprayed_on", date(2026, 7, 18)),
    ("neighbor sprayed Friday", "neighbour_sprayed_on", date(2026, 7, 24)),
    ("planted April 20", "planted_on", date(2026, 4, 20)),
    ("planted May 2nd", "planted_on", date(2026, 5, 2)),
    ("planted may second", "planted_on", date(2026, 5, 2)),
    ("planted the 2nd of may", "planted_on", date(2026, 5, 2)),
    ("Planted late, May 18", "planted_on", date(2026, 5, 18)),
    ("planted 5/8", "planted_on", date(2026, 5, 8)),
    ("planted in early May", "planted_on", date(2026, 5, 5)),
    ("planted memorial day", "planted_on", date(2026, 5, 25)),
    ("planted first week of May", "planted_on", date(2026, 5, 4)),
    ("planted 2 months ago", "planted_on", date(2026, 5, 28)),
    ("planted a couple of months back", "planted_on", date(2026, 5, 28)),
    ("emerged May 15", "emerged_on", date(2026, 5, 15)),
    ("silked july tenth", "silked_on", date(2026, 7, 10)),
    ("scouted yesterday", "observed_on", date(2026, 7, 27)),
    ("walked it yesterday evening", "observed_on", date(2026, 7, 27)),
    ("checked the north forty sat morning", "observed_on", date(2026, 7, 25)),
    ("scouted on thurs", "observed_on", date(2026, 7, 23)),
    ("didn't find any rust today", "observed_on", date(2026, 7, 28)),
    ("hailed on July 10th", "weather_on", date(2026, 7, 10)),
    ("hail three weeks ago", "weather_on", date(2026, 7, 7)),
    ("hail 6/30", "weather_on", date(2026, 6, 30)),
    ("after the storm last Thursday", "weather_on", date(2026, 7, 23)),
    ("thunderstorms Sunday", "weather_on", date(2026, 7, 26)),
    ("Sunday's storm", "weather_on", date(2026, 7, 26)),
    ("rained last night", "rain_on", date(2026, 7, 27)),
    ("a big storm over the weekend", "weather_on", date(2026, 7, 25)),
    ("forecast rain and 70s through Friday", "weather_on", date(2026, 7, 31)),
    ("got two inches of rain Saturday", "rain_on", date(2026, 7, 25)),
    ("sent leaves to the diagnostic lab on Monday", "sample_sent_on", date(2026, 7, 27)),
    ("sample sent 7/27 - poss streak", "sample_sent_on", date(2026, 7, 27)),
    ("Harvest about September twentieth", "planned_harvest", date(2026, 9, 20)),
    ("we chop by the twentieth", "planned_harvest", date(2026, 8, 20)),
    ("harvest sept. 20", "planned_harvest", date(2026, 9, 20)),
    ("can't harvest until September 15", "earliest_harvest", date(2026, 9, 15)),
    ("earliest we'd chop is August 30", "earliest_harvest", date(2026, 8, 30)),
    ("rescout next Tuesday", "rescout_in_days", 7),
    ("come back August 4", "rescout_in_days", 7),
    ("No new lesions since the 21st", "date", date(2026, 7, 21)),
    ("Neighbor found tar spot Thursday", "date", date(2026, 7, 23)),
    ("Clean today", "date", date(2026, 7, 28)),
    ("last week I thought it was common rust", "date", date(2026, 7, 21)),
    ("week before last", "date", date(2026, 7, 14)),
    ("a week ago Tuesday", "date", date(2026, 7, 14)),
    ("a week from Thursday", "date", date(2026, 8, 6)),
    ("black layer around labor day", "date", date(2026, 9, 7)),
    ("on the fourth of july", "date", date(2026, 7, 4)),
    ("july fourth", "date", date(2026, 7, 4)),
    ("july twenty eighth", "date", date(2026, 7, 28)),
    ("the ninth of july", "date", date(2026, 7, 9)),
    ("July 9, 2025", "date", date(2025, 7, 9)),
    ("2026-07-14", "date", date(2026, 7, 14)),
    ("7/28/26", "date", date(2026, 7, 28)),
    ("7/4/2025", "date", date(2025, 7, 4)),
    ("mid july", "date", date(2026, 7, 15)),
    ("end of June", "date", date(2026, 6, 28)),
    ("going to spray Thursday", "date", date(2026, 7, 30)),
    ("herbicide sprayed June 3", "date", date(2026, 6, 3)),
]

APPROXIMATE = [
    "Harvest about September twentieth",
    "mid july",
    "around labor day",
    "a few days ago",
    "two or three weeks ago",
    "last week",
    "a month ago",
    "first week of July",
]

NO_DATE = [
    "it may be R2",
    "may 5 percent",
    "milk stage, sat in the cab",
    "mar on the leaf",
    "march flies",
    "august heat",
    "5/8 inch oval spots",
    "1/16 in raised dots",
    "1/2 milk line",
    "12 of 20 plants",
    "2/10 plts",
    "9/10 plants",
    "one in ten plants",
    "sun scald on the sun side",
    "no till",
    "fog until ten",
    "a second fungicide",
    "the second leaf",
    "on the third leaf",
    "on the fifth plant",
    "now seeing rust",
    "10 to 14 days",
    "in 2024 we had tar spot",
    "R3, 85F, 80 degrees, V12, 200 bushel corn",
    "rescout in a week",
    "this week",
]


def read(text: str, on: date = ON) -> list[Found]:
    return find(text, tokens(text), on)


@pytest.mark.parametrize(("text", "attribute", "value"), SAID)
def test_said(text: str, attribute: str, value: date | int) -> None:
    assert [(one.attribute, one.value) for one in read(text)] == [(attribute, value)]


@pytest.mark.parametrize("text", NO_DATE)
def test_no_date(text: str) -> None:
    assert read(text) == []


@pytest.mark.parametrize("text", APPROXIMATE)
def test_approximate(text: str) -> None:
    assert [one.approx for one in read(text)] == [True]


@pytest.mark.parametrize("text", ["sprayed July 9", "yesterday", "last Tuesday", "two weeks ago", "7/12"])
def test_exact(text: str) -> None:
    assert [one.approx for one in read(text)] == [False]


def test_each_date_has_its_own_verb() -> None:
    text = "planted May 6, emerged May 15, sprayed July 9 and again on the 24th, rained yesterday"
    assert [(one.attribute, one.value) for one in read(text)] == [
        ("planted_on", date(2026, 5, 6)),
        ("emerged_on", date(2026, 5, 15)),
        ("sprayed_on", date(2026, 7, 9)),
        ("sprayed_on", date(2026, 7, 24)),
        ("rain_on", date(2026, 7, 27)),
    ]


def test_a_verb_of_another_sentence_says_nothing() -> None:
    assert [one.attribute for one in read("We sprayed. Clean on the 14th.")] == ["date"]


def test_a_rescout_day_is_marked_as_reckoned() -> None:
    (one,) = read("rescout Friday")
    assert (one.attribute, one.value, one.unit, one.derived) == ("rescout_in_days", 3, "days", True)


def test_the_words_that_say_it() -> None:
    text = "we'll chop about September twentieth if dry"
    row = tokens(text)
    assert [text_of(one, row, text) for one in find(text, row, ON)] == ["about September twentieth"]


@pytest.mark.parametrize(
    "row",
    [
        ("planted", "may", "2nd"),
        ("planted", "may", "2"),
        ("planted", "5/2"),
        ("planted", "2026", "-", "05", "-", "02"),
    ],
)
def test_shapes_of_tokens(row: tuple[str, ...]) -> None:
    (one,) = find(" ".join(row), words(*row), ON)
    assert (one.attribute, one.value) == ("planted_on", date(2026, 5, 2))


def test_a_month_ago_reaches_the_day_that_the_shorter_month_has() -> None:
    assert [one.value for one in read("planted a month ago", date(2026, 3, 31))] == [date(2026, 2, 28)]


def test_the_year_turns() -> None:
    assert [one.value for one in read("sprayed July 9", date(2027, 1, 5))] == [date(2026, 7, 9)]
    assert [one.value for one in read("hail on the 31st", date(2027, 1, 5))] == [date(2026, 12, 31)]


# ------------------------------------------------------------------- the calendar

BASES = [date(2026, 3, 20) + timedelta(days=step) for step in range(214)]


@pytest.mark.parametrize("lean", [Lean.PAST, Lean.FUTURE])
@pytest.mark.parametrize("day", [1, 9, 14, 28, 30, 31])
def test_day_of_month_is_the_nearest_such_day_on_its_side(day: int, lean: Lean) -> None:
    """Checked against a walk over the calendar, day by day, from each of 214 days."""
    step = timedelta(days=1 if lean is Lean.FUTURE else -1)
    for base in BASES:
        walked = base
        while walked.day != day:
            walked += step
        assert day_of_month(day, base, lean) == walked


def test_weekday_is_within_a_week_and_never_the_day_itself() -> None:
    for base in BASES:
        for number in range(7):
            before, after = weekday(number, base, Lean.PAST), weekday(number, base, Lean.FUTURE)
            assert before.weekday() == after.weekday() == number
            assert 1 <= (base - before).days <= 7
            assert 1 <= (after - base).days <= 7


@given(st.dates(date(2000, 1, 1), date(2090, 12, 31)), st.integers(1, 12), st.integers(1, 28))
def test_month_and_day_lie_on_their_side(base: date, month: int, day: int) -> None:
    before, after = month_day(month, day, base, Lean.PAST), month_day(month, day, base, Lean.FUTURE)
    near = month_day(month, day, base, Lean.NEAR)
    assert before is not None
    assert after is not None
    assert before <= base <= after
    assert near in (before, after)


def test_a_leap_day_waits_for_its_year() -> None:
    assert month_day(2, 29, date(2026, 7, 28), Lean.PAST) == date(2024, 2, 29)


# Rules: 5 U.S.C. 6103 (first Monday in September, last Monday in May, second Monday in October,
# fourth Thursday in November); the days are read off a 2026 calendar.
@pytest.mark.parametrize(
    ("month", "number", "nth", "expected"),
    [
        (9, 0, 1, date(2026, 9, 7)),
        (5, 0, -1, date(2026, 5, 25)),
        (10, 0, 2, date(2026, 10, 12)),
        (11, 3, 4, date(2026, 11, 26)),
    ],
)
def test_nth_weekday(month: int, number: int, nth: int, expected: date) -> None:
    assert nth_weekday(month, number, nth, 2026) == expected


@given(
    st.lists(
        st.one_of(
            st.sampled_from([word for text, _, _ in SAID for word in text.lower().split()]),
            st.text(min_size=1, max_size=6).filter(lambda word: not word.isspace()),
        ),
        max_size=25,
    ),
    st.dates(date(2000, 1, 1), date(2090, 1, 1)),
)
def test_any_tokens_are_read(spoken: list[str], on: date) -> None:
    row = words(*(word.lower() for word in spoken))
    text = " ".join(word.lower() for word in spoken)
    assert all(0 <= one.first < one.last <= len(row) for one in find(text, row, on))


def test_dateparser_is_loaded_only_when_a_note_needs_it() -> None:
    code = (
        "import sys; from datetime import date; from assistant.reading.dates import find;"
        "from assistant.reading.tokens import Token;"
        "row = [Token('yesterday', 'yesterday', 0, 9)]; assert find('yesterday', row, date(2026, 7, 28));"
        "assert 'dateparser' not in sys.modules and 'spacy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
