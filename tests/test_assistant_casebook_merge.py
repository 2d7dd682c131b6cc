"""Casebooks of several people in one: the three laws of a union, fields made twice, what disagrees."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, date, datetime, timedelta
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.casebook.book import Casebook
from assistant.casebook.bundle import BadBundle, from_bytes, to_bytes
from assistant.casebook.conflicts import conflicts
from assistant.casebook.errors import BadEntry, CasebookUnreachable
from assistant.casebook.merge import merge, write_bundle
from assistant.casebook.rows import Derived, Entry, Field, NewEntry

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
DAY = date(2027, 7, 28)


def at(minute: int) -> datetime:
    return THEN + timedelta(minutes=minute)


def say(book: Casebook, author: str, text: str = "rust", *, minute: int = 0, **more: object) -> Entry:
    usual = {"about": DAY, "kind": "note", "body": {"text": text}, **more}
    return book.record(NewEntry(author=author, made_at=at(minute), **usual))  # type: ignore[arg-type]


def made(book: Casebook, author: str, name: str, *, minute: int = 0) -> Field:
    """A note that names a new field, and what was derived from it."""
    note = say(book, author, f"{name}: rust", minute=minute)
    field = book.add_field(name, author=author, made_at=at(minute), about=DAY, because=note.uid)
    book.derive(
        note.uid, "k1", {}, [Derived(field_uid=field.uid, case_id=book.case_for(field, DAY), action="hold")]
    )
    return field


def done(
    book: Casebook, author: str, field: Field, kind: str = "spray", *, minute: int = 0, **body: object
) -> Entry:
    said = {"text": kind, **body}
    return say(book, author, minute=minute, kind=kind, body=said, field_uid=field.uid)


@contextmanager
def empty() -> Iterator[Casebook]:
    with Casebook.open_copy(None) as book:
        yield book


@pytest.fixture
def ann() -> Iterator[Casebook]:
    with empty() as book:
        yield book


@pytest.fixture
def bob() -> Iterator[Casebook]:
    with empty() as book:
        yield book


def content(book: Casebook) -> tuple[object, ...]:
    """All that a person could see of it."""
    return (
        to_bytes(book.journal()),
        [e.uid for e in book.journal()],
        book.fields(),
        book.field_names(),
        [(e.uid, e.text, e.case_id, e.field_uid) for e in book.entries_all()],
        conflicts(book),
    )


def give(giver: Casebook, *takers: Casebook) -> None:
    bundle = from_bytes(to_bytes(giver.journal()), "bundle")
    for taker in takers:
        taker.bring_in(bundle)


# ---------------------------------------------------------------- the three laws

#: One thing that one of three people does; names are few, so that they meet.
_NAMES = (
    "North 80",
    "n 80",
    "Gantt farm",
    "Gantt",
    "Gantt piece",
    "Spring Draw",
    "springdraw",
    "Ärm",
    "北",
    "南",
)
_DEED = st.tuples(
    st.sampled_from(("note", "field", "alias", "spray", "position", "correct", "undo", "take back")),
    st.integers(0, 3),  # minutes since the last: none, often
    st.sampled_from(_NAMES),
    st.integers(0, 5),
)


def live(book: Casebook, author: str, deeds: list[tuple[str, int, str, int]]) -> None:
    """One person's season, in his own casebook; what is not possible is left out."""
    minute = 0
    for deed, later, name, number in deeds:
        minute += later
        fields, notes = book.fields(), book.entries_all("note")
        if deed == "note":
            say(book, author, f"{name} {number}", minute=minute)
        elif deed == "field":
            note = say(book, author, name, minute=minute)
            book.add_field(name, author=author, made_at=at(minute), about=DAY, because=note.uid)
        elif deed == "undo":
            book.withdraw_last(author, at(minute))
        elif deed == "correct" and notes:
            uid = notes[number % len(notes)].uid
            say(book, author, f"better: {name}", minute=minute, kind="correction", refers_to=uid)
        elif deed == "take back" and book.entries_all():
            all_of_it = book.entries_all()
            book.withdraw(all_of_it[number % len(all_of_it)].uid, author=author, made_at=at(minute))
        elif fields:
            field = fields[number % len(fields)]
            if deed == "spray":
                done(book, author, field, minute=minute)
            elif deed == "position":
                say(book, author, minute=minute, kind="position", body={"lat": number}, field_uid=field.uid)
            elif (
                deed == "alias" and not isinstance(book.match(name), type(None)) and _free(book, name, field)
            ):
                say(book, author, minute=minute, kind="alias", body={"name": name}, field_uid=field.uid)


