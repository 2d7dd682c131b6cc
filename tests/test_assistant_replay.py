"""Deriving again: under the same knowledge nothing changes; under other knowledge it says what and why.

Words are read by the real reader, the demonstration season included; other knowledge is pretended.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from assistant.casebook.book import Casebook
from assistant.casebook.bundle import from_bytes, to_bytes
from assistant.casebook.errors import NoCasebook
from assistant.casebook.rows import Entry, NewEntry
from assistant.deed import By
from assistant.done import spray
from assistant.joining import Open
from assistant.loaded import Loaded, load
from assistant.recall import note_of
from assistant.replay import Cause, catch_up, replay, replayed
from assistant.turn import Note, Turn, derive, take
from assistant.waiting import open_question
from rules.model import Action, Consultation

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
DAY = THEN.date()
RUST = "North 80: orange pustules on the ear leaf at R2, 8 of 20 plants"


@cache
def loaded() -> Loaded:
    return load()


@pytest.fixture
def book() -> Iterator[Casebook]:
    with Casebook.open_copy(None) as opened:
        yield opened


def say(
    book: Casebook, text: str, *, minute: int = 0, on: date = DAY, before: Open | None = None, **more: Any
) -> Turn:
    choose = more.pop("choose", None)
    note = Note(text=text, on=on, made_at=THEN + timedelta(minutes=minute), author="ann", **more)
    return take(note, book, loaded(), open_case=before, choose=choose)


def state(book: Casebook) -> list[tuple[object, ...]]:
    """All that was derived, to the letter."""
    entries = book.entries_all()
    return [(e.uid, book.answer(e.uid), book.scenes(e.uid)) for e in entries]


class Gloomy:
    """Other knowledge: whatever the rules decide, it is too late."""

    def __init__(self, of: Loaded) -> None:
        self._of = of.consultant

    def consult(self, *facts: Any, **more: Any) -> Consultation:
        made = self._of.consult(*facts, **more)
        if made.decision is None:
            return made
        return replace(made, decision=replace(made.decision, action=Action.TOO_LATE, because=()))


def other() -> Loaded:
    return replace(loaded(), consultant=Gloomy(loaded()), knowledge="k2")  # type: ignore[arg-type]


def demo_notes() -> list[tuple[date, str]]:
    folder = files("assistant").joinpath("../demo_notes")
    season = tomllib.loads(folder.joinpath("season.toml").read_text(encoding="utf-8"))
    return [(n["date"], folder.joinpath(n["file"]).read_text(encoding="utf-8")) for n in season["note"]]


# ---------------------------------------------------------------- nothing changes


def test_the_demonstration_season_comes_out_as_it_was(book: Casebook) -> None:
    """Said as in one chat: each note with the case open that the one before left."""
    before: Open | None = None
    for minute, (on, text) in enumerate(demo_notes()):
        before = say(book, text, on=on, minute=minute, before=before).open
    was = state(book)
    told: list[tuple[int, int]] = []
    found = replay(book, loaded(), progress=lambda done, of: told.append((done, of)))
    assert found.failed == ()
    assert found.changes == ()
    assert (found.derived, found.new) == (len(demo_notes()), 0)
    assert state(book) == was
    assert told == [(n, len(told)) for n in range(1, len(told) + 1)]


def test_a_chain_of_answers_and_a_line_of_a_case(book: Casebook) -> None:
    turn = say(book, RUST)
    assert turn.open is not None
    assert turn.open.check is not None
    turn = say(book, "nope", minute=1, before=turn.open)
    turn = say(book, "the hybrid is susceptible", minute=2, before=turn.open)
    case = open_question(book, "north-80-2027", loaded().tables)
    assert case.note == turn.uid
    say(book, "wet all week, highs around 88", minute=3, case="north-80-2027", before=case)
    was = state(book)
    assert replay(book, loaded()).changes == ()
    assert state(book) == was


def test_a_field_made_later_is_not_heard_in_an_earlier_note(book: Casebook) -> None:
    say(book, "the hog lot looked clean today, R2", minute=0)
    first = state(book)
    say(book, "gray rectangular lesions, R3", minute=1, field="hog lot")
    assert replay(book, loaded()).changes == ()
    assert state(book)[:1] == first[:1] or len(first) > 1


def test_a_choice_of_field_is_not_asked_again(book: Casebook) -> None:
    say(book, "North Eighty East field: clean, R2", minute=0)
    say(book, "North Eighty West field: clean, R2", minute=1)
    chosen = say(book, "North Eighty field: gray lesions, R3", minute=2, choose=lambda said, names: names[1])
    assert chosen.answer.entries[0].field == book.fields()[1].name
    was, entries = state(book), len(book.journal())
    found = replay(book, loaded())
    assert (found.changes, found.failed) == ((), ())
    assert state(book) == was
    assert len(book.journal()) == entries


def test_a_corrected_note_is_derived_from_the_words_that_stand(book: Casebook) -> None:
    first = say(book, RUST)
    words = {"text": "North 80: clean at R2, nothing on 20 plants"}
    new = NewEntry(author="ann", made_at=THEN, about=DAY, kind="correction", body=words, refers_to=first.uid)
    book.record(new)
    entry = book.entry(first.uid or "")
    assert entry is not None
    derive(entry, note_of(entry), book, loaded())
    was = state(book)
    assert replay(book, loaded()).changes == ()
    assert state(book) == was


def test_deeds_are_derived_again_as_well(book: Casebook) -> None:
    say(book, RUST)
    by = By(author="ann", made_at=THEN, knowledge=loaded().knowledge)
    spray(book, by, book.field("North 80"), DAY, {"active_ingredients": "azoxystrobin"})
    say(book, RUST, on=date(2027, 8, 10), minute=5)
    was = state(book)
    found = replay(book, loaded())
    assert (found.derived, found.changes) == (3, ())
    assert state(book) == was


# ---------------------------------------------------------------- something changes


def test_other_knowledge_shows_what_changes_and_which_rules(book: Casebook) -> None:
    turn = say(book, RUST)
    decision = turn.answer.entries[0].decision
    assert decision is not None
    (change,) = replay(book, other()).changes
    assert (change.entry_uid, change.field, change.on, change.text) == (turn.uid, "North 80", DAY, RUST)
    assert change.cause is Cause.KNOWLEDGE
    assert [(d.what, d.was, d.now) for d in change.differences] == [
        ("action", decision.action.value, "too_late")
    ]
    assert change.rules_gone == tuple(dict.fromkeys(r.rule for r in decision.because))
    assert change.rules_new == ()


def test_other_knowledge_that_decides_alike_changes_nothing_but_the_stamp(book: Casebook) -> None:
    turn = say(book, RUST)
    assert replay(book, replace(loaded(), knowledge="k2")).changes == ()
    kept = book.answer(turn.uid or "")
    assert kept is not None
    assert kept.knowledge == "k2"


def test_a_note_entered_late_is_a_cause_of_its_own(book: Casebook) -> None:
    say(
        book,
        "Spring Draw field: gray rectangular lesions below the ear leaf, R2",
        on=date(2027, 7, 20),
        minute=1,
    )
    say(book, "Spring Draw field silked July 10", on=date(2027, 7, 12), minute=2)
    say(
        book, "Spring Draw field: gray rectangular lesions below the ear leaf", on=date(2027, 7, 21), minute=3
    )
    book.withdraw(book.entries_all("note")[0].uid, author="ann", made_at=THEN)
    found = replay(book, loaded())
    assert {change.cause for change in found.changes} <= {Cause.CASEBOOK}
    assert replay(book, loaded()).changes == ()


def test_a_withdrawn_asker_leaves_its_answer_without_a_question(book: Casebook) -> None:
    first = say(book, RUST)
    say(book, "nope", minute=1, before=first.open)
    book.withdraw(first.uid or "", author="ann", made_at=THEN)
    found = replay(book, loaded())
    assert {change.cause for change in found.changes} == {Cause.CASEBOOK}


# ---------------------------------------------------------------- in a copy, or for good


def test_in_a_copy_unless_told_to_keep(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with pytest.raises(NoCasebook):
        replayed(path, loaded(), keep=True)
    assert list(tmp_path.iterdir()) == []
    with Casebook.open(path) as book:
        say(book, RUST)
    before = path.read_bytes()
    assert len(replayed(path, other()).changes) == 1
    assert path.read_bytes() == before
    assert len(replayed(path, other(), keep=True).changes) == 1
    assert replayed(path, other()).changes == ()


def test_what_failed_keeps_its_answer_and_is_told(book: Casebook) -> None:
    turn = say(book, RUST)

    class Broken:
        def read(self, *args: Any, **more: Any) -> Any:
            from rules.model import EngineFault

            raise EngineFault("the reader is ill")

    was = state(book)
    found = replay(book, replace(loaded(), reader=Broken()))  # type: ignore[arg-type]
    assert [(f.entry_uid, f.why) for f in found.failed] == [(turn.uid, "the reader is ill")]
    assert (found.derived, state(book)) == (0, was)


def test_catching_up_derives_only_what_waits(book: Casebook) -> None:
    say(book, RUST)
    waiting = book.record(
        NewEntry(author="bob", made_at=THEN, about=DAY, kind="note", body={"text": "Voss field: clean, R3"})
    )
    found = catch_up(book, loaded())
    assert (found.derived, found.new, found.changes) == (1, 1, ())
    assert book.scenes(waiting.uid)[0].field_uid == book.field("Voss").uid
    assert catch_up(book, loaded()).derived == 0


def test_after_a_merge_both_sides_derive_the_same(book: Casebook) -> None:
    """Two people on one field, each with a note the other had not seen, and a field of two names."""
    with Casebook.open_copy(None) as other_book:
        say(book, "North Eighty field silked July 10", on=date(2027, 7, 12))
        say(
            other_book,
            "N 80 field: orange pustules on the ear leaf, 8 of 20 plants",
            on=date(2027, 7, 28),
            minute=1,
        )
        say(other_book, "N 80 field: same again", on=date(2027, 7, 29), minute=2)
        ann, bob = to_bytes(book.journal()), to_bytes(other_book.journal())
        book.bring_in(from_bytes(bob, "bob"))
        other_book.bring_in(from_bytes(ann, "ann"))
        for each in (book, other_book):
            catch_up(each, loaded())
            replay(each, loaded())
        assert state(book) == state(other_book)
        assert len(book.fields()) == 1
        assert {e.case_id for e in _rows(book)} == {"north-eighty-field-2027"}


def _rows(book: Casebook) -> tuple[Any, ...]:
    return book.history(book.fields()[0])


def test_an_answer_to_a_note_of_a_later_day_waits_for_it(book: Casebook) -> None:
    first = say(book, RUST, on=date(2027, 7, 29))
    second = say(book, "nope", minute=1, on=DAY, before=first.open)
    was = state(book)
    assert replay(book, loaded()).changes == ()
    assert state(book) == was
    entry: Entry | None = book.entry(second.uid or "")
    assert entry is not None
