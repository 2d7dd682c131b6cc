"""The one path of a note: stored, read, consulted, worded, kept.

Chat, ``note``, ``batch`` and replay all come through :func:`take`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from assistant.book import Book
from assistant.casebook.errors import AmbiguousField
from assistant.casebook.fields import Candidates, Exact
from assistant.casebook.rows import Derived, Entry, Field, NewEntry
from assistant.joining import Open, join, opened
from assistant.loaded import Loaded
from assistant.schema import VERSION, AnswerShape, EntryShape, entry_shape, to_dict
from rules.model import Consultation, Earlier, Scene, Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What came in: the words, the day they speak of, who said them and when."""

    text: str
    on: date
    made_at: datetime
    author: str
    field: str | None = None
    case: str | None = None
    imported: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What a note came to."""

    note: Note
    uid: str | None
    answer: AnswerShape
    consultations: tuple[Consultation, ...]
    open: Open | None


#: Asks which of several known fields a name means; returns one of them, or None for a new field.
Chooser = Callable[[str, Sequence[str]], str | None]


def take(
    note: Note, book: Book, loaded: Loaded, *, open_case: Open | None = None, choose: Chooser | None = None
) -> Turn:
    """Takes one note all the way.

    ``open_case`` is the case whose last check the note may answer.

    Raises:
        AmbiguousField: if a field name could be two known ones and there is no ``choose``;
            the note then stays in the journal, withdrawn.
        EarleafError: for anything else that was wrong with the words or the casebook.
    """
    entry = book.record(_journal(note, open_case))
    try:
        return derive(entry, note, book, loaded, open_case=open_case, choose=choose)
    except AmbiguousField:
        book.withdraw(entry.uid, author=note.author, made_at=note.made_at)
        raise


def _journal(note: Note, open_case: Open | None) -> NewEntry:
    body: dict[str, object] = {"text": note.text}
    if note.field:
        body["field"] = note.field
    if open_case and open_case.check:
        body["asked"] = {"case": open_case.case, "check": open_case.check.id}
    if note.imported:
        body["imported"] = True
    return NewEntry(
        author=note.author, made_at=note.made_at, about=note.on, kind="note", body=body, case_id=note.case
    )


def derive(
    entry: Entry,
    note: Note,
    book: Book,
    loaded: Loaded,
    *,
    open_case: Open | None = None,
    choose: Chooser | None = None,
) -> Turn:
    """Derives (again) everything that follows from a note which the journal holds."""
    asked = open_case.check if open_case else None
    scenes = loaded.reader.read(note.text, on=note.on, fields=book.field_names(), asked=asked)
    entries: list[EntryShape] = []
    kept: list[Derived] = []
    consultations: list[Consultation] = []
    left_open: Open | None = None
    for scene in scenes or (Scene(field=None, facts=()),):
        place = _place(scene, entry, note, book, open_case, choose)
        joined = open_case if open_case and place.case == open_case.case else None
        whole = join(joined, scene, loaded.tables, note.on) if joined else scene
        earlier = book.earlier(place.case, entry) if place.case else ()
        earlier = _without_open(earlier, joined)
        consultation = loaded.consultant.consult(whole.facts, whole.problems, on=note.on, earlier=earlier)
        entries.append(entry_shape(whole, consultation, field=place.name, case=place.case))
        consultations.append(consultation)
        kept.append(_derived(whole, consultation, place))
        left_open = opened(whole, consultation, place.case, place.name, note.on)
    answer = AnswerShape(version=VERSION, knowledge=loaded.knowledge, date=note.on, entries=entries)
    book.derive(entry.uid, loaded.knowledge, to_dict(answer), kept)
    return Turn(note=note, uid=entry.uid, answer=answer, consultations=tuple(consultations), open=left_open)


def _without_open(earlier: Sequence[Earlier], joined: Open | None) -> tuple[Earlier, ...]:
    """The note that is being answered is joined already; it must not count twice."""
    return tuple(earlier[:-1]) if joined and earlier else tuple(earlier)


# ----------------------------------------------------------------------------- which field, which case


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    field: Field | None
    name: str | None
    case: str | None


def _place(
    scene: Scene, entry: Entry, note: Note, book: Book, open_case: Open | None, choose: Chooser | None
) -> _Place:
    spoken = scene.field or note.field
    if spoken is None:
        case = note.case or (open_case.case if open_case else None)
        known = book.case(case) if case else None
        field = known.field if known else None
        return _Place(field=field, name=field.name if field else None, case=case)
    field = _field(spoken, entry, note, book, choose)
    same_field = note.case and (known := book.case(note.case)) and known.field == field
    return _Place(
        field=field, name=field.name, case=note.case if same_field else book.case_for(field, note.on)
    )


def _field(spoken: str, entry: Entry, note: Note, book: Book, choose: Chooser | None) -> Field:
    match = book.match(spoken)
    if isinstance(match, Exact):
        return match.field
    if isinstance(match, Candidates):
        names = [f.name for f in match.fields]
        if choose is None:
            raise match.error()
        chosen = choose(spoken, names)
        if chosen is not None:
            return book.field(chosen)
    return book.add_field(spoken, author=note.author, made_at=note.made_at, about=note.on, because=entry.uid)


def _derived(scene: Scene, consultation: Consultation, place: _Place) -> Derived:
    decision = consultation.decision
    lead = consultation.problems[0].differential[0] if consultation.problems else None
    looked = decision is not None or any(
        f.attribute in _VISITS and f.status is Status.PRESENT for f in scene.facts
    )
    return Derived(
        field_uid=place.field.uid if place.field else None,
        case_id=place.case,
        facts=scene.facts,
        action=decision.action.value if decision else None,
        spray_by=decision.spray_by if decision else None,
        rescout_on=decision.rescout_on if decision else None,
        lead=lead.disorder if lead else None,
        standing=lead.standing.value if lead else None,
        stage=consultation.stage.code,
        visit=looked,
    )


#: Facts that say that somebody was in the field or did something to it.
_VISITS = ("sprayed", "sprayed_on", "scouted", "growth_stage", "sample_sent_on")


__all__ = ["AmbiguousField", "Note", "Turn", "derive", "take"]
