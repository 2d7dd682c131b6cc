"""Deriving everything again under today's knowledge, and telling which answers change.

Notes are taken in the order of the days that they speak of, each with the fields that were known when
it was said and the open case that it answered, so that under the same knowledge nothing changes.  A
change is then due to the knowledge, or to what the casebook has learnt since: a correction, a
withdrawal, a note entered late, somebody else's notes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from itertools import zip_longest
from pathlib import Path
from typing import Any, cast

from assistant.as_of import AsOf, Past, past_of
from assistant.casebook.book import Casebook
from assistant.casebook.rows import Answer, Derived, Entry
from assistant.deed import WITH_FACTS, keep_facts
from assistant.joining import Open
from assistant.loaded import Loaded
from assistant.recall import asked_of, note_of
from assistant.turn import derive
from assistant.waiting import check_of
from rules.model import EarleafError

#: Told after each entry: how many are done, of how many.
Progress = Callable[[int, int], None]

#: What of a decision is compared.
_COMPARED = ("action", "spray_by", "rescout_on", "lead", "standing", "stage", "case_id")


class Cause(StrEnum):
    """What made an answer change."""

    KNOWLEDGE = "knowledge"
    CASEBOOK = "casebook"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing of an answer (its ``scene``-th field) that was so, and is so now."""

    scene: int
    what: str
    was: str | None
    now: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A note whose answer changes; the rules that no longer speak for its decision, and those that now do."""

    entry_uid: str
    on: date
    field: str | None
    text: str
    cause: Cause
    differences: tuple[Difference, ...]
    rules_gone: tuple[str, ...]
    rules_new: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A note that could not be derived again, and why; what was derived before stays."""

    entry_uid: str
    text: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """What came of it: entries derived, of them those that had no answer before, changes, failures."""

    derived: int
    new: int
    changes: tuple[Change, ...]
    failed: tuple[Failed, ...]


def replayed(path: Path, loaded: Loaded, *, keep: bool = False, progress: Progress | None = None) -> Replay:
    """Replays the casebook at ``path``: in a copy that is forgotten, or in the file itself.

    Raises:
        NoCasebook: there is none.
    """
    with _opened(path, keep) as book:
        return replay(book, loaded, progress=progress)


def replay(book: Casebook, loaded: Loaded, *, progress: Progress | None = None) -> Replay:
    """Derives every note and deed of the book again, in the book."""
    return _again(book, loaded, _told(book), progress)


def catch_up(book: Casebook, loaded: Loaded, *, progress: Progress | None = None) -> Replay:
    """Derives what has no answer yet: after a merge, or where the program was stopped before it could."""
    waiting = [entry for entry in _told(book) if book.answer(entry.uid) is None]
    return _again(book, loaded, waiting, progress)


def _opened(path: Path, keep: bool) -> AbstractContextManager[Casebook]:
    if keep:
        with Casebook.open_readonly(path):  # a replay makes no casebook where there is none
            return Casebook.open(path)
    return Casebook.open_copy(path)


def _told(book: Casebook) -> list[Entry]:
    """What is derived from: notes and deeds that stand, in order."""
    return [entry for entry in book.entries_all() if entry.kind in ("note", *WITH_FACTS)]


def _again(book: Casebook, loaded: Loaded, entries: Iterable[Entry], progress: Progress | None) -> Replay:
    ordered, past = list(_askers_first(entries)), past_of(book)
    changes, failed, new = [], [], 0
    for number, entry in enumerate(ordered, start=1):
        before, was = book.answer(entry.uid), book.scenes(entry.uid)
        try:
            _derive(book, loaded, entry, past)
        except EarleafError as error:
            failed.append(Failed(entry_uid=entry.uid, text=entry.text, why=str(error)))
        else:
            new += before is None
            changes += _changes(book, entry, before, was) if before else []
        if progress:
            progress(number, len(ordered))
    return Replay(derived=len(ordered) - len(failed), new=new, changes=tuple(changes), failed=tuple(failed))