def _free(book: Casebook, name: str, field: Field) -> bool:
    met = getattr(book.match(name), "field", field)
    return bool(met == field)


_SEASONS = st.tuples(*[st.lists(_DEED, max_size=8)] * 3)


@contextmanager
def three(seasons: tuple[list[tuple[str, int, str, int]], ...], *, shared: bool) -> Iterator[list[Casebook]]:
    with ExitStack() as stack:
        books = [stack.enter_context(empty()) for _ in range(3)]
        if shared:  # they begin from what one of them had, as colleagues do
            made(books[0], "ann", "North 80")
            give(books[0], *books[1:])
        for book, author, deeds in zip(books, ("ann", "bob", "cy"), seasons, strict=True):
            live(book, author, deeds)
        yield books


@settings(max_examples=25, deadline=None)
@given(_SEASONS, st.booleans())
def test_taking_in_twice_adds_nothing(
    seasons: tuple[list[tuple[str, int, str, int]], ...], shared: bool
) -> None:
    with three(seasons, shared=shared) as (one, other, _), empty() as taker:
        give(one, taker)
        give(other, taker)
        once = content(taker)
        give(other, taker)
        give(one, taker)
        give(taker, taker)
        assert content(taker) == once
        assert taker.check() == ()


@settings(max_examples=25, deadline=None)
@given(_SEASONS, st.booleans())
def test_the_order_does_not_matter(
    seasons: tuple[list[tuple[str, int, str, int]], ...], shared: bool
) -> None:
    with three(seasons, shared=shared) as books:
        found = []
        for order in permutations(books):
            with empty() as taker:
                for giver in order:
                    give(giver, taker)
                found.append(content(taker))
                assert taker.check() == ()
        assert found == found[:1] * len(found)


@settings(max_examples=25, deadline=None)
@given(_SEASONS, st.booleans())
def test_the_grouping_does_not_matter(
    seasons: tuple[list[tuple[str, int, str, int]], ...], shared: bool
) -> None:
    """(one + two) + three, one + (two + three), and three people who hand on to each other what they have."""
    with (
        three(seasons, shared=shared) as (one, two, three_),
        empty() as left,
        empty() as pair,
        empty() as right,
    ):
        for giver in (one, two, three_):
            give(giver, left)
        give(two, pair)
        give(three_, pair)
        give(one, right)
        give(pair, right)
        assert content(left) == content(right)
        give(one, two)
        give(two, three_)
        give(three_, one, two)
        assert content(one) == content(two) == content(three_) == content(left)


@settings(max_examples=25, deadline=None)
@given(_SEASONS)
def test_one_persons_fields_are_found_as_he_made_them(
    seasons: tuple[list[tuple[str, int, str, int]], ...],
) -> None:
    """What is made from the journal again is what was made entry by entry."""
    with empty() as book:
        live(book, "ann", [deed for season in seasons for deed in season])
        before = (book.fields(), book.field_names(), [e.case_id for e in book.entries_all()])
        book.rebuild_fields()
        assert (book.fields(), book.field_names(), [e.case_id for e in book.entries_all()]) == before


def test_nothing_that_was_there_is_changed(ann: Casebook, bob: Casebook) -> None:
    made(ann, "ann", "North 80")
    made(bob, "bob", "n 80", minute=1)
    before = {e.uid: to_bytes([e]) for e in (*ann.journal(), *bob.journal())}
    give(bob, ann)
    assert {e.uid: to_bytes([e]) for e in ann.journal()} == before


