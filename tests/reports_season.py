"""A small season for the tests of the reports, made by hand through the casebook's own doors."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Derived, Entry, NewEntry
from assistant.reports.export import write

ON = date(2027, 8, 15)
THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)

Fact = dict[str, Any]


def fact(attribute: str, value: object, status: str = "present", **more: object) -> Fact:
    return {
        "attribute": attribute,
        "value": value,
        "status": status,
        "hedged": False,
        "span": [0, 0],
        "text": "",
        **more,
    }


def count(affected: int, checked: int) -> list[Fact]:
    share = fact("incidence_pct", 100 * affected / checked, derived=True)
    return [fact("plants_checked", checked), fact("plants_affected", affected), share]


@dataclass(frozen=True, kw_only=True)
class Said:
    """One note and what its answer holds."""

    field: str
    on: date
    text: str
    problems: tuple[tuple[str, str, tuple[Fact, ...]], ...] = ()
    facts: tuple[Fact, ...] = ()
    action: str | None = None
    spray_by: date | None = None
    rescout_on: date | None = None
    stage: str | None = None
    because: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    ask: str | None = None
    look_for: str = ""


def scene(said: Said, field: str, case: str) -> dict[str, Any]:
    facts: list[Fact] = []
    problems = []
    for number, (disorder, standing, own) in enumerate(said.problems, start=1):
        places = list(range(len(facts), len(facts) + len(own)))
        candidate = {"disorder": disorder, "standing": standing, "probability": 0.8, "for": [], "against": []}
        problems.append({"id": f"p{number}", "facts": places, "differential": [candidate]})
        facts += own
    reasons = [{"rule": "r", "text": text, "sources": []} for text in said.because]
    decision = {"action": said.action, "look_for": said.look_for, "because": reasons, "would_change_if": []}
    return {
        "field": field, "case": case, "facts": facts + list(said.facts), "problems": problems,
        "stage": {"code": said.stage, "basis": "said", "days_to_r6": [40, 50] if said.stage else None},
        "decision": decision if said.action else None,
        "next_check": {"ask": said.ask} if said.ask else None,
        "cautions": [{"rule": "label_governs", "text": text, "sources": []} for text in said.cautions],
    }  # fmt: skip


def say(book: Casebook, said: Said) -> Entry:
    body = {"text": said.text}
    new = NewEntry(author="ann", made_at=THEN, about=said.on, kind="note", body=body)
    entry = book.record(new)
    field = book.add_field(said.field, author="ann", made_at=THEN, about=said.on, because=entry.uid)
    case = book.case_for(field, said.on)
    first = said.problems[0] if said.problems else (None, None, ())
    derived = Derived(
        field_uid=field.uid, case_id=case, action=said.action, spray_by=said.spray_by,
        rescout_on=said.rescout_on, lead=first[0], standing=first[1], stage=said.stage,
    )  # fmt: skip
    answer = {
        "version": 1,
        "knowledge": "k",
        "date": said.on.isoformat(),
        "entries": [scene(said, field.name, case)],
    }
    book.derive(entry.uid, "k", answer, [derived])
    return entry


def do(book: Casebook, kind: str, name: str, on: date, /, **body: object) -> Entry:
    uid = book.field(name).uid
    return book.record(NewEntry(author="ann", made_at=THEN, about=on, kind=kind, body=body, field_uid=uid))


LABEL = "The label in hand governs."

NOTES: tuple[Said, ...] = (
    Said(
        field="North Eighty", on=date(2027, 6, 14), text="walked twenty plants, nothing", action="no_spray",
        stage="V9", because=("Nothing was found.",),
        facts=(
            fact("problem", "any", "absent"), fact("plants_checked", 20), fact("hybrid", "Larkspur 108"),
            fact("hybrid_rating", "susceptible"), fact("rating_for", "gray_leaf_spot"),
        ),
    ),
    Said(
        field="North Eighty", on=date(2027, 7, 8), text="tan boxes, third leaf, 13 of 20", action="spray",
        stage="VT", spray_by=date(2027, 7, 20), because=("the threshold is met", "the hybrid is susceptible"),
        cautions=(LABEL,),
        problems=(("gray_leaf_spot", "fits", (fact("leaf_from_ear", -3), *count(13, 20))),),
        facts=(fact("canopy_position", "above_ear_leaf", "absent"),),
    ),
    Said(
        field="North Eighty", on=date(2027, 7, 13), text="they flew it yesterday", stage="R1",
        facts=(fact("sprayed", True),),
    ),
    Said(
        field="Voss", on=date(2027, 7, 16), text="water soaked, freckles", action="no_spray", stage="VT",
        because=("No fungicide helps.",), ask="Is there a shiny film?",
        problems=(("gray_leaf_spot", "possible", (fact("canopy_position", "mid"),)),),
        facts=(fact("hybrid", "Tamarack 111"), fact("sample_sent_on", "2027-07-17")),
    ),
    Said(
        field="Voss", on=date(2027, 7, 24), text="the lab reports Goss's wilt", action="no_spray", stage="R1",
        problems=(("goss_wilt", "confirmed", ()),),
    ),
    Said(
        field="Dutton Bottom", on=date(2027, 8, 14), text="orange, fourth leaf below",
        action="hold",
        stage="R2", spray_by=date(2027, 8, 31), rescout_on=date(2027, 8, 19), cautions=(LABEL,),
        because=("Still low in the canopy, and this weather does not suit it: hold.",),
        ask="Is it above the ear leaf now?", look_for="fresh pustules on the ear leaf",
        problems=(
            (
                "southern_rust",
                "fits",
                (fact("leaf_from_ear", [-5, -4]), fact("canopy_position", "ear_leaf", "absent")),
            ),
        ),
    ),
)  # fmt: skip


def fill(book: Casebook, notes: Sequence[Said] = NOTES) -> None:
    for note in notes:
        say(book, note)
    if notes is NOTES:
        do(book, "position", "North Eighty", date(2027, 6, 14), lat=42.03, lon=-93.63)
        do(book, "outcome", "Voss", date(2027, 8, 10), text="chopped for silage", harvested_on="2027-08-10")


@contextmanager
def season_book(folder: Path, notes: Sequence[Said] = NOTES, name: str = "casebook.db") -> Iterator[Casebook]:
    with Casebook.open(folder / name) as book:
        fill(book, notes)
        yield book


def written(book: Casebook, form: str, **asked: Any) -> bytes:
    """A form of the season 2027 as bytes."""
    out = io.BytesIO()
    write(book, form, out, **{"year": 2027, "on": ON, **asked})
    return out.getvalue()
