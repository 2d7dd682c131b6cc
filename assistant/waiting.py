"""The open question of a case, as the casebook's last answer left it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import cast

from assistant.book import Book
from assistant.casebook.rows import Entry
from assistant.joining import Open
from rules.model import Check
from rules.next_check import to_check
from rules.records import CheckRecord
from rules.tables import Tables


def open_question(book: Book, case: str, tables: Tables) -> Open:
    """What the last answer of the case asked for.

    Raises:
        UnknownCase: if no case has that id.
    """
    known = book.known_case(case)
    case = known.id
    notes = [e for e in book.entries(case) if e.kind == "note"]
    last = notes[-1] if notes else None
    kept = book.answer(last.uid) if last else None
    entries = cast(list[dict[str, object]], kept.answer["entries"]) if kept else []
    entry = next((e for e in entries if e["case"] == case), None)
    name = known.field.name if known.field else None
    if entry is None or last is None:
        return Open(case=case, field=name, on=known.last, facts=(), problems=(), check=None)
    told = book.earlier(case, replace(last, seq=last.seq + 1)) if entry["facts"] else ()
    facts = told[-1].facts if told else ()
    problems = cast(list[dict[str, list[int]]], entry["problems"])
    return Open(
        case=case,
        field=name,
        on=last.about,
        facts=facts,
        problems=tuple(tuple(p["facts"]) for p in problems),
        check=check_of(cast(dict[str, object] | None, entry["next_check"]), tables),
        note=last.uid,
        notes=_joined_in(last, cast(list[dict[str, object]], entry["facts"])),
    )


def _joined_in(note: Entry, facts: list[dict[str, object]]) -> int:
    """How many entries with facts the note's answer rests on: itself, and those that it joined."""
    asked = note.body.get("asked")
    before = asked.get("notes") if isinstance(asked, Mapping) and any(f.get("earlier") for f in facts) else 0
    return int(str(before or 0)) + bool(facts)


def check_of(asked: dict[str, object] | None, tables: Tables) -> Check | None:
    """The check that an answer asked for, out of the answer's JSON."""
    record = next((c for c in tables.checks if asked and c.id == asked["id"]), None)
    return _asked(record, asked) if record and asked else None


def _asked(record: CheckRecord, asked: Mapping[str, object]) -> Check:
    pair = tuple(cast(list[str], asked["separates"]))
    return to_check(record, pair, bool(asked["would_change_decision"]))
