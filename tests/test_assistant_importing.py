"""Old notes out of folders and tables: what is placed on which day, and what is left and why."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.casebook.book import Casebook
from assistant.dates_written import dates_in, the_one, without
from assistant.importing import Found, Left, OldNote, bring_in, in_folder, in_table
from assistant.loaded import Loaded, load
from assistant.replay import replay
from rules.model import WrongWords

NOW = datetime(2028, 1, 5, 8, 0, tzinfo=UTC)
DAY = date(2027, 7, 28)


@cache
def loaded() -> Loaded:
    return load()


@pytest.fixture
def book() -> Iterator[Casebook]:
    with Casebook.open_copy(None) as opened:
        yield opened


def files(folder: Path, **contents: str) -> Path:
    for name, text in contents.items():
        path = folder / name.replace("__", "/")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode())
    return folder


def brought(found: Found, book: Casebook) -> list[str]:
    return [source for source, _ in bring_in(found, book, loaded(), author="ann", made_at=NOW).taken]


# ---------------------------------------------------------------- dates


@pytest.mark.parametrize(
    "text",
    [
        *("2027-07-28", "2027-7-28", "2027_07_28", "2027.07.28", "20270728"),
        *("7/28/2027", "07/28/2027", "7-28-2027", "7.28.2027", "7_28_2027"),
        *("July 28, 2027", "july 28 2027", "Jul 28th, 2027", "JUL. 28 2027", "Jul_28_2027"),
        *("28 July 2027", "28-Jul-2027", "28jul2027", "28. July, 2027"),
        *("north eighty 2027-07-28 evening", "2027-07-28_north_eighty", "visit 2 7/28/2027"),
        "7/28/2027 and once more July 28, 2027",
    ],
)
def test_a_date_in_any_of_the_usual_ways(text: str) -> None:
    assert the_one(dates_in(text)) == (DAY, "")


@pytest.mark.parametrize("text", ["7/28/27", "July 28", "28 July", "7/28", "jul 28 '27"])
def test_a_year_left_out_must_be_told(text: str) -> None:
    assert the_one(dates_in(text))[0] is None
    assert the_one(dates_in(text, 2027)) == (DAY, "")


def test_a_short_year_that_is_not_the_one_told() -> None:
    day, why = the_one(dates_in("7/28/26", 2027))
    assert day is None
    assert 'the year of "7/28/26" has two digits' in why


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("28/7/2027", '"28/7/2027" is no date: it is read as a month, day and year'),
        ("2027-13-01", '"2027-13-01" is no date: it is read as a year, month and day'),
        ("February 30, 2027", "is no date"),
        ("2027-07-28 to 2027-07-29", "more than one date (2027-07-28, 2027-07-29)"),
        ("north eighty", "no date"),
        ("field 12 of 40", "no date"),
        ("1234567", "no date"),
        ("R5-R6, 30000 plants", "no date"),
        ("maybe 5 lesions, march 5000", "no date"),
        ("July 2027", "no date"),
    ],
)
def test_what_is_no_date(text: str, why: str) -> None:
    day, said = the_one(dates_in(text))
    assert day is None
    assert why in said


@given(st.dates(date(1901, 1, 1), date(2099, 12, 31)))
def test_every_day_is_read_as_it_was_written(day: date) -> None:
    for form in ("%Y-%m-%d", "%Y%m%d", "%m/%d/%Y", "%B %d, %Y", "%d %b %Y"):
        assert the_one(dates_in(f"x {day.strftime(form)} y")) == (day, "")


@given(st.text())
def test_any_text_is_looked_through(text: str) -> None:
    for found in dates_in(text, 2027):
        assert text[slice(*found.span)] == found.text
        assert (found.day is None) == bool(found.fault)


def test_what_is_left_of_a_name() -> None:
    name = "2027-07-28_north_eighty-(2)"
    assert without(name, dates_in(name)) == "north eighty 2"


# ---------------------------------------------------------------- folders


def test_a_folder_of_notes(tmp_path: Path) -> None:
    files(
        tmp_path,
        **{
            "2027-07-28.txt": "Voss: clean",
            "hill__07-20-2027 evening.md": "Hill: gray lesions",
            "july.txt": "7/21/2027 Creek: nothing yet",
            "heading.md": "\n# Date: Wed, July 14, 2027\nCreek: clean",
            "planted.txt": "planted 4/28/2027, V6 now",
            "sometime.txt": "clean everywhere",
            "two 2027-07-01 2027-07-02.txt": "x",
            "blank 2027-07-28.txt": " \n",
            "leaf.jpg": "x",
            "europe 28-07-2027.txt": "x",
        },
    )
    (tmp_path / "2027-07-03.txt").write_bytes(b"caf\xe9")
    found = in_folder(tmp_path)
    assert [(note.source, note.on.isoformat()) for note in found.notes] == [
        ("heading.md", "2027-07-14"),
        ("hill/07-20-2027 evening.md", "2027-07-20"),
        ("july.txt", "2027-07-21"),
        ("2027-07-28.txt", "2027-07-28"),
    ]
    assert {left.source: left.why for left in found.left} == {
        "planted.txt": 'no date in its name, and "4/28/2027" does not stand at the head of its first line',
        "sometime.txt": "no date in its name or first line",
        "two 2027-07-01 2027-07-02.txt": "more than one date (2027-07-01, 2027-07-02)",
        "blank 2027-07-28.txt": "empty",
        "leaf.jpg": "only .txt and .md files are read",
        "europe 28-07-2027.txt": '"28-07-2027" is no date: it is read as a month, day and year',
        "2027-07-03.txt": "not in UTF-8",
    }


def test_words_stay_as_they_are_and_names_are_fields_only_if_told(tmp_path: Path) -> None:
    text = "7/28/2027\r\n  gray lesions \n"
    files(tmp_path, **{"north_eighty.txt": text})
    assert in_folder(tmp_path).notes[0].text == text
    assert in_folder(tmp_path).notes[0].field is None
    assert in_folder(tmp_path, names_are_fields=True).notes[0].field == "north eighty"


def test_no_folder(tmp_path: Path) -> None:
    with pytest.raises(WrongWords, match="is no folder"):
        in_folder(tmp_path / "nowhere")


# ---------------------------------------------------------------- tables


def table(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "log.csv"
    path.write_bytes(text.encode())
    return path


def test_a_table(tmp_path: Path) -> None:
    path = table(
        tmp_path,
        "\ufeffDate,Acres,FIELD,Text\r\n"
        '7/28/2027,80,Voss,"gray lesions,\r\nbelow the ear leaf"\r\n'
        "2027-07-20,80,,clean\r\n"
        "\r\n"
        "soon,80,Voss,x\r\n"
        "7/28,80,Voss,x\r\n"
        "2027-07-21,80,Voss,\r\n"
        "2027-07-22\r\n",
    )
    found = in_table(path)
    assert found.notes == (
        OldNote(source="log.csv, row 3", on=date(2027, 7, 20), text="clean"),
        OldNote(source="log.csv, row 2", on=DAY, text="gray lesions,\r\nbelow the ear leaf", field="Voss"),
    )
    assert found.left == (
        Left(source="log.csv, row 5", why='no date in "soon"'),
        Left(source="log.csv, row 6", why='"7/28" has no year; say which year is meant'),
        Left(source="log.csv, row 7", why="no words"),
        Left(source="log.csv, row 8", why="no words"),
    )
    assert len(in_table(path, year=2027).notes) == 3


def test_columns_by_other_names(tmp_path: Path) -> None:
    path = table(tmp_path, "When;Where;What;Who\n2027-07-28;Voss;clean;bob\n")
    columns = {"date": "when", "field": "WHERE", "text": "What", "author": "Who"}
    found = in_table(path, columns=columns, delimiter=";")
    assert found.notes == (
        OldNote(source="log.csv, row 2", on=DAY, text="clean", field="Voss", author="bob"),
    )


@pytest.mark.parametrize(
    ("text", "columns", "says"),
    [
        (
            "date,words\n",
            {},
            'needs one column "text" for the text; it is not there. Its columns: date, words',
        ),
        ("date,text,Text\n", {}, "it is twice"),
        ("date,text\n", {"field": "plot"}, 'one column "plot"'),
        ("date,text\n", {"when": "date"}, "'when' is nothing to import"),
        ("", {}, "Its columns: none"),
        ('date,text\n2027-07-28,"x" y\n', {}, "line 2: this is no CSV"),
    ],
)
def test_a_table_that_cannot_be_read(tmp_path: Path, text: str, columns: dict[str, str], says: str) -> None:
    with pytest.raises(WrongWords) as caught:
        in_table(table(tmp_path, text), columns=columns)
    assert says in str(caught.value)


def test_a_table_that_is_not_there_or_not_utf_8(tmp_path: Path) -> None:
    with pytest.raises(WrongWords, match="cannot be read"):
        in_table(tmp_path / "nowhere.csv")
    path = tmp_path / "log.csv"
    path.write_bytes(b"date,text\n2027-07-28,caf\xe9\n")
    with pytest.raises(WrongWords, match="not in UTF-8"):
        in_table(path)


# ---------------------------------------------------------------- into the casebook

OLD = Found(
    notes=(
        OldNote(
            source="a",
            on=date(2027, 7, 20),
            text="orange pustules on the ear leaf at R2, 8 of 20",
            field="Voss",
        ),
        OldNote(source="b", on=DAY, text="Creek field: clean at R3", author="bob"),
    ),
    left=(Left(source="c", why="empty"),),
)


def test_they_are_notes_like_any_other_and_open_no_rescout(book: Casebook) -> None:
    told: list[tuple[int, int]] = []
    done = bring_in(
        OLD, book, loaded(), author="ann", made_at=NOW, progress=lambda number, of: told.append((number, of))
    )
    assert ([source for source, _ in done.taken], done.known, done.left) == (["a", "b"], (), OLD.left)
    assert told == [(1, 2), (2, 2)]
    first, second = book.entries_all("note")
    assert (first.about, first.made_at, first.author, first.body["imported"]) == (
        date(2027, 7, 20),
        NOW,
        "ann",
        True,
    )
    assert (second.author, second.body["text"]) == ("bob", "Creek field: clean at R3")
    assert [row.case_id for row in book.history(book.field("Voss"))] == ["voss-2027"]
    assert book.answer(first.uid) is not None
    assert book.due(DAY) == ()


def test_bringing_in_again_adds_none_though_one_was_corrected(book: Casebook) -> None:
    from assistant.casebook.rows import NewEntry

    assert brought(OLD, book) == ["a", "b"]
    first = book.entries_all("note")[0]
    better = NewEntry(
        author="ann", made_at=NOW, about=DAY, kind="correction", body={"text": "better"}, refers_to=first.uid
    )
    book.record(better)
    again = bring_in(OLD, book, loaded(), author="ann", made_at=NOW)
    assert (again.taken, again.known) == ((), ("a", "b"))
    assert len(book.entries_all("note")) == 2


def test_the_same_note_twice_in_one_folder_comes_in_once(book: Casebook) -> None:
    twice = Found(
        notes=(OLD.notes[1], OldNote(source="copy", on=DAY, text=" Creek field:  clean at R3\n")), left=()
    )
    done = bring_in(twice, book, loaded(), author="ann", made_at=NOW)
    assert (len(done.taken), done.known) == (1, ("copy",))


def test_a_field_that_could_be_two_is_left_and_told(book: Casebook) -> None:
    for name in ("North Eighty East", "North Eighty West"):
        book.add_field(name, author="ann", made_at=NOW, about=DAY)
    doubtful = Found(notes=(OldNote(source="a", on=DAY, text="clean at R3", field="North Eighty"),), left=())
    done = bring_in(doubtful, book, loaded(), author="ann", made_at=NOW)
    (left,) = done.left
    assert "could be more than one field" in left.why
    assert book.entries_all("note") == ()


def test_an_import_is_replayed_like_anything_else(book: Casebook) -> None:
    brought(OLD, book)
    found = replay(book, loaded())
    assert (found.derived, found.changes, found.failed) == (2, (), ())
