"""What was done and found out: records, laboratory results, check strips, places, pictures."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from scipy.stats import binomtest

from assistant.casebook.book import Casebook
from assistant.casebook.errors import CasebookUnreachable
from assistant.casebook.rows import Derived, Entry, Field, NewEntry
from assistant.deed import By, facts_of
from assistant.done import (
    Verdict,
    agreement,
    lab_result,
    missing,
    outcome,
    photograph,
    picture,
    position,
    positions,
    sample,
    spray,
)
from assistant.strips import compared, sign_test
from rules.agronomy.sampling import wilson
from rules.model import Earlier, Fact, Status, WrongWords
from rules.spray_record import load as load_record
from rules.spray_record import read as read_record

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
BY = By(author="ann", made_at=THEN, knowledge="k1")
DISORDERS = ("southern_rust", "common_rust", "tar_spot", "gray_leaf_spot")


def july(day: int) -> date:
    return date(2027, 7, day)


@pytest.fixture
def book() -> Iterator[Casebook]:
    with Casebook.open_copy(None) as opened:
        yield opened


@pytest.fixture
def draw(book: Casebook) -> Field:
    return book.add_field("Spring Draw", author="ann", made_at=THEN, about=july(1))


def call(
    book: Casebook, field: Field, on: date, lead: str | None, standing: str = "fits", **more: object
) -> Entry:
    """A note, and what the rules made of it."""
    new = NewEntry(author="ann", made_at=THEN, about=on, kind="note", body={"text": f"{field.name}: {lead}"})
    entry = book.record(new)
    scene = Derived(
        field_uid=field.uid, case_id=book.case_for(field, on), lead=lead, standing=lead and standing, **more
    )  # type: ignore[arg-type]
    book.derive(entry.uid, "k1", {}, [scene])
    return entry


# ---------------------------------------------------------------- sprays

WHOLE = {
    "product": "Demo Shield",
    "epa_number": "000-000",
    "active_ingredients": "Azoxystrobin + propiconazole",
    "total_amount": "as the label says",
    "area": "78 ac",
    "applicator": "B. Cole",
    "certification_number": "77",
    "start_time": "06:10",
    "end_time": "06:50",
    "wind": "6 mph SW",
    "temperature": "68 F",
    "reentry_ends": "29 Jul",
    "location": "T80N R25W section 4",
}


def test_the_table_has_no_fault_and_holds_the_former_federal_list() -> None:
    """7 CFR 110.3 (2006 edition): product, number, amount, place, area, crop, date, who, and his number."""
    assert read_record()[1] == []
    federal = {e.id for e in load_record().element if "cfr110" in e.source}
    assert federal == {
        "product", "epa_number", "total_amount", "location", "area", "crop", "date", "applicator",
        "certification_number",
    }  # fmt: skip
    assert "state" in load_record().about.text


def test_a_whole_record_lacks_nothing(book: Casebook, draw: Field) -> None:
    done = spray(book, BY, draw, july(28), WHOLE)
    assert done.missing == ()
    assert done.entry.body["record"] == {**WHOLE, "date": "2027-07-28", "crop": "corn"}
    assert done.entry.text == "Sprayed with Demo Shield by B. Cole."
    assert [row.kind for row in book.history(draw)] == ["spray"]


@pytest.mark.parametrize("left_out", sorted(WHOLE))
def test_what_is_missing_is_named_and_it_is_kept_all_the_same(
    book: Casebook, draw: Field, left_out: str
) -> None:
    record = {key: " " if key == left_out else value for key, value in WHOLE.items()}
    done = spray(book, BY, draw, july(28), record)
    assert [e.id for e in done.missing] == [left_out]
    assert missing(done.entry) == done.missing
    assert book.entry(done.entry.uid) is not None


def test_for_hire_there_is_more_to_write_down(book: Casebook, draw: Field) -> None:
    done = spray(book, BY, draw, july(28), WHOLE, for_hire=True)
    assert [e.id for e in done.missing] == ["customer", "noncertified_applicator"]


def test_the_place_is_known_once_the_field_has_a_position(book: Casebook, draw: Field) -> None:
    position(book, BY, draw, july(1), lat=41.5, lon=-93.25)
    done = spray(book, BY, draw, july(28), {})
    assert "location" not in {e.id for e in done.missing}
    assert done.entry.body["record"]["location"].startswith("41.50000, -93.25000")  # type: ignore[index]


def test_an_element_that_there_is_not(book: Casebook, draw: Field) -> None:
    with pytest.raises(WrongWords, match=r"no element of a spray record. Did you mean product"):
        spray(book, BY, draw, july(28), {"produkt": "x"})
    assert book.entries_all("spray") == ()


def test_the_rules_learn_of_it_on_the_next_visit(book: Casebook, draw: Field) -> None:
    spray(book, BY, draw, july(20), WHOLE)
    note = call(book, draw, july(28), "tar_spot")
    text = "Sprayed with Demo Shield by B. Cole."
    assert book.earlier("spring-draw-2027", note) == (
        Earlier(
            on=july(20),
            facts=(
                Fact(attribute="sprayed", value=True, text=text),
                Fact(attribute="sprayed_on", value=july(20), text=text),
                Fact(attribute="active_ingredient", value="azoxystrobin", text=text),
                Fact(attribute="active_ingredient", value="propiconazole", text=text),
            ),
        ),
    )


def test_it_closes_an_open_rescout_and_undo_opens_it_again(book: Casebook, draw: Field) -> None:
    call(book, draw, july(20), "tar_spot", action="spray", spray_by=july(30))
    spray(book, BY, draw, july(22), WHOLE)
    assert book.due(july(23)) == ()
    book.withdraw_last("ann", THEN)
    assert [row.field for row in book.due(july(23))] == ["Spring Draw"]


# ---------------------------------------------------------------- laboratory


@pytest.mark.parametrize(
    ("lead", "found", "not_found", "verdict"),
    [
        ("southern_rust", ["southern_rust"], [], Verdict.CONFIRMS),
        ("southern_rust", ["southern_rust", "tar_spot"], [], Verdict.CONFIRMS),
        ("southern_rust", ["common_rust"], [], Verdict.OVERTURNS),
        ("southern_rust", [], ["southern_rust"], Verdict.OVERTURNS),
        ("southern_rust", [], ["tar_spot"], Verdict.UNDECIDED),
        (None, ["common_rust"], [], Verdict.NO_CALL),
    ],
)
def test_a_result_confirms_or_overturns_the_call(
    book: Casebook, draw: Field, lead: str | None, found: list[str], not_found: list[str], verdict: Verdict
) -> None:
    call(book, draw, july(20), lead)
    result = lab_result(book, BY, draw, july(28), DISORDERS, found=found, not_found=not_found)
    assert result.verdict is verdict


def test_the_call_is_the_last_one_before_the_sample_was_sent(book: Casebook, draw: Field) -> None:
    first = call(book, draw, july(10), "gray_leaf_spot")
    sent = sample(book, BY, draw, july(11), sent_to="the clinic")
    call(book, draw, july(20), "tar_spot")
    result = lab_result(book, BY, draw, july(28), DISORDERS, found=["tar_spot"], sample=sent.uid)
    assert result.call is not None
    assert result.call.entry_uid == first.uid
    assert result.verdict is Verdict.OVERTURNS
    assert result.entry.refers_to == sent.uid


def test_a_result_after_harvest_belongs_to_the_season_of_its_sample(book: Casebook, draw: Field) -> None:
    call(book, draw, july(10), "tar_spot")
    sent = sample(book, BY, draw, july(11), sent_to="the clinic")
    outcome(book, BY, draw, date(2027, 9, 20))
    result = lab_result(book, BY, draw, date(2027, 9, 25), DISORDERS, found=["tar_spot"], sample=sent.uid)
    assert result.entry.case_id == "spring-draw-2027"
    assert result.verdict is Verdict.CONFIRMS


def test_what_a_result_states() -> None:
    body = {"text": "t", "found": ["tar_spot"], "not_found": ["common_rust"]}
    entry = Entry(uid="u", seq=1, author="a", made_at=THEN, about=july(1), kind="lab_result", body=body)
    assert [(f.attribute, f.value, f.status) for f in facts_of(entry)] == [
        ("problem", "tar_spot", Status.PRESENT),
        ("problem", "common_rust", Status.ABSENT),
        ("lab_confirmed", True, Status.PRESENT),
    ]


def test_words_that_a_result_cannot_hold(book: Casebook, draw: Field) -> None:
    with pytest.raises(WrongWords, match=r"no disorder. Did you mean tar_spot"):
        lab_result(book, BY, draw, july(28), DISORDERS, found=["tarspot"])
    with pytest.raises(WrongWords, match="both found and not found"):
        lab_result(book, BY, draw, july(28), DISORDERS, found=["tar_spot"], not_found=["tar_spot"])
    with pytest.raises(WrongWords, match="no sample"):
        lab_result(book, BY, draw, july(28), DISORDERS, found=["tar_spot"], sample="u")


def test_how_often_the_field_agreed_with_the_laboratory(book: Casebook) -> None:
    seasons = [
        ("southern_rust", "fits", "southern_rust"),
        ("southern_rust", "possible", "common_rust"),
        ("southern_rust", "fits", "common_rust"),
        ("tar_spot", "fits", "tar_spot"),
        (None, "fits", "tar_spot"),
    ]
    for number, (lead, standing, found) in enumerate(seasons):
        field = book.add_field(f"Block {number}", author="ann", made_at=THEN, about=july(1))
        call(book, field, july(10), lead, standing)
        lab_result(book, BY, field, july(20), DISORDERS, found=[found])
    rust, spot = agreement(book)
    assert (rust.disorder, rust.decided, rust.agreed, rust.sure, rust.sure_agreed) == (
        "southern_rust", 3, 1, 2, 1,
    )  # fmt: skip
    assert rust.instead == (("common_rust", 2),)
    assert (spot.disorder, spot.decided, spot.agreed, spot.instead) == ("tar_spot", 1, 1, ())
    assert wilson(rust.agreed, rust.decided, 0.95)[0] > 0  # a count that the sampling functions take


def test_a_result_told_in_a_note_counts_once(book: Casebook, draw: Field) -> None:
    call(book, draw, july(10), "southern_rust")
    call(book, draw, july(20), "common_rust", "confirmed")
    lab_result(book, BY, draw, july(21), DISORDERS, found=["common_rust"])
    call(book, draw, july(22), "common_rust", "confirmed")
    (line,) = agreement(book)
    assert (line.disorder, line.decided, line.agreed) == ("southern_rust", 1, 0)


def test_an_undecided_result_counts_for_nothing(book: Casebook, draw: Field) -> None:
    call(book, draw, july(10), "southern_rust")
    lab_result(book, BY, draw, july(20), DISORDERS, not_found=["tar_spot"])
    assert agreement(book) == ()


# ---------------------------------------------------------------- harvest


def test_a_harvest_ends_the_season(book: Casebook, draw: Field) -> None:
    done = outcome(book, BY, draw, date(2027, 9, 20), yield_bu_ac=212.5)
    assert done.strips is None
    assert done.entry.text == "Harvested 2027-09-20, 212.5 bu/ac."
    assert book.case_for(draw, date(2027, 9, 21)) == "spring-draw-2028"


@pytest.mark.parametrize("wrong", [-1.0, float("nan")])
def test_a_yield_that_cannot_be(book: Casebook, draw: Field, wrong: float) -> None:
    with pytest.raises(WrongWords, match="0 or more"):
        outcome(book, BY, draw, date(2027, 9, 20), pairs=((200, wrong),))


def test_one_pair_of_strips_tells_a_difference_and_no_more() -> None:
    strips = compared([(210, 203)])
    assert (strips.difference, strips.ahead, strips.chance) == (7, 1, 1)
    assert "one pair of strips cannot tell the spray from the ground" in strips.text
    assert "It does not show" in strips.text


def test_several_pairs_tell_how_easily_chance_does_the_same(book: Casebook, draw: Field) -> None:
    pairs = ((210.0, 203.0), (205.0, 200.0), (199.0, 190.0), (201.0, 202.0))
    done = outcome(book, BY, draw, date(2027, 9, 20), pairs=pairs)
    assert done.strips is not None
    assert (done.strips.low, done.strips.high, done.strips.ahead) == (-1, 9, 3)
    assert done.strips.difference == pytest.approx(5.0)
    assert done.entry.body["pairs"] == [list(pair) for pair in pairs]
    assert "ahead in 3" in done.strips.text


@pytest.mark.parametrize(("ahead", "behind"), [(0, 0), (1, 0), (3, 1), (6, 0), (5, 5), (2, 9)])
def test_the_sign_test_agrees_with_scipys_exact_binomial_test(ahead: int, behind: int) -> None:
    expected = binomtest(ahead, ahead + behind, 0.5).pvalue if ahead + behind else 1.0
    assert sign_test(ahead, behind) == pytest.approx(expected)


# ---------------------------------------------------------------- places and pictures


def test_the_latest_position_of_each_field(book: Casebook, draw: Field) -> None:
    position(book, BY, draw, july(1), lat=41.5, lon=-93.25)
    position(book, BY, draw, july(2), lat=41.6, lon=-93.25)
    assert positions(book) == {draw.uid: (41.6, -93.25)}
    for lat, lon in ((91.0, 0.0), (0.0, -181.0), (float("nan"), 0.0)):
        with pytest.raises(WrongWords, match="is nowhere"):
            position(book, BY, draw, july(1), lat=lat, lon=lon)


def test_a_picture_is_known_by_its_checksum_and_not_copied(
    book: Casebook, draw: Field, tmp_path: Path
) -> None:
    path = tmp_path / "leaf.jpg"
    path.write_bytes(b"leaf")
    entry = photograph(book, BY, draw, july(28), path, taken_at=THEN)
    assert entry.body["sha256"] == hashlib.sha256(b"leaf").hexdigest()
    assert (entry.body["path"], entry.body["taken_at"]) == (str(path), THEN.isoformat())
    assert picture(entry) == "same"
    path.write_bytes(b"another leaf")
    assert picture(entry) == "changed"
    path.unlink()
    assert picture(entry) == "gone"
    assert [p.name for p in tmp_path.iterdir()] == []
    with pytest.raises(CasebookUnreachable):
        photograph(book, BY, draw, july(28), path)


def test_without_a_time_given_the_files_own_stands(book: Casebook, draw: Field, tmp_path: Path) -> None:
    path = tmp_path / "leaf.jpg"
    path.write_bytes(b"leaf")
    os.utime(path, (THEN.timestamp(), THEN.timestamp()))
    entry = photograph(book, BY, draw, july(28), path)
    assert (entry.body["taken_at"], entry.body["time_from"]) == (THEN.isoformat(), "file")
    assert [row.kind for row in book.history(draw)] == ["photograph"]
