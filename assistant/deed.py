"""Writing down what was done: one entry of the journal each, and the facts that it states to the rules."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Derived, Entry, Field, NewEntry
from rules.model import Fact, Status, WrongWords

#: The kinds of entry that state facts to the rules.
WITH_FACTS = ("spray", "lab_result", "sample")


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who writes it down, when, and the hash of the knowledge at work."""

    author: str
    made_at: datetime
    knowledge: str


def written(
    book: Casebook,
    by: By,
    field: Field,
    on: date,
    kind: str,
    body: Mapping[str, object],
    *,
    refers_to: str | None = None,
    case_id: str | None = None,
) -> Entry:
    """Puts a deed into the journal, with the facts that it states."""
    entry = book.record(
        NewEntry(
            author=by.author,
            made_at=by.made_at,
            about=on,
            kind=kind,
            body=body,
            field_uid=field.uid,
            case_id=case_id,
            refers_to=refers_to,
        )
    )
    if kind in WITH_FACTS:
        keep_facts(book, entry, by.knowledge)
    return entry


def facts_of(entry: Entry) -> tuple[Fact, ...]:
    """What an entry states to the rules."""
    if entry.kind == "spray":
        return _spray_facts(entry)
    if entry.kind == "sample":
        return (Fact(attribute="sample_sent_on", value=entry.about, text=entry.text),)
    found, missed = _names(entry, "found"), _names(entry, "not_found")
    said = [Fact(attribute="problem", value=name, text=entry.text) for name in found]
    said += [Fact(attribute="problem", value=name, status=Status.ABSENT, text=entry.text) for name in missed]
    return (*said, Fact(attribute="lab_confirmed", value=True, text=entry.text)) if found else tuple(said)


def keep_facts(book: Casebook, entry: Entry, knowledge: str) -> None:
    """Derives the facts of an entry (again).  It is no look at the field: its kind says what it closes."""
    scene = Derived(field_uid=entry.field_uid, case_id=entry.case_id, facts=facts_of(entry), visit=False)
    book.derive(entry.uid, knowledge, {}, [scene])


def refuse_unknown(names: Iterable[str], known: Collection[str], what: str) -> None:
    """Refuses a name that is not known, and says which are near."""
    for name in names:
        if name not in known:
            close = difflib.get_close_matches(name, list(known))
            hint = f" Did you mean {' or '.join(close)}?" if close else ""
            raise WrongWords(f"{name!r} is no {what}.{hint}")


def _spray_facts(entry: Entry) -> tuple[Fact, ...]:
    record = entry.body.get("record")
    said = record.get("active_ingredients", "") if isinstance(record, Mapping) else ""
    listed = str(said).lower().replace("+", ",").replace(" and ", ",").split(",")
    names = [" ".join(name.split()) for name in listed]
    return (
        Fact(attribute="sprayed", value=True, text=entry.text),
        Fact(attribute="sprayed_on", value=entry.about, text=entry.text),
        *(Fact(attribute="active_ingredient", value=name, text=entry.text) for name in names if name),
    )


def _names(entry: Entry, key: str) -> list[str]:
    listed = entry.body.get(key)
    return [str(name) for name in listed] if isinstance(listed, list) else []
