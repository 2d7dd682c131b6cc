"""What waits, in which order; the season log; the history of a field; the views that people read."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Derived, Entry, NewEntry

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)


def july(day: int) -> date:
    return date(2027, 7, day)


def august(day: int) -> date:
    return date(2027, 8, day)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Casebook]:
    with Casebook.open(tmp_path / "casebook.db") as opened:
        yield opened


def say(book: Casebook, name: str, on: date, *, imported: bool = False, **outcome: object) -> Entry:
    """A note about a field and what it led to."""
    body: dict[str, object] = {"text": f"{name} on the {on.day}th"}
    if imported:
        body["imported"] = True
    entry = book.record(NewEntry(author="ann", made_at=THEN, about=on, kind="note", body=body))
    field = book.add_field(name, author="ann", made_at=THEN, about=on, because=entry.uid)
    scene = Derived(field_uid=field.uid, case_id=book.case_for(field, on), **outcome)  # type: ignore[arg-type]
    book.derive(entry.uid, "k1", {"version": 1}, [scene])
    return entry


def do(book: Casebook, kind: str, name: str, on: date, **body: object) -> Entry:
    field = book.field(name)
    new = NewEntry(
        author="ann", made_at=THEN, about=on, kind=kind, body={"text": kind, **body}, field_uid=field.uid
    )
    return book.record(new)


def waiting(book: Casebook, on: date) -> list[str | None]:
    return [row.field for row in book.due(on)]


# ---------------------------------------------------------------- due


def test_last_useful_spray_day_first_then_rescout_day(book: Casebook) -> None:
    say(book, "No Window", july(20), action="no_spray", rescout_on=july(25))
    say(book, "Late Window", july(20), action="hold", rescout_on=july(24), spray_by=august(9))
    say(book, "Early Window", july(20), action="hold", rescout_on=july(30), spray_by=august(2))
    say(book, "Same Window Sooner", july(20), action="hold", rescout_on=july(26), spray_by=august(2))
    say(book, "Spray Now", july(20), action="spray", spray_by=august(2))
    say(book, "Clean", july(20), action="no_spray")
    assert waiting(book, july(21)) == [
        "Same Window Sooner",
        "Early Window",
        "Spray Now",
        "Late Window",
        "No Window",
    ]


def test_a_row_says_what_it_is_about(book: Casebook) -> None:
    entry = say(
        book,
        "Spring Draw",
        july(20),
        action="hold",
        rescout_on=july(27),
        spray_by=august(3),
        lead="tar_spot",
        standing="fits",
        stage="R3",
    )
    (row,) = book.due(july(21))
    assert (row.case_id, row.field, row.noted_on, row.action) == (
        "spring-draw-2027",
        "Spring Draw",
        july(20),
        "hold",
    )
    assert (row.lead, row.standing, row.stage, row.entry_uid) == ("tar_spot", "fits", "R3", entry.uid)
    assert row.next_on == july(27)


def test_a_later_note_on_the_field_closes_it(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "North 80", july(21), action="no_spray")
    assert waiting(book, july(28)) == ["Spring Draw"]
    say(book, "the spring draw", july(27), action="no_spray")
    assert waiting(book, july(28)) == []
    assert waiting(book, july(26)) == ["Spring Draw"]


def test_a_later_note_can_open_it_again(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "Spring Draw", july(27), action="hold", rescout_on=august(3))
    assert [row.rescout_on for row in book.due(july(28))] == [august(3)]


def test_a_note_of_an_earlier_day_entered_late_closes_nothing(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "Spring Draw", july(10), action="no_spray")
    assert waiting(book, july(28)) == ["Spring Draw"]


def test_two_notes_of_one_day_count_in_the_order_they_came(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="no_spray")
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    assert waiting(book, july(20)) == ["Spring Draw"]


def test_talk_of_prices_closes_nothing(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "Spring Draw", july(22), visit=False)
    assert waiting(book, july(28)) == ["Spring Draw"]


@pytest.mark.parametrize(("kind", "still"), [("spray", []), ("outcome", []), ("lab_result", ["Spring Draw"])])
def test_what_was_done_closes_it_what_came_by_post_does_not(
    book: Casebook, kind: str, still: list[str]
) -> None:
    say(book, "Spring Draw", july(20), action="spray", spray_by=july(30))
    do(book, kind, "Spring Draw", july(24))
    assert waiting(book, july(25)) == still


def test_undo_opens_it_again(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "Spring Draw", july(27), action="no_spray")
    book.withdraw_last("ann", THEN)
    assert waiting(book, july(28)) == ["Spring Draw"]


def test_the_end_of_the_season_closes_it(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    assert waiting(book, date(2027, 12, 31)) == ["Spring Draw"]
    assert waiting(book, date(2028, 1, 1)) == []


def test_old_notes_that_were_brought_in_open_none_but_may_close_one(book: Casebook) -> None:
    say(book, "North 80", july(20), imported=True, action="hold", rescout_on=july(27))
    assert waiting(book, july(21)) == []
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "Spring Draw", july(22), imported=True, action="hold", rescout_on=july(29))
    assert waiting(book, july(23)) == []


def test_a_note_about_two_fields_opens_both(book: Casebook) -> None:
    one = book.add_field("Spring Draw", author="ann", made_at=THEN, about=july(20))
    two = book.add_field("North 80", author="ann", made_at=THEN, about=july(20))
    note = NewEntry(author="ann", made_at=THEN, about=july(20), kind="note", body={"text": "both"})
    uid = book.record(note).uid
    scenes = [
        Derived(field_uid=f.uid, case_id=book.case_for(f, july(20)), action="hold", rescout_on=day)
        for f, day in ((one, july(28)), (two, july(26)))
    ]
    book.derive(uid, "k1", {}, scenes)
    assert waiting(book, july(21)) == ["North 80", "Spring Draw"]
    assert [row.field for row in book.season(2027)] == ["Spring Draw", "North 80"]


def test_the_view_for_people_agrees(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold", rescout_on=july(27))
    say(book, "North 80", july(20), action="hold", rescout_on=july(26), spray_by=august(2))
    say(book, "Gantt", july(20), action="hold", rescout_on=july(26))
    say(book, "Gantt", july(25), action="no_spray")
    rows = book._db.execute("SELECT field, rescout_on FROM open_rescouts").fetchall()
    assert rows == [(row.field, str(row.rescout_on)) for row in book.due(july(26))]
    assert rows == [("North 80", "2027-07-26"), ("Spring Draw", "2027-07-27")]


# ---------------------------------------------------------------- season and history


def test_the_season_in_the_order_of_days_with_what_stands(book: Casebook) -> None:
    say(book, "North 80", july(22), action="no_spray", stage="R2")
    first = say(
        book, "Spring Draw", july(20), action="hold", rescout_on=july(27), lead="tar_spot", standing="fits"
    )
    say(book, "Gantt", july(21), action="no_spray")
    book.withdraw_last("ann", THEN)
    correction = NewEntry(
        author="bea",
        made_at=THEN,
        about=july(20),
        kind="correction",
        body={"text": "better words"},
        refers_to=first.uid,
    )
    book.record(correction)
    do(book, "spray", "Spring Draw", july(29))
    say(book, "Spring Draw", date(2028, 7, 1), action="scout")
    rows = book.season(2027)
    assert [(row.on, row.field, row.kind, row.text) for row in rows] == [
        (july(20), None, "note", "better words"),  # not derived again yet
        (july(22), "North 80", "note", "North 80 on the 22th"),
        (july(29), "Spring Draw", "spray", "spray"),
    ]
    scene = Derived(field_uid=book.field("Spring Draw").uid, case_id="spring-draw-2027", lead="tar_spot")
    book.derive(first.uid, "k1", {}, [scene])
    assert next((row.field, row.found) for row in book.season(2027)) == ("Spring Draw", "tar_spot")
    view = book._db.execute("SELECT date, field, kind, text FROM season WHERE date < '2028'").fetchall()
    assert view == [(str(row.on), row.field, row.kind, row.text) for row in book.season(2027)]


def test_the_season_of_one_field_and_its_history(book: Casebook) -> None:
    say(book, "Spring Draw", july(20), action="hold")
    say(book, "North 80", july(21), action="no_spray")
    say(book, "Spring Draw", date(2028, 7, 2), action="scout")
    draw = book.field("Spring Draw")
    assert [row.on for row in book.season(2027, draw)] == [july(20)]
    assert [(row.on, row.case_id) for row in book.history(draw)] == [
        (july(20), "spring-draw-2027"),
        (date(2028, 7, 2), "spring-draw-2028"),
    ]
    view = book._db.execute("SELECT date FROM field_history WHERE field = 'Spring Draw'").fetchall()
    assert view == [("2027-07-20",), ("2028-07-02",)]


def test_the_entries_of_a_case_are_its_notes_and_what_was_done(book: Casebook) -> None:
    say(book, "Spring Draw", july(22), action="hold")
    say(book, "North 80", july(21), action="no_spray")
    say(book, "Spring Draw", july(20), action="hold")
    do(book, "spray", "Spring Draw", july(21))
    kinds = [(entry.kind, entry.about) for entry in book.entries("spring-draw-2027")]
    assert kinds == [("note", july(20)), ("spray", july(21)), ("note", july(22))]
