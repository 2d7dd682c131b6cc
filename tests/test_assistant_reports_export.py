"""Every form: the same bytes each time, harmless whatever the notes say, written whole or not at all."""

from __future__ import annotations

import csv
import io
import json
import tracemalloc
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from assistant.casebook.book import Casebook
from assistant.reports.export import (
    FORMS,
    PAGE_FORMS,
    PICTURES,
    CannotWrite,
    file_name,
    write,
    write_page,
    write_picture,
)
from rules.model import WrongWords
from tests.reports_season import NOTES, ON, THEN, Said, do, fact, say, season_book, written


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Casebook]:
    with season_book(tmp_path) as opened:
        yield opened


def page(book: Casebook, form: str, field: str = "North Eighty", on: date = ON) -> bytes:
    out = io.BytesIO()
    write_page(book, form, out, field=field, on=on)
    return out.getvalue()


# ---------------------------------------------------------------- the same bytes


@pytest.mark.parametrize("form", FORMS)
def test_the_same_casebook_gives_the_same_bytes(form: str, book: Casebook) -> None:
    assert written(book, form) == written(book, form)


@pytest.mark.parametrize("form", FORMS)
def test_the_same_notes_in_another_file_give_the_same(form: str, book: Casebook, tmp_path: Path) -> None:
    """The uids of the two files differ, the reports do not."""
    with season_book(tmp_path, name="other.db") as other:
        assert {e.uid for e in other.journal()}.isdisjoint(e.uid for e in book.journal())
        assert written(other, form) == written(book, form)


@pytest.mark.parametrize("form", PAGE_FORMS)
def test_the_page_is_the_same_each_time(form: str, book: Casebook) -> None:
    assert page(book, form) == page(book, form)


@pytest.mark.parametrize("form", FORMS)
def test_no_uid_of_the_casebook_leaves_it(form: str, book: Casebook) -> None:
    if form not in ("xlsx", "pdf"):  # packed; their cells are read in tests of their own
        data = written(book, form).decode()
        assert not [e.uid for e in book.journal() if e.uid in data]


# ---------------------------------------------------------------- what is asked for


@pytest.mark.parametrize("form", [f for f in FORMS if f != "ics"])
def test_the_count_is_that_of_the_lines(form: str, book: Casebook) -> None:
    assert write(book, form, io.BytesIO(), year=2027, on=ON) == len(NOTES) + 1  # the harvest is one too
    assert write(book, form, io.BytesIO(), year=2026, on=ON) == 0


@pytest.mark.parametrize("form", FORMS)
def test_an_empty_season_has_every_form(form: str, tmp_path: Path) -> None:
    with Casebook.open(tmp_path / "empty.db") as empty:
        assert written(empty, form)


def test_one_field_or_one_hybrid(book: Casebook) -> None:
    assert {n["field"] for n in json.loads(written(book, "json", field="voss"))["notes"]} == {"Voss"}
    only = json.loads(written(book, "json", hybrid="larkspur  108"))
    assert {n["field"] for n in only["notes"]} == {"North Eighty"}
    assert len(only["notes"]) == 3  # the notes that do not say the hybrid again are its too


def test_a_season_that_is_over_has_nothing_due(book: Casebook) -> None:
    assert json.loads(written(book, "json", year=2026))["due"] == []
    assert len(json.loads(written(book, "json"))["due"]) == 1


def test_a_hybrid_that_nobody_named_is_said_so(book: Casebook) -> None:
    with pytest.raises(WrongWords, match=r"Larkspur 108, Tamarack 111"):
        written(book, "csv", hybrid="Ironbark")


def test_an_unknown_form_says_which_there_are(book: Casebook) -> None:
    with pytest.raises(WrongWords, match="geojson"):
        written(book, "docx")
    with pytest.raises(WrongWords, match="hybrids"):
        write_picture(book, "portrait", io.BytesIO(), year=2027, on=ON)
    with pytest.raises(WrongWords, match="name it"):
        write_picture(book, "progress", io.BytesIO(), year=2027, on=ON)


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_alone_is_a_file_of_its_own(name: str, book: Casebook) -> None:
    out = io.BytesIO()
    write_picture(book, name, out, year=2027, on=ON, field="Voss" if name == "progress" else None)
    assert out.getvalue().startswith(b"<svg xmlns=")


# ---------------------------------------------------------------- files


@pytest.mark.parametrize("form", FORMS)
def test_a_file_is_written_whole(form: str, book: Casebook, tmp_path: Path) -> None:
    file = tmp_path / f"season.{FORMS[form]}"
    file.write_bytes(b"the old one")
    write(book, form, file, year=2027, on=ON)
    assert file.read_bytes() == written(book, form)
    assert sorted(p.name for p in tmp_path.glob("season*")) == [file.name]


def test_a_file_stays_as_it_was_when_the_new_one_fails(book: Casebook, tmp_path: Path) -> None:
    file = tmp_path / "season.csv"
    file.write_bytes(b"the old one")
    with pytest.raises(WrongWords):
        write(book, "csv", file, year=2027, on=ON, hybrid="nobody's")
    assert file.read_bytes() == b"the old one"
    assert not file.with_name("season.csv.part").exists()


def test_a_folder_that_is_not_there_is_a_sentence(book: Casebook, tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="cannot be written"):
        write(book, "csv", tmp_path / "nowhere" / "season.csv", year=2027, on=ON)


