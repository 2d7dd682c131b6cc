"""A note taken out of the journal again leads to the answer that it led to when it was said."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any, cast

from assistant.casebook.book import Casebook
from assistant.joining import Open
from assistant.loaded import Loaded
from assistant.recall import asked_of, note_of
from assistant.turn import Note, derive, take
from rules.consult import consultant
from rules.model import Check, Fact, Scene, Status
from rules.tables import load as load_tables

NOW = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)


def fact(attribute: str, value: Any, status: Status = Status.PRESENT, **more: Any) -> Fact:
    return Fact(attribute=attribute, value=value, status=status, text=str(value), **more)


SAID = {
    "first": Scene(
        field="Spring Draw",
        facts=(
            fact("growth_stage", "R3"),
            fact("lesion_form", "lesion"),
            fact("lesion_colour", "gray", where=(("canopy_position", "lower"),)),
            fact("planted_on", date(2027, 5, 1), approx=True),
            fact("temperature_f", (75, 79), hedged=True, unit="F"),
            fact("rubs_off", True, Status.ABSENT),
        ),
        problems=((1, 2, 5),),
    ),
    "susceptible": Scene(field=None, facts=(fact("hybrid_rating", "susceptible"),)),
    "rectangular": Scene(field=None, facts=(fact("lesion_shape", "rectangular"),)),
    "no field": Scene(field=None, facts=(fact("lesion_form", "lesion"),), problems=((0,),)),
}


class ByHeart:
    def read(
        self, text: str, *, on: date, fields: Sequence[str] = (), asked: Check | None = None
    ) -> tuple[Scene, ...]:
        return (SAID[text],)


def loaded() -> Loaded:
    return Loaded(tables=load_tables(), consultant=consultant(), reader=cast(Any, ByHeart()), knowledge="k1")


def say(book: Casebook, *texts: str) -> list[Open | None]:
    """Says the lines one after the other; returns the case that was open before each."""
    opens: list[Open | None] = [None]
    for text in texts:
        note = Note(text=text, on=NOW.date(), made_at=NOW, author="ann")
        opens.append(take(note, book, loaded(), open_case=opens[-1]).open)
    return opens[:-1]


def test_the_open_case_is_recalled_to_the_letter() -> None:
    with Casebook.open_copy(None) as book:
        opens = say(book, "first", "susceptible", "rectangular")
        entries = sorted(book.entries_all("note"), key=lambda e: e.seq)
        recalled = [asked_of(e, book, load_tables()) for e in entries]
    assert recalled == opens


def test_a_case_without_a_field_is_recalled_too() -> None:
    with Casebook.open_copy(None) as book:
        opens = say(book, "no field", "rectangular")
        entries = sorted(book.entries_all("note"), key=lambda e: e.seq)
        assert [asked_of(e, book, load_tables()) for e in entries] == opens


def test_deriving_again_gives_the_same_answer() -> None:
    with Casebook.open_copy(None) as book:
        say(book, "first", "susceptible", "rectangular")
        entries = sorted(book.entries_all("note"), key=lambda e: e.seq)
        before = [book.answer(e.uid) for e in entries]
        for entry in entries:
            derive(entry, note_of(entry), book, loaded(), open_case=asked_of(entry, book, load_tables()))
        assert [book.answer(e.uid) for e in entries] == before
        assert all(before)
