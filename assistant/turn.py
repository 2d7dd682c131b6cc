"""The one path of a note: stored, read, consulted, worded, kept.

Chat, ``note``, ``batch`` and replay all come through :func:`take`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import cast

from assistant.book import Book
from assistant.casebook.errors import AmbiguousField
from assistant.casebook.fields import Candidates, Exact
from assistant.casebook.rows import Derived, Entry, Field, NewEntry
from assistant.joining import Open, join, opened
from assistant.labels import shelf
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
    note: Note,
    book: Book,
    loaded: Loaded | Callable[[], Loaded],
    *,
    open_case: Open | None = None,
    choose: Chooser | None = None,
    recorded: Callable[[Entry], None] | None = None,
) -> Turn:
    """Takes one note all the way.

    ``open_case`` is the case whose last check the note may answer.  ``loaded`` may be a
    call that waits for the loading: it is made when the note is in the journal already, and
    ``recorded`` has been told so.

    Raises:
        AmbiguousField: if a field name could be two known ones and there is no ``choose``;
            the note then stays in the journal, withdrawn.
        EarleafError: for anything else that was wrong with the words or the casebook.
    """
    entry = book.record(_journal(note, open_case))
    if recorded:
        recorded(entry)
    ready = loaded() if callable(loaded) else loaded
    try:
        return derive(entry, note, book, ready, open_case=open_case, choose=choose)
    except AmbiguousField:
        book.withdraw(entry.uid, author=note.author, made_at=note.made_at)
        raise


def _journal(note: Note, open_case: Open | None) -> NewEntry:
    body: dict[str, object] = {"text": note.text}
    if note.field:
        body["field"] = note.field
    if open_case:
        check = open_case.check.id if open_case.check else None
        body["asked"] = {
            "case": open_case.case,
            "check": check,
            "note": open_case.note,
            "notes": open_case.notes,
        }
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
    doubts = _Doubts(entry, choose)
    labels = shelf(book)
    entries: list[EntryShape] = []
    kept: list[Derived] = []
    consultations: list[Consultation] = []
    opens: list[Open] = []
    for scene in _scenes(note, book, loaded, open_case):
        place = _place(scene, entry, note, book, open_case, doubts)
        joined = _joined(scene, place, note, open_case)
        whole = join(joined, scene, loaded.tables, note.on) if joined else scene
        earlier = book.earlier(place.case, entry) if place.case else ()
        earlier = _without_open(earlier, joined)
        consultation = loaded.consultant.consult(
            whole.facts, whole.problems, on=note.on, earlier=earlier, labels=labels
        )
        entries.append(entry_shape(whole, consultation, field=place.name, case=place.case))
        consultations.append(consultation)
        kept.append(_derived(whole, consultation, place))
        left = opened(whole, consultation, place.case, place.name, note.on)
        notes = (joined.notes if joined else 0) + bool(whole.facts)
        opens.append(replace(left, note=entry.uid, notes=notes))
    doubts.keep(note, book)
    answer = AnswerShape(version=VERSION, knowledge=loaded.knowledge, date=note.on, entries=entries)
    book.derive(entry.uid, loaded.knowledge, to_dict(answer), kept)
    left_open = next((o for o in reversed(opens) if o.check), opens[-1])
    return Turn(note=note, uid=entry.uid, answer=answer, consultations=tuple(consultations), open=left_open)


def _scenes(note: Note, book: Book, loaded: Loaded, open_case: Open | None) -> tuple[Scene, ...]:
    """What the words say; the open check tells what a bare "nope" means, unless another field comes first."""
    fields = book.field_names()
    asked = open_case.check if open_case else None
    scenes = loaded.reader.read(note.text, on=note.on, fields=fields, asked=asked)
    spoken = scenes[0].field if scenes else None
    if asked and open_case and spoken and not _names(book, spoken, open_case.field):
        scenes = loaded.reader.read(note.text, on=note.on, fields=fields)
    return scenes or (Scene(field=None, facts=()),)


def _names(book: Book, spoken: str, field: str | None) -> bool:
    match = book.match(spoken)
    return isinstance(match, Exact) and match.field.name == field


def _joined(scene: Scene, place: _Place, note: Note, open_case: Open | None) -> Open | None:
    """The open case, if the scene goes on with it.

    One that names the field on another day begins anew, unless the caller named the case.
    """
    if open_case is None or place.case != open_case.case:
        return None
    goes_on = scene.field is None or open_case.on == note.on or note.case is not None
    return open_case if goes_on else None


def _without_open(earlier: Sequence[Earlier], joined: Open | None) -> tuple[Earlier, ...]:
    """The notes that are being answered are joined already; they must not count twice."""
    return tuple(earlier[: max(0, len(earlier) - joined.notes)]) if joined else tuple(earlier)


# ----------------------------------------------------------------------------- which field, which case


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    field: Field | None
    name: str | None
    case: str | None


def _place(
    scene: Scene, entry: Entry, note: Note, book: Book, open_case: Open | None, doubts: _Doubts
) -> _Place:
    spoken = scene.field or note.field
    if spoken is None:
        case = note.case or (open_case.case if open_case else None)
        known = book.case(case) if case else None
        field = known.field if known else None
        return _Place(field=field, name=field.name if field else None, case=known.id if known else case)
    field = _field(spoken, entry, note, book, doubts)
    known = book.case(note.case) if note.case else None
    case = known.id if known and known.field == field else book.case_for(field, note.on)
    return _Place(field=field, name=field.name, case=case)


def _field(spoken: str, entry: Entry, note: Note, book: Book, doubts: _Doubts) -> Field:
    match = book.match(spoken)
    if isinstance(match, Exact):
        return match.field
    if isinstance(match, Candidates):
        chosen = doubts.settle(match)
        if chosen is not None:
            return book.field(chosen)
    return book.add_field(spoken, author=note.author, made_at=note.made_at, about=note.on, because=entry.uid)


class _Doubts:
    """Which known field a doubtful name means: as chosen before, or asked now and kept in the journal."""

    def __init__(self, entry: Entry, choose: Chooser | None) -> None:
        self._entry = entry
        self._choose = choose
        self._chosen = dict(cast("Mapping[str, str]", entry.body.get("chosen") or {}))
        self._asked = False

    def settle(self, match: Candidates) -> str | None:
        """The name of the field that is meant; None for a new one."""
        names = [f.name for f in match.fields]
        if self._chosen.get(match.said) in names:
            return self._chosen[match.said]
        if self._choose is None:
            raise match.error()
        chosen = self._choose(match.said, names)
        if chosen is not None:
            self._chosen[match.said] = chosen
            self._asked = True
        return chosen

    def keep(self, note: Note, book: Book) -> None:
        """Writes down what was chosen, so that deriving again asks nobody."""
        if not self._asked:
            return
        kept = {name: self._entry.body[name] for name in KEPT_WITH_WORDS if name in self._entry.body}
        body = {**kept, "text": note.text, "chosen": self._chosen, "choice": True}
        book.record(
            NewEntry(
                author=note.author,
                made_at=note.made_at,
                about=note.on,
                kind="correction",
                body=body,
                refers_to=self._entry.uid,
            )
        )


#: What a note keeps when its words are corrected: the field it was filed under, the fields that were chosen.
KEPT_WITH_WORDS = ("field", "chosen")


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


__all__ = ["KEPT_WITH_WORDS", "AmbiguousField", "Chooser", "Note", "Turn", "derive", "take"]