@pytest.mark.parametrize("name", ["../../etc/passwd", "C:\\evil 1", "a/b\0c", "CON 1", "..", "~root 2"])
def test_a_file_name_is_letters_digits_and_dashes(name: str, tmp_path: Path) -> None:
    with Casebook.open(tmp_path / "c.db") as book:
        field = book.add_field(name + "x", author="a", made_at=THEN, about=ON)
        made = file_name("csv", year=2027, field=field, hybrid=name)
    stem, ending = made.rsplit(".", 1)
    assert ending == "csv"
    assert set(stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert stem.startswith("season-2027-")


# ---------------------------------------------------------------- harmless

NASTY = (
    '=HYPERLINK("http://x.invalid","y") <script>alert(1)</script> \x1b]0;own\x07\x1b[2J \x9b31m '
    "'); DROP TABLE entries;-- ${jndi:ldap://x} {nb} {{7*7}} %s \u202eevil ;=1+1 | a |b \ud83d x"
)


@pytest.fixture
def nasty(tmp_path: Path) -> Iterator[Casebook]:
    name = "<img src=x onerror=alert(2)>'\";=cmd|' /C calc'!A0 1"
    note = Said(
        field=name, on=date(2027, 8, 1), text=NASTY, action="hold", spray_by=date(2027, 8, 20),
        rescout_on=date(2027, 8, 18), stage="R2\x1b[31m", because=(NASTY,), cautions=(NASTY,), ask=NASTY,
        look_for=NASTY, problems=(("southern_rust", "fits", (fact("leaf_from_ear", 0),)),),
        facts=(fact("hybrid", "=1+1 <b>bold</b>"), fact("hybrid_rating", "<i>x</i>")),
    )  # fmt: skip
    with season_book(tmp_path, (note,), name="nasty.db") as book:
        do(book, "lab_result", name, date(2027, 8, 2), text=NASTY, disorder="<script>", found=False)
        do(book, "position", name, date(2027, 8, 2), lat="<script>", lon=float(1))
        yield book


def outputs(book: Casebook) -> Iterator[tuple[str, bytes]]:
    for form in FORMS:
        yield form, written(book, form)
    for form in PAGE_FORMS:
        yield f"page {form}", page(book, form, book.fields()[0].name)


def test_no_form_holds_a_character_that_moves_a_terminal_or_turns_text(nasty: Casebook) -> None:
    for form, data in outputs(nasty):
        if form in ("xlsx", "pdf", "page pdf"):
            continue
        text = data.decode("utf-8")
        bad = {c for c in text if not c.isprintable() and c not in "\r\n"}
        assert not bad, f"{form}: {bad!r}"


def test_nothing_said_becomes_markup(nasty: Casebook) -> None:
    for form, data in outputs(nasty):
        if form.endswith("html"):
            text = data.decode()
            assert "<img" not in text
            assert "<b>bold" not in text
            assert text.count("<script") == (1 if form == "html" else 0)
    assert b"<script" not in written(nasty, "markdown")


def test_no_csv_cell_begins_a_formula_in_any_spreadsheet(nasty: Casebook) -> None:
    """The characters are those of the OWASP page on CSV injection."""
    text = written(nasty, "csv").decode()
    for delimiter in (",", ";", "\t"):
        for row in csv.reader(io.StringIO(text), delimiter=delimiter):
            assert not [cell for cell in row if cell.lstrip(' "').startswith(("=", "+", "-", "@"))]


def test_the_tables_are_still_there(nasty: Casebook) -> None:
    assert nasty.check() == ()
    assert len(nasty.journal()) == 4


def test_json_gives_the_words_back_as_they_were_said(nasty: Casebook) -> None:
    notes = json.loads(written(nasty, "json"))["notes"]
    assert notes[0]["text"] == nasty.entries_all("note")[0].text


@pytest.mark.parametrize("form", FORMS)
def test_a_very_long_note_and_word_pass_through_every_form(form: str, tmp_path: Path) -> None:
    """A cell of a workbook holds 32,767 characters, a page of paper less: nothing may fail on it."""
    long = Said(field="Long", on=date(2027, 8, 1), text="w" * 20_000 + " word" * 10_000, action="no_spray")
    with season_book(tmp_path, (long,), name="long.db") as book:
        assert written(book, form)


@pytest.mark.parametrize(
    "answer", [{}, {"entries": None}, {"entries": [{"field": "F 1", "problems": [{}], "facts": [3]}]}]
)
@pytest.mark.parametrize("form", FORMS)
def test_an_answer_of_another_version_does_not_stop_a_report(
    form: str, answer: dict[str, object], tmp_path: Path
) -> None:
    with season_book(tmp_path, (), name="odd.db") as book:
        entry = say(book, Said(field="F 1", on=date(2027, 8, 1), text="x"))
        book.derive(entry.uid, "k", answer, [])
        assert written(book, form)


# ---------------------------------------------------------------- bounded memory


@pytest.mark.parametrize("form", ["csv", "json"])
def test_big_answers_are_not_held_together(form: str, tmp_path: Path) -> None:
    """Two hundred answers of 200 kB each go through in the room of a few."""
    big = (fact("note", "x" * 200_000),)
    with season_book(tmp_path, (), name="big.db") as book:
        for number in range(200):
            say(
                book,
                Said(
                    field=f"Field {number % 10}", on=date(2027, 8, 1), text="t", facts=big, action="no_spray"
                ),
            )
        write(book, form, _Nowhere(), year=2027, on=ON)  # imports and caches are not what is measured
        tracemalloc.start()
        write(book, form, _Nowhere(), year=2027, on=ON)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert peak < 6_000_000


class _Nowhere(io.RawIOBase):
    def write(self, data: object) -> int:  # type: ignore[override]
        return len(data)  # type: ignore[arg-type]