def test_notes_of_one_moment_stay_in_the_order_in_which_they_were_said(ann: Casebook, bob: Casebook) -> None:
    """An import stamps hundreds of notes with one time."""
    said = [say(ann, "ann", str(n)).uid for n in range(30)]
    say(bob, "bob", "early", minute=-1)
    give(ann, bob)
    assert [e.uid for e in bob.journal() if e.author == "ann"] == said
    assert bob.journal()[0].text == "early"


def test_fractions_of_a_second_are_in_order(ann: Casebook, bob: Casebook) -> None:
    late = NewEntry(
        author="ann", made_at=THEN + timedelta(microseconds=5), about=DAY, kind="note", body={"text": "2"}
    )
    ann.record(late)
    say(bob, "bob", "1")
    give(ann, bob)
    give(bob, ann)
    assert [[e.text for e in book.journal()] for book in (ann, bob)] == [["1", "2"]] * 2


# ---------------------------------------------------------------- fields made twice


def test_a_field_of_two_is_one_with_the_names_of_both(ann: Casebook, bob: Casebook, tmp_path: Path) -> None:
    first = made(ann, "ann", "Spring Draw")
    second = made(bob, "bob", "the Springdraw", minute=1)
    done(bob, "bob", second, minute=2)
    write_bundle(bob, tmp_path / "bob.jsonl")
    report = merge(ann, tmp_path / "bob.jsonl")
    assert ann.fields() == (first,)
    assert ann.field_names() == ("Spring Draw", "the Springdraw")
    assert [(j.name, j.author, j.now) for j in report.joined] == [("the Springdraw", "bob", "Spring Draw")]
    assert [e.kind for e in ann.entries("spring-draw-2027")] == ["note", "spray"]
    assert [e.kind for e in ann.entries("springdraw-2027")] == ["note", "spray"]
    assert {row.case_id for row in ann.history(first)} == {"spring-draw-2027"}
    case = ann.case("springdraw-2027")
    assert case is not None
    assert (case.id, case.field) == ("spring-draw-2027", first)


def test_the_first_made_stands_whoever_takes_in_whom(ann: Casebook, bob: Casebook) -> None:
    made(ann, "ann", "North Eighty", minute=5)
    first = made(bob, "bob", "N 80")
    before = [row.action for row in ann.season(2027)]
    give(ann, bob)
    give(bob, ann)
    assert ann.fields() == bob.fields() == (first,)
    assert before == ["hold"]
    # Ann's note named a field that is another now: its answer is to be derived again.
    assert [row.action for row in ann.season(2027) if row.author == "ann"] == [None]
    assert len(ann.not_derived()) == 2
    assert ann.check() == ()


def test_what_was_done_on_the_second_field_belongs_to_the_first(ann: Casebook, bob: Casebook) -> None:
    made(ann, "ann", "North Eighty")
    second = made(bob, "bob", "N 80", minute=1)
    done(bob, "bob", second, "outcome", minute=2, harvested_on="2027-09-20")
    give(bob, ann)
    field = ann.field("north 80")
    assert ann.case_for(field, date(2027, 9, 21)) == "north-eighty-2028"
    later = done(ann, "ann", second, minute=9)  # by the uid that it had
    assert (later.field_uid, later.case_id) == (field.uid, "north-eighty-2027")


def test_a_name_that_could_be_two_fields_joins_neither_and_is_listed(ann: Casebook, bob: Casebook) -> None:
    made(ann, "ann", "Gantt farm")
    made(ann, "ann", "Gantt piece", minute=1)
    made(bob, "bob", "Gantt", minute=2)
    give(bob, ann)
    assert [f.name for f in ann.fields()] == ["Gantt", "Gantt farm", "Gantt piece"]


def test_two_fields_with_one_slug_stay_two(ann: Casebook, bob: Casebook) -> None:
    """Names that no Latin letter can spell have the same slug."""
    made(ann, "ann", "北")
    made(bob, "bob", "南", minute=1)
    done(bob, "bob", bob.field("南"), minute=2)
    give(bob, ann)
    assert [(f.name, f.slug) for f in ann.fields()] == [("北", "field"), ("南", "field-2")]
    assert [e.case_id for e in ann.entries_all("spray")] == ["field-2-2027"]


