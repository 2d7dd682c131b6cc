"""The journal: word for word, never edited; undo, corrections, fields, and what is derived."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.casebook.book import Casebook
from assistant.casebook.errors import (
    AmbiguousField,
    BadEntry,
    NameTaken,
    UnknownCase,
    UnknownEntry,
    UnknownField,
)
from assistant.casebook.fields import Exact, New
from assistant.casebook.rows import Derived, Entry, Field, NewEntry
from rules.model import Action, Fact, Relation, Standing, Status

DAY = date(2027, 7, 28)
THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Casebook]:
    with Casebook.open(tmp_path / "casebook.db") as opened:
        yield opened


def add(book: Casebook, text: str = "rust on the ear leaf", **more: object) -> Entry:
    entry = {"author": "ann", "made_at": THEN, "about": DAY, "kind": "note", "body": {"text": text}, **more}
    return book.record(NewEntry(**entry))  # type: ignore[arg-type]


def field(book: Casebook, name: str, because: Entry | None = None) -> Field:
    uid = because.uid if because else None
    return book.add_field(name, author="ann", made_at=THEN, about=DAY, because=uid)


def words(book: Casebook) -> list[str]:
    return [entry.text for entry in book.entries_all("note")]


# ---------------------------------------------------------------- word for word


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50, deadline=None)
@given(st.text(st.characters(codec=None), min_size=1).filter(str.strip))
def test_any_words_come_back_to_the_letter(book: Casebook, text: str) -> None:
    """Half characters, zeros, quotes and right-to-left marks too."""
    uid = add(book, text).uid
    stored = book.entry(uid)
    assert stored is not None
    assert stored.text == text


def test_an_entry_comes_back_as_it_was_recorded(book: Casebook) -> None:
    field(book, "Spring Draw")
    spoken = datetime(2027, 7, 28, 13, 5, 9, tzinfo=timezone(timedelta(hours=-5)))
    entry = add(book, made_at=spoken, body={"text": "clean", "asked": "flip_leaf"}, author="bob")
    assert book.entry(entry.uid) == entry
    assert entry.made_at == spoken
    assert entry.made_at.utcoffset() == timedelta(0)
    assert entry.body["asked"] == "flip_leaf"
    assert (entry.author, entry.about, entry.seq) == ("bob", DAY, 2)


def test_the_journal_refuses_to_be_edited_or_emptied(book: Casebook) -> None:
    add(book)
    for sql in ("UPDATE entries SET author = 'x'", "DELETE FROM entries"):
        with pytest.raises(sqlite3.IntegrityError, match="the journal"):
            book._db.execute(sql)
    assert words(book) == ["rust on the ear leaf"]


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"kind": "gossip"}, '"gossip" is no kind of entry; allowed are alias, correction'),
        ({"kind": "field"}, "made with add_field"),
        ({"kind": "withdrawal"}, "made with withdraw"),
        ({"body": {"text": " \n "}}, "needs words"),
        ({"made_at": datetime(2027, 7, 28)}, "offset from UTC"),
        ({"kind": "correction"}, "must refer to an entry"),
        ({"kind": "alias", "body": {"name": "x"}}, "needs a field and a name"),
        ({"kind": "outcome", "body": {"harvested_on": "September"}}, "must be a date like"),
        ({"body": {"text": "x", "yield": float("nan")}}, "cannot be kept"),
    ],
)
def test_bad_entries_are_refused_whole(book: Casebook, wrong: dict[str, object], sentence: str) -> None:
    with pytest.raises(BadEntry, match=sentence):
        add(book, **wrong)  # type: ignore[arg-type]
    assert book.journal() == ()


def test_entries_that_lean_on_nothing(book: Casebook) -> None:
    with pytest.raises(UnknownEntry):
        add(book, "x", kind="correction", refers_to="nobody")
    with pytest.raises(UnknownField):
        add(book, field_uid="nowhere")
    with pytest.raises(UnknownEntry):
        book.derive("nobody", "k1", {})
    with pytest.raises(UnknownEntry):
        book.add_field("Spring Draw", author="ann", made_at=THEN, about=DAY, because="nobody")
    assert book.journal() == ()


# ---------------------------------------------------------------- undo


def test_undo_takes_back_the_last_and_then_the_one_before(book: Casebook) -> None:
    for text in ("one", "two", "three"):
        add(book, text)
    taken = [book.withdraw_last("ann", THEN) for _ in range(4)]
    assert [entry.text if entry else None for entry in taken] == ["three", "two", "one", None]
    assert words(book) == []
    assert [entry.kind for entry in book.journal()] == ["note"] * 3 + ["withdrawal"] * 3


def test_undo_passes_over_what_others_said(book: Casebook) -> None:
    add(book, "mine")
    add(book, "hers", author="bea")
    taken = book.withdraw_last("ann", THEN)
    assert taken is not None
    assert taken.text == "mine"
    assert words(book) == ["hers"]


def test_what_is_withdrawn_cannot_be_withdrawn_again(book: Casebook) -> None:
    entry = add(book)
    book.withdraw(entry.uid, author="ann", made_at=THEN)
    with pytest.raises(UnknownEntry, match="or it was withdrawn"):
        book.withdraw(entry.uid, author="ann", made_at=THEN)


def test_a_field_goes_with_the_only_note_that_spoke_of_it(book: Casebook) -> None:
    first = add(book, "nroth 80, clean")
    field(book, "Nroth 80", because=first)
    book.withdraw_last("ann", THEN)
    assert book.fields() == ()
    assert book.field_names() == ()
    assert book.match("nroth 80") == New("nroth 80")
    again = add(book, "north 80, clean")
    assert field(book, "Nroth 80", because=again).slug == "nroth-80"


def test_a_field_stays_while_another_note_speaks_of_it(book: Casebook) -> None:
    first, second = add(book, "one"), add(book, "two")
    draw = field(book, "Spring Draw", because=first)
    for entry in (first, second):
        book.derive(entry.uid, "k1", {}, [Derived(field_uid=draw.uid, case_id=book.case_for(draw, DAY))])
    book.withdraw(first.uid, author="ann", made_at=THEN)
    assert book.fields() == (draw,)
    book.withdraw(second.uid, author="ann", made_at=THEN)
    assert book.fields() == ()


def test_a_field_that_was_entered_by_itself_stays(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    entry = add(book)
    book.derive(entry.uid, "k1", {}, [Derived(field_uid=draw.uid)])
    book.withdraw_last("ann", THEN)
    assert book.fields() == (draw,)
    assert book.withdraw_last("ann", THEN) is None


# ---------------------------------------------------------------- corrections


def test_a_correction_stands_in_place_and_both_are_kept(book: Casebook) -> None:
    entry = add(book, "seven of twenty", body={"text": "seven of twenty", "asked": "count"})
    add(book, "later")
    fixed = add(book, "eleven of twenty", kind="correction", refers_to=entry.uid)
    assert words(book) == ["eleven of twenty", "later"]
    stands = book.entry(entry.uid)
    assert stands is not None
    assert stands.first_body == {"text": "seven of twenty", "asked": "count"}
    assert (stands.corrected_by, stands.body["asked"]) == (fixed.uid, "count")
    assert [e.text for e in book.journal()] == ["seven of twenty", "later", "eleven of twenty"]


def test_the_last_correction_stands_and_undo_goes_back_one(book: Casebook) -> None:
    entry = add(book, "one")
    two = add(book, "two", kind="correction", refers_to=entry.uid)
    three = add(book, "three", kind="correction", refers_to=two.uid)
    assert three.refers_to == entry.uid
    assert words(book) == ["three"]
    book.withdraw_last("ann", THEN)
    assert words(book) == ["two"]
    book.withdraw_last("ann", THEN)
    assert words(book) == ["one"]
    book.withdraw_last("ann", THEN)
    assert words(book) == []


def test_a_correction_clears_what_was_derived_from_the_old_words(book: Casebook) -> None:
    entry = add(book, "one")
    book.derive(entry.uid, "k1", {"version": 1})
    assert book.not_derived() == ()
    add(book, "two", kind="correction", refers_to=entry.uid)
    assert book.answer(entry.uid) is None
    assert book.not_derived() == (entry.uid,)
    book.derive(entry.uid, "k1", {"version": 1})
    book.withdraw_last("ann", THEN)
    assert book.not_derived() == (entry.uid,)


def test_withdrawing_a_note_takes_its_corrections_along(book: Casebook) -> None:
    entry = add(book, "one")
    add(book, "two", kind="correction", refers_to=entry.uid, author="bea")
    book.withdraw(entry.uid, author="ann", made_at=THEN)
    assert book.entries_all() == ()
    assert book.withdraw_last("bea", THEN) is None


# ---------------------------------------------------------------- what is derived

FACTS = (
    Fact(attribute="lesion_colour", value="tan", span=(14, 17), text="tan"),
    Fact(attribute="temperature_f", value=(75, 79), unit="F", approx=True),
    Fact(attribute="incidence_pct", value=35.5, unit="%", derived=True),
    Fact(attribute="raised", value=True, status=Status.ABSENT, where=(("leaf_surface", "lower"),)),
    Fact(attribute="leaf_from_ear", value=-2, hedged=True),
    Fact(attribute="sprayed_on", value=date(2027, 7, 24)),
    Fact(attribute="growth_stage", value="R4", relation=Relation.NEARING),
)


def test_facts_come_back_to_later_notes_as_they_were(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    case = book.case_for(draw, DAY)
    first = add(book, "one")
    second = add(book, "two", about=DAY + timedelta(days=3))
    book.derive(first.uid, "k1", {}, [Derived(field_uid=draw.uid, case_id=case, facts=FACTS)])
    book.derive(second.uid, "k1", {}, [Derived(field_uid=draw.uid, case_id=case, facts=FACTS[:1])])
    (earlier,) = book.earlier(case, second)
    assert (earlier.on, earlier.facts) == (DAY, FACTS)
    assert book.earlier(case, first) == ()
    assert book.earlier("another-2027", second) == ()
    book.withdraw(first.uid, author="ann", made_at=THEN)
    assert book.earlier(case, second) == ()


def test_deriving_again_replaces_everything(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    entry = add(book)
    scene = Derived(
        field_uid=draw.uid, case_id="spring-draw-2027", facts=FACTS, action=Action.HOLD, rescout_on=DAY
    )
    book.derive(entry.uid, "k1", {"knowledge": "k1"}, [scene, scene])
    book.derive(entry.uid, "k2", {"knowledge": "k2"}, [Derived(action=Action.SPRAY, standing=Standing.FITS)])
    answer = book.answer(entry.uid)
    assert answer is not None
    assert (answer.knowledge, answer.answer) == ("k2", {"knowledge": "k2"})
    assert [(row.action, row.standing, row.rescout_on) for row in book.season(2027)] == [
        ("spray", "fits", None)
    ]
    assert book._db.table("facts").count == 0
    assert book.not_derived("k2") == ()
    assert book.not_derived("k3") == (entry.uid,)


def test_an_answer_needs_the_stamp_of_its_knowledge(book: Casebook) -> None:
    with pytest.raises(BadEntry, match="hash of the knowledge"):
        book.derive(add(book).uid, "", {})


def test_a_derivation_that_fails_leaves_the_older_one(book: Casebook) -> None:
    entry = add(book)
    book.derive(entry.uid, "k1", {"n": 1}, [Derived(action="hold")])
    with pytest.raises(BadEntry):
        book.derive(entry.uid, "k2", {"n": 2}, [Derived(facts=(Fact(attribute="x", value=float("inf")),))])
    answer = book.answer(entry.uid)
    assert answer is not None
    assert answer.answer == {"n": 1}
    assert [row.action for row in book.season(2027)] == ["hold"]


# ---------------------------------------------------------------- fields and cases


def test_a_field_is_made_once(book: Casebook) -> None:
    one, other = field(book, "North 80"), field(book, "the north eighty")
    assert one == other
    assert book.field("N 80") == one
    assert [entry.kind for entry in book.journal()] == ["field"]


def test_an_alias_is_another_name_until_it_is_undone(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    add(book, kind="alias", body={"name": "Grandpa's corner"}, field_uid=draw.uid)
    assert book.match("grandpas corner") == Exact(draw)
    assert book.field_names() == ("Grandpa's corner", "Spring Draw")
    book.withdraw_last("ann", THEN)
    assert book.match("grandpas corner") == New("grandpas corner")
    assert book.match("spring draw") == Exact(draw)


def test_an_alias_may_not_be_another_fields_name(book: Casebook) -> None:
    draw, north = field(book, "Spring Draw"), field(book, "North 80")
    with pytest.raises(NameTaken, match='"n eighty" already means the field "North 80"'):
        add(book, kind="alias", body={"name": "n eighty"}, field_uid=draw.uid)
    assert book.field("N 80") == north


def test_fields_can_be_made_again_from_the_journal(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    field(book, "North 80")
    add(book, kind="alias", body={"name": "the corner"}, field_uid=draw.uid)
    before = (book.fields(), book.field_names())
    book._db.execute("DELETE FROM fields")
    book._db.execute("DELETE FROM field_names")
    assert book.fields() == ()
    book.rebuild_fields()
    assert (book.fields(), book.field_names()) == before


def test_a_case_is_a_field_in_a_year(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    assert book.case_for(draw, DAY) == "spring-draw-2027"
    assert book.case_for("the spring draw", date(2028, 1, 1)) == "spring-draw-2028"
    assert book.case("spring-draw-2027") is None
    entry = add(book)
    book.derive(entry.uid, "k1", {}, [Derived(field_uid=draw.uid, case_id="spring-draw-2027")])
    case = book.known_case("spring-draw-2027")
    assert (case.field, case.year, case.first, case.last, case.entries) == (draw, 2027, DAY, DAY, 1)
    assert case.ends == date(2027, 12, 31)
    assert book.entries(case.id) == (entry,)


def test_the_case_of_a_new_field_is_known_before_the_field_is(book: Casebook) -> None:
    foretold = book.case_for("Spring Draw", DAY)
    assert foretold == book.case_for(field(book, "Spring Draw"), DAY)


def test_the_harvest_ends_the_season(book: Casebook) -> None:
    draw = field(book, "Spring Draw")
    harvest = date(2027, 9, 20)
    body = {"text": "214 dry", "harvested_on": harvest.isoformat()}
    outcome = add(book, kind="outcome", body=body, field_uid=draw.uid, about=date(2027, 9, 22))
    assert outcome.case_id == "spring-draw-2027"
    assert book.case_for(draw, harvest) == "spring-draw-2027"
    assert book.case_for(draw, harvest + timedelta(days=1)) == "spring-draw-2028"
    assert book.known_case("spring-draw-2027").ends == harvest


def test_two_fields_never_share_a_case(book: Casebook) -> None:
    """Names without a letter that a case id can bear, and one that looks like another's second."""
    names = ("地", "田", "Field 2", "Field")
    ids = [book.case_for(field(book, name), DAY) for name in names]
    assert ids == ["field-2027", "field-2-2027", "field-2-2-2027", "field-3-2027"]


