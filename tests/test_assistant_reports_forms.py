"""Each form read back by a program that is not ours."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from datetime import date, datetime
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from assistant.casebook.book import Casebook
from assistant.reports.drawing import Line, Picture, Words
from assistant.reports.export import PICTURES, write_page, write_picture
from assistant.reports.ics import folded, literal
from assistant.reports.places import place_of
from assistant.reports.slicing import sliced
from tests.reports_season import ON, Said, do, fact, say, season_book, written

openpyxl = pytest.importorskip("openpyxl")
icalendar = pytest.importorskip("icalendar")
pypdf = pytest.importorskip("pypdf")


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Casebook]:
    with season_book(tmp_path) as opened:
        yield opened


# ---------------------------------------------------------------- CSV, Markdown


def test_csv_has_a_line_for_each_line_of_the_log(book: Casebook) -> None:
    rows = list(csv.DictReader(io.StringIO(written(book, "csv").decode())))
    assert [r["date"] for r in rows] == sorted(r["date"] for r in rows)
    assert rows[1]["hybrid"] == "Larkspur 108"  # named in June, true in July
    assert rows[1]["spray_by"] == "2027-07-20"
    assert rows[-1]["decision"] == "hold"


def test_csv_lines_end_as_rfc_4180_says(book: Casebook) -> None:
    data = written(book, "csv")
    assert data.count(b"\r\n") == data.count(b"\n") == 8


def test_markdown_shows_due_first_and_links_nothing(tmp_path: Path) -> None:
    note = Said(
        field="F 1", on=date(2027, 8, 14), text="see ![x](http://x.invalid/a.png) | and `code`",
        action="hold",
        rescout_on=date(2027, 8, 18),
    )  # fmt: skip
    with season_book(tmp_path, (note,)) as book:
        text = written(book, "markdown").decode()
    assert text.index("## Due as of Sun Aug 15, 2027") < text.index("## F 1")
    assert r"\!\[x\](http://x.invalid/a.png) \| and \`code\`" in text


# ---------------------------------------------------------------- XLSX (read by openpyxl)


def test_the_workbook_has_its_sheets_and_real_dates(book: Casebook) -> None:
    made = openpyxl.load_workbook(io.BytesIO(written(book, "xlsx")))
    assert made.sheetnames == ["notes", "decisions", "fields", "due", "hybrids"]
    for name, column in (("notes", 0), ("decisions", 0), ("fields", 2), ("due", 0)):
        rows = list(made[name].iter_rows(min_row=2, values_only=True))
        assert rows, name
        assert all(isinstance(row[column], datetime) for row in rows), name
    heads = [cell.value for cell in made["decisions"][1]]
    spray = next(r for r in made["decisions"].iter_rows(min_row=2, values_only=True) if r[5] == "spray")
    assert spray[heads.index("spray by")] == datetime(2027, 7, 20)
    assert spray[heads.index("look again")] is None


def test_the_workbook_knows_fields_and_hybrids(book: Casebook) -> None:
    made = openpyxl.load_workbook(io.BytesIO(written(book, "xlsx")))
    fields = {row[0]: row for row in made["fields"].iter_rows(min_row=2, values_only=True)}
    assert fields["North Eighty"][10:12] == (42.03, -93.63)
    assert fields["Voss"][9] == datetime(2027, 8, 10)
    hybrids = list(made["hybrids"].iter_rows(min_row=2, values_only=True))
    assert hybrids[0][:8] == ("Larkspur 108", "Gray leaf spot", "susceptible", "it fits", 1, 1, 13, 20) or (
        hybrids[0][1].lower() == "gray leaf spot" and hybrids[0][6:8] == (13, 20)
    )


def test_no_cell_of_the_workbook_is_a_formula_or_a_link(tmp_path: Path) -> None:
    note = Said(field="=1+1 F", on=date(2027, 8, 1), text='=HYPERLINK("http://x.invalid")', action="no_spray")
    with season_book(tmp_path, (note,)) as book:
        made = openpyxl.load_workbook(io.BytesIO(written(book, "xlsx")))
    for sheet in made:
        assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "f" or c.hyperlink]
    assert made["notes"]["H2"].value == '=HYPERLINK("http://x.invalid")'
    assert made["notes"]["H2"].data_type == "s"


# ---------------------------------------------------------------- JSON, GeoJSON


def test_json_holds_lines_fields_and_what_is_due(book: Casebook) -> None:
    made = json.loads(written(book, "json"))
    assert made["version"] == 1
    assert len(made["notes"]) == 7
    assert {f["field"]: f["lat"] for f in made["fields"]} == {
        "Dutton Bottom": None, "North Eighty": 42.03, "Voss": None,
    }  # fmt: skip
    assert [(d["field"], d["next_on"], d["late"]) for d in made["due"]] == [
        ("Dutton Bottom", "2027-08-19", False)
    ]
    spray = made["notes"][1]
    assert spray["why"] == ["the threshold is met", "the hybrid is susceptible"]
    assert spray["facts"][0] == {**fact("leaf_from_ear", -3)}


def test_geojson_has_the_shape_of_rfc_7946(book: Casebook) -> None:
    """RFC 7946 section 3: FeatureCollection, Feature with geometry or null, longitude before latitude."""
    made = json.loads(written(book, "geojson"))
    assert made["type"] == "FeatureCollection"
    for feature in made["features"]:
        assert feature["type"] == "Feature"
        assert {"geometry", "properties"} <= feature.keys()
    where = {f["properties"]["field"]: f["geometry"] for f in made["features"]}
    assert where["North Eighty"] == {"type": "Point", "coordinates": [-93.63, 42.03]}
    assert where["Voss"] is None


def test_the_latest_position_is_the_fields(book: Casebook) -> None:
    entry = do(book, "setting", "North Eighty", date(2027, 7, 1), name="field position", lat=41.5, lon=-93.0)
    do(book, "setting", "Voss", date(2027, 7, 1), name="colour", value="blue")
    assert _where(book)["North Eighty"] == [-93.0, 41.5]
    book.withdraw(entry.uid, author="ann", made_at=datetime(2027, 7, 2).astimezone())
    assert _where(book)["North Eighty"] == [-93.63, 42.03]
    assert "Voss" not in _where(book)


def _where(book: Casebook) -> dict[str, list[float]]:
    features = json.loads(written(book, "geojson"))["features"]
    return {f["properties"]["field"]: f["geometry"]["coordinates"] for f in features if f["geometry"]}


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"lat": "42", "lon": -93.0},
        {"lat": 420, "lon": -93.0},
        {"lat": float("nan"), "lon": 0},
        {"lat": True, "lon": 0},
    ],
)
def test_a_position_that_is_none_is_told_not_dropped(body: dict[str, object]) -> None:
    place = place_of(body)
    assert place.point is None
    assert place.fault


# ---------------------------------------------------------------- HTML (read by html.parser)


class _Reader(HTMLParser):
    """Collects the elements and checks that they nest."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in ("meta", "input"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def _read(data: bytes) -> _Reader:
    reader = _Reader()
    reader.feed(data.decode())
    reader.close()
    assert not reader.open
    return reader