def test_one_name_for_two_fields_is_asked_and_listed(ann: Casebook, bob: Casebook) -> None:
    for book, author, name, minute in ((ann, "ann", "Hill", 0), (bob, "bob", "Creek", 1)):
        field = made(book, author, name, minute=minute)
        say(book, author, kind="alias", body={"name": "home"}, field_uid=field.uid, minute=minute + 5)
    give(bob, ann)
    (found,) = conflicts(ann)
    assert (found.about, found.authors) == ("name", ("ann", "bob"))
    assert '"home" could mean "Creek" and "Hill"' in found.text


def test_a_field_taken_back_by_one_stands_if_the_other_did_something_on_it(
    ann: Casebook, bob: Casebook
) -> None:
    made(ann, "ann", "Hill")
    give(ann, bob)
    spray = done(bob, "bob", bob.field("Hill"), minute=2)
    ann.withdraw_last("ann", at(3))
    assert ann.fields() == ()
    give(bob, ann)
    assert [f.name for f in ann.fields()] == ["Hill"]
    assert [f.about for f in conflicts(ann)] == ["field"]
    assert spray.uid in conflicts(ann)[0].entries
    assert ann.check() == ()


# ---------------------------------------------------------------- what disagrees


def test_two_corrections_are_kept_the_latest_stands_and_both_are_listed(ann: Casebook, bob: Casebook) -> None:
    note = say(ann, "ann", "rust on 8 of 20")
    give(ann, bob)
    one = say(ann, "ann", "rust on 9 of 20", kind="correction", refers_to=note.uid, minute=5)
    two = say(bob, "bob", "rust on 7 of 20", kind="correction", refers_to=note.uid, minute=4)
    give(ann, bob)
    give(bob, ann)
    for book in (ann, bob):
        assert [e.text for e in book.entries_all("note")] == ["rust on 9 of 20"]
        (found,) = conflicts(book)
        assert (found.about, found.entries, found.authors) == (
            "correction",
            (two.uid, one.uid),
            ("ann", "bob"),
        )


def test_a_correction_that_came_makes_the_answer_wait(ann: Casebook, bob: Casebook) -> None:
    note = say(ann, "ann")
    ann.derive(note.uid, "k1", {"version": 1}, [])
    give(ann, bob)
    say(bob, "bob", "better", kind="correction", refers_to=note.uid, minute=1)
    give(bob, ann)
    assert ann.answer(note.uid) is None
    assert ann.not_derived() == (note.uid,)


@pytest.mark.parametrize(
    ("kind", "one", "other"),
    [
        ("position", {"lat": 41.5, "lon": -93.5}, {"lat": 41.6, "lon": -93.5}),
        ("outcome", {"harvested_on": "2027-09-20"}, {"harvested_on": "2027-09-22"}),
        ("setting", {"name": "state", "value": "iowa"}, {"name": "state", "value": "ohio"}),
    ],
)
def test_two_people_who_say_different_things_of_one_field(
    ann: Casebook, bob: Casebook, kind: str, one: dict[str, object], other: dict[str, object]
) -> None:
    made(ann, "ann", "Hill")
    give(ann, bob)
    uid = ann.fields()[0].uid
    say(ann, "ann", kind=kind, body=one, field_uid=uid, minute=1)
    assert conflicts(ann) == ()
    say(bob, "bob", kind=kind, body=other, field_uid=uid, minute=2)
    give(bob, ann)
    assert [(c.about, c.authors) for c in conflicts(ann)] == [(kind, ("ann", "bob"))]
    say(ann, "ann", kind=kind, body=other, field_uid=uid, minute=3)
    assert conflicts(ann) == ()  # ann came round to it


# ---------------------------------------------------------------- the file


def test_the_report_says_who_brought_what(ann: Casebook, bob: Casebook, tmp_path: Path) -> None:
    made(ann, "ann", "Hill")
    give(ann, bob)
    made(bob, "bob", "Creek", minute=1)
    assert write_bundle(bob, tmp_path / "b.jsonl") == 4
    report = merge(ann, tmp_path / "b.jsonl")
    assert (report.added, report.known, report.authors) == (2, 2, (("bob", 2),))
    assert [ann.entry(uid).text for uid in report.to_derive] == ["Creek: rust"]  # type: ignore[union-attr]
    again = merge(ann, tmp_path / "b.jsonl")
    assert (again.added, again.known, again.authors, again.joined) == (0, 4, (), ())


