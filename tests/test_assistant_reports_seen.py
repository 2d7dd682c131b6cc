"""What the reports make of a season: where on the plant, which hybrid, which call, what a grower is told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from assistant.casebook.book import Casebook
from assistant.casebook.rows import DueRow, LogRow
from assistant.reports.axis import days_over, series_of
from assistant.reports.calls import lab_calls
from assistant.reports.drawing import Dot, Picture, Words, spread
from assistant.reports.grower import MOST_CHARACTERS, GrowerPage, grower_page, message, stage_words
from assistant.reports.history import due_words, history_words
from assistant.reports.log import due_text, history_text
from assistant.reports.markup import tag
from assistant.reports.picture_progress import progress
from assistant.reports.positions import EAR, RUNGS, Spot, spots
from assistant.reports.season import Asked, Season, gather
from assistant.reports.table import harmless
from assistant.reports.watch import watch_list
from assistant.reports.wording import clipped, sentence
from tests.reports_season import ON, Said, count, do, fact, say, season_book

scipy_stats = pytest.importorskip("scipy.stats")


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Casebook]:
    with season_book(tmp_path) as opened:
        yield opened


def season(book: Casebook, on: date = ON) -> Season:
    return gather(book, Asked(year=2027, on=on))


def spots_of(book: Casebook, field: str) -> list[Spot]:
    made = next(f for f in season(book).fields if f.name == field)
    return [spot for visit in made.visits for spot in spots(visit)]


# ---------------------------------------------------------------- where on the plant


def one(tmp_path: Path, *facts: dict[str, object], standing: str = "fits") -> list[Spot]:
    note = Said(
        field="F 1", on=date(2027, 7, 1), text="x", action="hold", problems=(("tar_spot", standing, facts),)
    )
    with season_book(tmp_path, (note,), name="one.db") as book:
        return spots_of(book, "F 1")


@pytest.mark.parametrize(
    ("facts", "reach"),
    [
        ([fact("leaf_from_ear", 0)], (EAR, EAR)),
        ([fact("leaf_from_ear", -3)], (1, 1)),
        ([fact("leaf_from_ear", [-5, -4])], (0, 0)),
        ([fact("leaf_from_ear", 4)], (len(RUNGS) - 1, len(RUNGS) - 1)),
        ([fact("canopy_position", "whole")], (0, len(RUNGS) - 1)),
        ([fact("canopy_position", "lower"), fact("leaf_from_ear", -3)], (1, 1)),  # the closer word counts
        ([fact("canopy_position", "lower"), fact("canopy_position", "ear_leaf")], (0, EAR)),
        ([fact("canopy_position", "somewhere")], None),
        ([], None),
    ],
)
def test_how_far_up_the_plant(
    facts: list[dict[str, object]], reach: tuple[int, int] | None, tmp_path: Path
) -> None:
    assert [s.reach for s in one(tmp_path, *facts)] == [reach]


def test_clean_not_said_and_could_not_tell_are_three_things(tmp_path: Path) -> None:
    clean = one(tmp_path, fact("canopy_position", "lower"), fact("canopy_position", "ear_leaf", "absent"))
    assert [(s.reach, s.clean) for s in clean] == [((0, 0), False), ((EAR, EAR), True)]


@pytest.mark.parametrize("status", ["not_checked", "cannot_tell"])
def test_a_leaf_that_was_not_judged_is_neither_seen_nor_clean(status: str, tmp_path: Path) -> None:
    seen = one(tmp_path, fact("canopy_position", "lower"), fact("canopy_position", "ear_leaf", status))
    assert [(s.reach, s.clean) for s in seen] == [((0, 0), False)]


def test_what_is_only_unlikely_is_not_drawn_as_found(tmp_path: Path) -> None:
    assert one(tmp_path, fact("leaf_from_ear", 0), standing="unlikely") == []


def test_a_fact_of_the_note_before_is_not_counted_twice(tmp_path: Path) -> None:
    assert one(tmp_path, fact("leaf_from_ear", 0, earlier=True)) == []


def test_progress_draws_seen_filled_and_clean_hollow(book: Casebook) -> None:
    made = season(book)
    field = next(f for f in made.fields if f.name == "Dutton Bottom")
    picture = progress(field, made, series_of(made))
    dots = [m for m in picture.marks if isinstance(m, Dot)]
    assert sum(d.hollow for d in dots) == 2  # the legend's and the ear leaf's
    assert "R2" in words(picture)
    assert "southern rust" in picture.told.lower()


def words(picture: Picture) -> list[str]:
    return [m.text for m in picture.marks if isinstance(m, Words)]


# ---------------------------------------------------------------- hybrids


def test_the_watch_list_counts_plants_and_says_on_how_little_it_rests(book: Casebook) -> None:
    first = watch_list(season(book))[0]
    assert (first.hybrid, first.disorder, first.told) == ("Larkspur 108", "gray_leaf_spot", "susceptible")
    assert first.count is not None
    assert (first.count.affected, first.count.checked) == (13, 20)
    assert first.interval is not None
    outside = scipy_stats.binomtest(13, 20).proportion_ci(method="wilson")  # scipy as the outside check
    assert first.interval == pytest.approx((100 * outside.low, 100 * outside.high))
    assert "one field says little" in first.rests_on


def test_a_field_where_it_was_looked_for_in_vain_counts_too(tmp_path: Path) -> None:
    hybrid = fact("hybrid", "Merrow 103")
    sick = Said(
        field="F 1", on=date(2027, 7, 1), text="x", action="hold",
        problems=(("tar_spot", "fits", tuple(count(5, 20))),), facts=(hybrid,),
    )  # fmt: skip
    clean = Said(
        field="F 2", on=date(2027, 7, 1), text="x", action="no_spray",
        facts=(hybrid, fact("plants_checked", 30), fact("problem", "tar_spot", "absent")),
    )  # fmt: skip
    with season_book(tmp_path, (sick, clean)) as book:
        (line,) = watch_list(season(book))
    assert (line.fields, line.grown) == (1, 2)
    assert line.count is not None
    assert (line.count.affected, line.count.checked) == (5, 50)


def test_only_the_latest_count_of_a_field_is_added_up(tmp_path: Path) -> None:
    notes = tuple(
        Said(
            field="F 1", on=date(2027, 7, n), text="x", action="hold",
            problems=(("tar_spot", "fits", tuple(count(n, 20))),), facts=(fact("hybrid", "Merrow 103"),),
        )
        for n in (1, 9)
    )  # fmt: skip
    with season_book(tmp_path, notes) as book:
        (line,) = watch_list(season(book))
    assert line.count is not None
    assert (line.count.affected, line.count.checked) == (9, 20)


def test_a_rating_for_another_problem_is_not_told_of_this_one(tmp_path: Path) -> None:
    note = Said(
        field="F 1", on=date(2027, 7, 1), text="x", action="hold", problems=(("tar_spot", "fits", ()),),
        facts=(
            fact("hybrid", "M 1"), fact("hybrid_rating", "resistant"), fact("rating_for", "gray_leaf_spot"),
        ),
    )  # fmt: skip
    with season_book(tmp_path, (note,)) as book:
        (line,) = watch_list(season(book))
    assert line.told == ""
    assert line.count is None
    assert "no plants counted" in line.rests_on


# ---------------------------------------------------------------- the laboratory


def test_a_result_is_held_against_the_last_call_before_it(book: Casebook) -> None:
    (call,) = lab_calls(season(book))
    assert (call.field, call.disorder, call.called, call.agrees) == (
        "Voss",
        "goss_wilt",
        "gray_leaf_spot",
        False,
    )
    assert call.called_on == date(2027, 7, 16)


def test_a_result_typed_in_can_deny(book: Casebook) -> None:
    do(
        book,
        "lab_result",
        "North Eighty",
        date(2027, 7, 20),
        text="no",
        disorder="gray_leaf_spot",
        found=False,
    )
    call = next(c for c in lab_calls(season(book)) if c.field == "North Eighty")
    assert (call.called, call.agrees) == ("gray_leaf_spot", False)


def test_without_a_call_nobody_was_right_or_wrong(tmp_path: Path) -> None:
    note = Said(
        field="F 1",
        on=date(2027, 7, 1),
        text="x",
        action="no_spray",
        problems=(("goss_wilt", "confirmed", ()),),
    )
    with season_book(tmp_path, (note,)) as book:
        (call,) = lab_calls(season(book))
    assert call.agrees is None


# ---------------------------------------------------------------- the grower's page


def grower(book: Casebook, field: str, on: date) -> GrowerPage:
    made = season(book, on)
    return grower_page(made, next(f for f in made.fields if f.name == field))


def test_what_so_what_what_now_by_when_and_cautions(book: Casebook) -> None:
    page = grower(book, "North Eighty", date(2027, 7, 10))
    assert (
        page.what[0]
        .lower()
        .startswith("gray leaf spot: what was seen fits it. seen on the 3rd leaf below the ear")
    )
    assert "13 of 20 plants" in page.what[0]
    assert page.what[1] == "The crop was at tassel (VT)."
    assert page.so_what[0] == "The threshold is met."
    assert page.now == "Spray"
    assert page.by_when == ("Spray by Tue Jul 20 at the latest.",)
    assert page.cautions == ("The label in hand governs.",)


def test_the_page_knows_what_was_done_since(book: Casebook) -> None:
    page = grower(book, "North Eighty", date(2027, 7, 14))
    assert "sprayed" in page.now
    assert not page.stands
    assert "SPRAY by" not in message(page)


def test_a_decision_whose_day_has_passed_is_not_told_as_one(book: Casebook) -> None:
    page = grower(book, "Dutton Bottom", date(2027, 9, 2))
    assert page.now == "Look at the field first: what was decided on Aug 14 is out of date"
    assert page.by_when[0] == "The last day that a spray could pay was Tue Aug 31."


def test_the_page_looks_no_further_than_its_day(book: Casebook) -> None:
    page = grower(book, "North Eighty", date(2027, 6, 20))
    assert page.what[0] == "Nothing that needs a name was found."
    assert page.now == "No spray"
    assert "Jul" not in page.picture.told


@pytest.mark.parametrize("days", range(0, 80, 8))
def test_a_message_is_short_and_says_what_to_do(days: int, book: Casebook) -> None:
    on = date(2027, 6, 14) + timedelta(days=days)
    for field in season(book, on).fields:
        page = grower(book, field.name or "", on)
        text = message(page)
        assert len(text) <= MOST_CHARACTERS
        assert page.now.split(":")[0].upper() in text.upper()


def test_a_message_stays_short_whatever_it_is_made_of(tmp_path: Path) -> None:
    long = "word " * 300
    note = Said(
        field=long, on=date(2027, 8, 14), text=long, action="spray", spray_by=date(2027, 8, 20),
        rescout_on=date(2027, 8, 21), because=(long,), cautions=(long,), look_for=long, stage="R2",
        problems=(("southern_rust", "fits", ()),),
    )  # fmt: skip
    with season_book(tmp_path, (note,)) as book:
        made = season(book)
        text = message(grower_page(made, made.fields[0]))
    assert len(text) <= MOST_CHARACTERS
    assert "SPRAY by Fri Aug 20 at the latest." in text
    assert "Mind: Word" in text


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("R3", "milk (R3)"),
        ("V9", "9 leaves with a collar (V9)"),
        ("R4-R5", "dough and dent (R4-R5)"),
        (None, ""),
        ("Z9", "Z9 (Z9)"),
    ],
)
def test_stages_in_plain_words(code: str | None, said: str) -> None:
    assert stage_words(code) == said


# ---------------------------------------------------------------- history and due


def test_the_history_has_the_open_question_on_top(book: Casebook) -> None:
    lines = history_words(book, book.field("Dutton Bottom"), ON).splitlines()
    assert lines[1] == "Open question: Is it above the ear leaf now?"
    assert lines[2] == "Open: look again Thu Aug 19; last useful spray day Tue Aug 31"
    assert any(line.strip().startswith("low leaves") and "A" in line for line in lines)
    assert any(line.strip().startswith("ear leaf") and "o" in line.split("|")[1] for line in lines)


def test_the_history_tells_why_and_what_was_done(book: Casebook) -> None:
    text = history_words(book, book.field("North Eighty"), ON)
    assert "because: The threshold is met." in text
    assert "done: sprayed" in text
    assert "Open question" not in text


def test_a_field_without_notes_has_a_history(tmp_path: Path) -> None:
    with Casebook.open(tmp_path / "c.db") as book:
        entry = say(book, Said(field="F 1", on=date(2027, 7, 1), text="x"))
        field = book.field("F 1")
        book.derive(entry.uid, "k", {"entries": []}, [])
        assert history_words(book, field, ON) == "F 1\n  Nothing was noted."


def due_row(field: str, spray_by: date | None, rescout_on: date | None) -> DueRow:
    return DueRow(
        case_id=f"{field}-2027", field=field, noted_on=date(2027, 7, 1), action="hold", spray_by=spray_by,
        rescout_on=rescout_on, lead="tar_spot", standing="fits", stage="R1", entry_uid=field,
    )  # fmt: skip


def test_due_parts_today_this_week_and_later() -> None:
    rows = [
        due_row("A", ON, None),
        due_row("B", None, ON - timedelta(days=3)),
        due_row("C", None, ON + timedelta(days=7)),
    ]
    rows.append(due_row("D\x1b[2J", None, ON + timedelta(days=8)))
    lines = due_text(rows, ON, lambda row: f"because {row.field}").splitlines()
    assert [line for line in lines if not line.startswith(" ")] == [
        "Due as of Sun Aug 15, 2027:", "Today:", "This week, to Sun Aug 22:", "Later:",
    ]  # fmt: skip
    assert "(late)" in next(line for line in lines if line.startswith("  B"))
    assert "(late)" not in next(line for line in lines if line.startswith("  A"))
    assert "\x1b" not in "".join(lines)


def test_due_says_why(book: Casebook) -> None:
    assert "      Still low in the canopy, and this weather does not suit it: hold." in due_words(book, ON)


def test_history_lines_obey_no_escape() -> None:
    row = LogRow(
        on=ON, field="F\x1b", case_id="c", kind="note", stage="R1", found="tar_spot", standing="fits",
        action="hold", spray_by=None, rescout_on=ON, text="a\x1b[2J\nb", author="a", entry_uid="u",
    )  # fmt: skip
    text = history_text([row], "F\x1b")
    assert "\x1b" not in text
    assert '"a [2J b"' in text


# ---------------------------------------------------------------- small things


@pytest.mark.parametrize(
    ("cell", "safe"),
    [
        ("=1", "'=1"),
        ("  @x", "'  @x"),
        ("\t=1", "' =1"),
        ("a; =1", "a;' =1"),
        ("a-b", "a-b"),
        ("\uff1d1", "'\uff1d1"),
    ],
)
def test_cells_that_would_calculate_are_made_text(cell: str, safe: str) -> None:
    assert harmless(cell) == safe


def test_markup_escapes_text_and_values() -> None:
    assert tag("p", '<b>"&', title='"><x') == '<p title="&quot;&gt;&lt;x">&lt;b&gt;&quot;&amp;</p>'


def test_text_is_cut_at_a_word() -> None:
    assert clipped("one two three four", 12) == "one two..."
    assert clipped("one", 12) == "one"
    assert len(clipped("w" * 100, 12)) == 12
    assert sentence("  all of it ") == "All of it."


def test_labels_do_not_touch_and_the_last_is_shown() -> None:
    assert spread([0, 10, 50, 90, 100], 40) == [True, False, True, False, True]
    assert spread([], 40) == []


def test_a_season_of_one_day_lies_in_the_middle() -> None:
    days = days_over([ON], 0, 100)
    assert days is not None
    assert days.x(ON) == 50


def test_fields_are_listed_as_people_count(tmp_path: Path) -> None:
    notes = tuple(
        Said(field=name, on=date(2027, 7, 1), text="x", action="no_spray")
        for name in ("F 10", "F 2", "f 1", "A", "7 up")
    )
    with season_book(tmp_path, notes) as book:
        assert [f.name for f in season(book).fields] == ["7 up", "A", "f 1", "F 2", "F 10"]