def test_unknown_cases_are_refused_with_the_nearest(book: Casebook) -> None:
    add(book, case_id="spring-draw-2027")
    with pytest.raises(UnknownCase, match=r'no case "spring-drew-2027".* Did you mean spring-draw-2027\?'):
        book.known_case("spring-drew-2027")
    assert book.known_case("spring-draw-2027").field is None


def test_a_note_without_a_field_has_no_case(book: Casebook) -> None:
    assert add(book).case_id is None


def test_an_ambiguous_name_is_an_error_that_lists_the_fields(book: Casebook) -> None:
    field(book, "North Eighty East")
    field(book, "North Eighty West")
    with pytest.raises(AmbiguousField, match='"North Eighty East", "North Eighty West"'):
        book.case_for("north eighty", DAY)


NAMES = ("Robert'); DROP TABLE entries;--", "../x", "=cmd()", "a\nb", "%_1", "x" * 999)


@pytest.mark.parametrize("name", NAMES)
def test_names_are_only_names(book: Casebook, name: str) -> None:
    entry = add(book, f"{name} is clean")
    made = field(book, name, because=entry)
    book.derive(entry.uid, "k1", {"f": name}, [Derived(field_uid=made.uid, case_id=book.case_for(made, DAY))])
    assert made.name == " ".join(name.split())
    assert book.field(name) == made
    assert [row.field for row in book.history(made)] == [made.name]
    assert set(book.case_for(made, DAY)) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert len(book.case_for(made, DAY)) < 60
    assert book.check() == ()


@pytest.mark.parametrize("name", ["", " ", '"', "%_", "..", "\x00"])
def test_names_without_a_letter_or_digit_are_refused(book: Casebook, name: str) -> None:
    with pytest.raises(BadEntry, match="no name for a field"):
        field(book, name)