def test_the_same_entries_give_the_same_bytes(ann: Casebook, bob: Casebook, tmp_path: Path) -> None:
    made(ann, "ann", "Hill")
    made(bob, "bob", "Creek", minute=1)
    give(ann, bob)
    give(bob, ann)
    for book, name in ((ann, "a"), (bob, "b")):
        write_bundle(book, tmp_path / name)
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b"]


def test_a_bundle_is_lines_of_json_that_anybody_can_read(ann: Casebook, tmp_path: Path) -> None:
    say(ann, "ann", "rust\u2028 on \ud800 line\n two")
    write_bundle(ann, tmp_path / "b")
    head, *lines = (tmp_path / "b").read_bytes().split(b"\n")[:-1]
    assert json.loads(head)["entries"] == len(lines) == 1
    assert json.loads(lines[0])["body"] == {"text": "rust\u2028 on \ud800 line\n two"}
    with empty() as taker:
        merge(taker, tmp_path / "b")
        assert to_bytes(taker.journal()) == to_bytes(ann.journal())


def test_a_bundle_that_was_cut_off_changed_or_is_none(ann: Casebook, tmp_path: Path) -> None:
    say(ann, "ann", "rust")
    say(ann, "ann", "blight")
    path = tmp_path / "b"
    write_bundle(ann, path)
    whole = path.read_bytes()
    spoilt = [
        whole[:-30],
        whole.replace(b"blight", b"smut"),
        b"",
        b"{}\n",
        whole.replace(b'"version": 1', b'"version": 9'),
    ]
    with empty() as taker:
        for data in spoilt:
            path.write_bytes(data)
            with pytest.raises(BadBundle):
                merge(taker, path)
        with pytest.raises(CasebookUnreachable):
            merge(taker, tmp_path / "nowhere")
        assert taker.journal() == ()


def _signed(*lines: dict[str, object]) -> bytes:
    import hashlib

    body = b"".join(json.dumps(line).encode() + b"\n" for line in lines)
    head = {
        "bundle": "earleaf",
        "version": 1,
        "entries": len(lines),
        "sha256": hashlib.sha256(body).hexdigest(),
    }
    return json.dumps(head).encode() + b"\n" + body


def test_every_bad_line_is_told() -> None:
    good = {
        "uid": "u",
        "author": "x",
        "made_at": "2027-07-28T18:05:00+00:00",
        "made_as": 1,
        "about": "2027-07-28",
        "kind": "note",
        "body": {"text": "x"},
        "case_id": None,
        "field_uid": None,
        "refers_to": None,
    }
    bad = [
        {"kind": "gossip"},
        {"about": "July"},
        {"made_at": "2027-07-28T18:05:00"},
        {"made_as": "1"},
        {"body": []},
    ]
    with pytest.raises(BadBundle) as caught:
        from_bytes(_signed(good, *({**good, **each} for each in bad), {"uid": "u"}), "b")
    told = str(caught.value).splitlines()
    assert [line.partition(":")[0] for line in told[1:]] == [f"line {n}" for n in range(3, 9)]


def test_another_version_of_an_entry_and_one_that_hangs_in_the_air(ann: Casebook, bob: Casebook) -> None:
    note = say(ann, "ann", "rust")
    give(ann, bob)
    (held,) = bob.journal()
    changed = from_bytes(to_bytes([held]).replace(b"x" * 99, b""), "b")[0]
    assert changed.uid == note.uid
    from dataclasses import replace

    with pytest.raises(BadEntry, match="two versions"):
        ann.bring_in([replace(changed, body={"text": "smut"})])
    with pytest.raises(BadEntry, match="in neither casebook"):
        ann.bring_in([replace(changed, uid="other", refers_to="gone")])
    assert [e.text for e in ann.journal()] == ["rust"]