def _askers_first(entries: Iterable[Entry]) -> Iterator[Entry]:
    """The entries in their order; where a note answers one that speaks of a later day, that one first."""
    waiting = {entry.uid: entry for entry in entries}

    def taken(entry: Entry) -> Iterator[Entry]:
        chain = [entry]
        while (asker := waiting.get(_asker(chain[-1]))) is not None and asker not in chain:
            chain.append(asker)
        for each in reversed(chain):
            if waiting.pop(each.uid, None):
                yield each

    for entry in list(waiting.values()):
        if entry.uid in waiting:
            yield from taken(entry)


def _asker(entry: Entry) -> str:
    asked = entry.body.get("asked")
    return str(asked.get("note")) if isinstance(asked, Mapping) else ""


def _derive(book: Casebook, loaded: Loaded, entry: Entry, past: Past) -> None:
    if entry.kind in WITH_FACTS:
        keep_facts(book, entry, loaded.knowledge)
        return
    then = AsOf(book, past, entry)
    open_case = _open_then(entry, book, loaded)
    derive(entry, note_of(entry), then, loaded, open_case=open_case, choose=then.choose)


def _open_then(entry: Entry, book: Casebook, loaded: Loaded) -> Open | None:
    """The open case that the note answered, with the check that was asked for then."""
    asked = entry.body.get("asked")
    if not isinstance(asked, Mapping) or book.entry(_asker(entry)) is None:
        return None  # what asked was taken back
    # A case may have another id since casebooks were merged.
    known = book.case(str(asked["case"])) if asked.get("case") else None
    today = {**asked, "case": known.id if known else asked.get("case")}
    found = asked_of(replace(entry, body={**entry.body, "asked": today}), book, loaded.tables)
    if found is None or (found.check.id if found.check else None) == asked.get("check"):
        return found
    then: dict[str, object] = {"id": asked.get("check"), "separates": [], "would_change_decision": True}
    return replace(found, check=check_of(then, loaded.tables))


# ----------------------------------------------------------------------------- what changed


def _changes(book: Casebook, entry: Entry, before: Answer, was: tuple[Derived, ...]) -> list[Change]:
    after, now = book.answer(entry.uid), book.scenes(entry.uid)
    differences = tuple(_differences(was, now))
    if after is None or not differences:
        return []
    gone, new = _rules(before), _rules(after)
    shown = cast("list[dict[str, Any]]", after.answer.get("entries", []))
    return [
        Change(
            entry_uid=entry.uid,
            on=entry.about,
            field=next((e["field"] for e in shown if e["field"]), None),
            text=entry.text,
            cause=Cause.CASEBOOK if before.knowledge == after.knowledge else Cause.KNOWLEDGE,
            differences=differences,
            rules_gone=tuple(rule for rule in gone if rule not in new),
            rules_new=tuple(rule for rule in new if rule not in gone),
        )
    ]


def _differences(was: tuple[Derived, ...], now: tuple[Derived, ...]) -> Iterator[Difference]:
    nothing = Derived()
    for scene, (old, new) in enumerate(zip_longest(was, now, fillvalue=nothing)):
        for what in _COMPARED:
            one, other = getattr(old, what), getattr(new, what)
            if one != other:
                yield Difference(scene=scene, what=what, was=_said(one), now=_said(other))


def _said(value: object) -> str | None:
    return None if value is None else str(value)


def _rules(answer: Answer) -> list[str]:
    """The rules that speak for the decisions of an answer, each once."""
    shown = cast("list[dict[str, Any]]", answer.answer.get("entries", []))
    said = [reason["rule"] for e in shown if e.get("decision") for reason in e["decision"]["because"]]
    return list(dict.fromkeys(said))


__all__ = ["Cause", "Change", "Difference", "Failed", "Progress", "Replay", "catch_up", "replay", "replayed"]