def test_the_page_is_one_file_that_asks_for_nothing(book: Casebook) -> None:
    data = written(book, "html")
    reader = _read(data)
    assert not [
        a for _, attrs in reader.seen for a in attrs if a in ("src", "href", "style") or a.startswith("on")
    ]
    assert not re.search(rb"url\(|@import|fetch\(|https?://(?!www\.w3\.org/2000/svg)", data)
    policy = next(a["content"] for t, a in reader.seen if t == "meta" and "http-equiv" in a)
    assert policy is not None
    assert policy.startswith("default-src 'none'")


def test_the_page_has_plots_lines_and_a_filter(book: Casebook) -> None:
    reader = _read(written(book, "html"))
    tags = [tag for tag, _ in reader.seen]
    assert tags.count("svg") == 8  # five of the season, one a field
    lines = [a for t, a in reader.seen if t == "tr" and "data-field" in a]
    assert len(lines) == 7
    assert {a["data-action"] for a in lines} == {"no_spray", "spray", "hold", "-"}
    ids = {a.get("id") for _, a in reader.seen}
    script = " ".join(reader.words)
    wanted = set(re.findall(r'getElementById\("(\w+)"\)', script)) | {"field", "found", "action", "kind"}
    assert wanted <= ids


def test_the_open_question_is_shown_while_it_is_open(book: Casebook) -> None:
    assert "Is it above the ear leaf now?" in written(book, "html").decode()
    assert "Is there a shiny film?" not in written(book, "html").decode()  # answered, and the season over


# ---------------------------------------------------------------- iCalendar (read by icalendar)


def test_the_calendar_has_an_event_for_each_due_day(book: Casebook) -> None:
    calendar = icalendar.Calendar.from_ical(written(book, "ics"))
    events = list(calendar.walk("VEVENT"))
    days = {str(e["SUMMARY"]).split(":")[0]: e["DTSTART"].dt for e in events}
    assert days == {"Look again": date(2027, 8, 19), "Last useful spray day": date(2027, 8, 31)}
    assert all("weather does not suit it" in e["DESCRIPTION"] for e in events)
    assert len({str(e["UID"]) for e in events}) == 2


def test_a_later_note_moves_the_event_and_adds_none(book: Casebook) -> None:
    def events(on: date) -> dict[str, int]:
        calendar = icalendar.Calendar.from_ical(written(book, "ics", on=on))
        return {str(e["UID"]): int(e["SEQUENCE"]) for e in calendar.walk("VEVENT")}

    before = events(ON)
    later = Said(
        field="Dutton Bottom",
        on=date(2027, 8, 20),
        text="still low",
        action="hold",
        rescout_on=date(2027, 8, 25),
    )
    say(book, later)
    after = events(date(2027, 8, 21))
    assert after.keys() < before.keys()
    assert all(after[uid] > before[uid] for uid in after)


