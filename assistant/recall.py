"""A note as the journal holds it, ready to be derived again: its words, and the open case it may answer."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, cast

from assistant.book import Book
from assistant.casebook.rows import Entry
from assistant.joining import Open
from assistant.turn import Note
from assistant.waiting import check_of
from rules.model import Fact, Relation, Status, Value
from rules.tables import Tables


def note_of(entry: Entry) -> Note:
    """The note that an entry stores, with the words that stand."""
    field = entry.body.get("field")
    return Note(
        text=entry.text,
        on=entry.about,
        made_at=entry.made_at,
        author=entry.author,
        field=str(field) if field else None,
        case=entry.case_id,
        imported=bool(entry.body.get("imported")),
    )


def asked_of(entry: Entry, book: Book, tables: Tables) -> Open | None:
    """The open case that the note could join when it was taken; None if there was none."""
    asked = entry.body.get("asked")
    if not isinstance(asked, Mapping) or not asked.get("note"):
        return None
    kept = book.answer(str(asked["note"]))
    if kept is None:
        return None
    answer = cast("Mapping[str, Any]", kept.answer)
    shown = next((e for e in answer["entries"] if e["case"] == asked["case"]), None)
    return _left(shown, asked, date.fromisoformat(answer["date"]), tables) if shown else None


def _left(shown: Mapping[str, Any], asked: Mapping[str, Any], on: date, tables: Tables) -> Open:
    return Open(
        case=shown["case"],
        field=shown["field"],
        on=on,
        facts=tuple(_fact(f, tables) for f in shown["facts"]),
        problems=tuple(tuple(p["facts"]) for p in shown["problems"]),
        check=check_of(shown["next_check"], tables),
        note=asked["note"],
        notes=asked["notes"],
    )


def _fact(shown: Mapping[str, Any], tables: Tables) -> Fact:
    """The fact that the answer's JSON shows."""
    start, end = shown["span"]
    return Fact(
        attribute=shown["attribute"],
        value=_value(shown["attribute"], shown["value"], tables),
        status=Status(shown["status"]),
        hedged=shown["hedged"],
        approx=bool(shown.get("approx")),
        derived=bool(shown.get("derived")),
        unit=shown.get("unit"),
        relation=Relation(shown["relation"]) if shown.get("relation") else None,
        where=tuple(sorted((k, _value(k, v, tables)) for k, v in (shown.get("where") or {}).items())),
        span=(start, end),
        text=shown["text"],
        earlier=bool(shown.get("earlier")),
    )


def _value(attribute: str, shown: Any, tables: Tables) -> Value:
    known = tables.attributes.get(attribute)
    if isinstance(shown, list):
        low, high = shown
        return (low, high)
    if known is not None and known.kind == "date" and isinstance(shown, str):
        return date.fromisoformat(shown)
    value: Value = shown
    return value