def test_lines_are_folded_at_75_octets_and_no_character_is_cut() -> None:
    """RFC 5545 section 3.1."""
    line = "DESCRIPTION:" + "blé, maïs 玉米 " * 30
    pieces = folded(line).split("\r\n")
    assert all(len(p.encode()) <= 75 for p in pieces)
    assert "".join([pieces[0], *(p[1:] for p in pieces[1:])]) == line


def test_text_is_escaped() -> None:
    """RFC 5545 section 3.3.11."""
    assert literal("a;b,c\\d\ne") == r"a\;b\,c\\d e"


# ---------------------------------------------------------------- PDF (read by pypdf)


def _text(data: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(data))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_the_pdf_prints_the_lines_on_letter_paper(book: Casebook) -> None:
    data = written(book, "pdf")
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert {tuple(map(round, page.mediabox[2:])) for page in reader.pages} == {(612, 792)}
    text = _text(data)
    for words in (
        "Season 2027",
        "tan boxes, third leaf, 13 of 20",
        "Dutton Bottom",
        f"page 1 of {len(reader.pages)}",
    ):
        assert words in text
    assert not re.search(rb"/(JavaScript|JS|URI|Launch|AA)\b", data)


def test_the_pdf_embeds_its_letters(book: Casebook) -> None:
    reader = pypdf.PdfReader(io.BytesIO(written(book, "pdf")))
    fonts = [f.get_object() for p in reader.pages for f in p["/Resources"]["/Font"].values()]
    assert all("DejaVu" in f["/BaseFont"] for f in fonts)


def test_letters_of_any_name_are_printed_or_told_by_their_code(tmp_path: Path) -> None:
    note = Said(field="Łukasz Muñoz’s 40 ≥ 玉", on=date(2027, 8, 1), text="{nb} pages 🌽", action="no_spray")
    with season_book(tmp_path, (note,)) as book:
        text = _text(written(book, "pdf"))
    assert "Łukasz Muñoz’s 40 ≥ [U+7389]" in text
    assert "{nb} pages [U+1F33D]" in text


def test_a_head_stands_on_every_page_of_a_long_table(tmp_path: Path) -> None:
    notes = tuple(
        Said(field="F 1", on=date(2027, 6, 1), text=f"note number {n}. " + "words " * 60, action="no_spray")
        for n in range(40)
    )
    with season_book(tmp_path, notes) as book:
        reader = pypdf.PdfReader(io.BytesIO(written(book, "pdf")))
    pages = [page.extract_text() for page in reader.pages]
    with_notes = [p for p in pages if "note number" in p]
    assert len(with_notes) > 2
    assert all(re.search(r"stage\s+found\s+decided", p) for p in with_notes)


# ---------------------------------------------------------------- SVG


@pytest.mark.parametrize("name", PICTURES)
def test_every_picture_is_well_formed_with_a_title_and_a_description(name: str, book: Casebook) -> None:
    out = io.BytesIO()
    write_picture(book, name, out, year=2027, on=ON, field="North Eighty" if name == "progress" else None)
    root = ElementTree.fromstring(out.getvalue())
    space = "{http://www.w3.org/2000/svg}"
    assert root.tag == f"{space}svg"
    for part in ("title", "desc"):
        element = root.find(f"{space}{part}")
        assert element is not None
        assert element.text


def test_the_grower_page_is_one_sheet(book: Casebook) -> None:
    out = io.BytesIO()
    write_page(book, "pdf", out, field="North Eighty", on=date(2027, 7, 10))
    reader = pypdf.PdfReader(io.BytesIO(out.getvalue()))
    assert len(reader.pages) == 1
    assert "Spray by Tue Jul 20 at the latest." in _text(out.getvalue())


def test_a_picture_taller_than_a_page_goes_on_over_the_next(tmp_path: Path) -> None:
    notes = tuple(
        Said(
            field=f"Field {n:03}", on=date(2027, 7, 1), text="x", action="no_spray",
            problems=(("tar_spot", "fits", ()),),
        )
        for n in range(90)
    )  # fmt: skip
    with season_book(tmp_path, notes) as book:
        text = _text(written(book, "pdf"))
    assert "First finds (continued)" in text
    assert {f"Field {n:03}, Jul 1" for n in range(90)} <= set(re.findall(r"Field \d{3}, Jul 1", text))


def test_the_pieces_of_a_picture_hold_every_mark_once() -> None:
    rows = tuple(Words(0, 20.0 * n + 10, f"row {n}") for n in range(50))
    tall = Picture(width=100, height=1000, title="t", told="t", marks=(Line(5, 0, 5, 1000), *rows))
    pieces = list(sliced(tall, 190))
    assert all(p.height <= 190 for p in pieces)
    assert sum(p.height for p in pieces) == 1000
    assert [m.text for p in pieces for m in p.marks if isinstance(m, Words)] == [m.text for m in rows]
    for piece in pieces:
        assert all(9 <= m.y <= piece.height - 9 for m in piece.marks if isinstance(m, Words))
        (line,) = [m for m in piece.marks if isinstance(m, Line)]
        assert (line.y1, line.y2) == (0, piece.height)
