"""One chat's state: the casebook, the day spoken of, the open case; and what a line does to it.

No terminal here: lines go in, text comes out.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from assistant.answer import told
from assistant.casebook.book import Casebook
from assistant.casebook.rows import Entry, NewEntry
from assistant.joining import Open
from assistant.loaded import Lazy, Loaded
from assistant.recall import asked_of, note_of
from assistant.turn import KEPT_WITH_WORDS, AmbiguousField, Chooser, Note, Turn, derive, take
from rules.model import EarleafError, WrongWords


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """A note that this chat has answered; ``before`` is the case that was open when it came."""

    turn: Turn
    before: Open | None


class Conversation:
    """What one chat knows; use it in one thread, and :meth:`close` it."""

    def __init__(
        self, path: Path, *, author: str, now: Callable[[], datetime], lazy: Lazy[Loaded], choose: Chooser
    ) -> None:
        self.path = path
        self.author = author
        self.now = now
        self.lazy = lazy
        self.choose = choose
        self.answered: list[Answered] = []
        self.open: Open | None = None
        #: The field of the next note that names none, where it is not the open case's.
        self.field: str | None = None
        #: Words that come back in the next prompt.
        self.draft = ""
        #: The program's own account of the last fault, for /why.
        self.fault = ""
        self._day: date | None = None
        self._remarks: list[str] = []
        self._exit = ExitStack()
        self._book: Casebook | None = None
        self._caught_up = False

    def close(self) -> None:
        """Closes the casebook."""
        self._exit.close()

    # ------------------------------------------------------------------ what there is

    @property
    def on(self) -> date:
        """The day that notes speak of: the one that was set, else today."""
        return self._day or self.now().date()

    @property
    def set_day(self) -> date | None:
        """The day that was set with /date."""
        return self._day

    @property
    def field_now(self) -> str | None:
        """The field that a note belongs to which names none."""
        return self.field or (self.open.field if self.open else None)

    def book(self) -> Casebook:
        """The casebook, opened (and made) when it is first needed."""
        if self._book is None:
            self._book = self._exit.enter_context(Casebook.open(self.path))
        return self._book

    def known_fields(self) -> tuple[str, ...]:
        """Names of known fields; does not make a casebook."""
        return self.book().field_names() if self._book or self.path.exists() else ()

    def full_book(self) -> Casebook:
        """The casebook with every note answered, as far as that is possible."""
        book = self.book()
        if not self._caught_up and book.not_derived():
            try:
                self._ready()
            except Exception as error:
                self.remark(f"Notes that have no answer yet still wait for it: {self.in_words(error)}")
        return book

    def remark(self, text: str) -> None:
        """Something to say beside the answer."""
        self._remarks.append(text)

    def remarks(self) -> str:
        """What was remarked since the last time; each is said once."""
        said, self._remarks = "\n".join(self._remarks), []
        return said

    # ------------------------------------------------------------------ what a line does

    def note(self, text: str) -> str:
        """Takes a line as a note; returns the answer.  The words are in the journal before anything else."""
        kept: list[Entry] = []
        note = Note(text=text, on=self.on, made_at=self.now(), author=self.author, field=self.field)
        try:
            turn = take(
                note,
                self.book(),
                lambda: self._ready(but=kept[0].uid),
                open_case=self.open,
                choose=self.choose,
                recorded=kept.append,
            )
        except AmbiguousField as error:
            self.draft = text
            return f"{error} The note was not filed; it is back in the prompt."
        except (Exception, KeyboardInterrupt) as error:
            return self._not_answered(text, error, kept=bool(kept))
        return self._answer(turn, before=self.open)

    def correct(self, text: str) -> str:
        """Puts other words in the place of this author's last note, and answers them."""
        return self._amend(self.last_note(), {"text": text})

    def file_under(self, field: str) -> str:
        """Files this chat's last note, which named no field, under one."""
        entry = self.last_note()
        return self._amend(entry, {"text": entry.text, "field": field})

    def undo(self) -> str:
        """Takes back this author's last entry; returns what it was."""
        book = self.book()
        entry = book.withdraw_last(self.author, self.now())
        if entry is None:
            raise WrongWords("There is nothing of yours in the casebook to take back.")
        if entry.kind == "correction" and entry.body.get("choice"):
            # The choice of a field was made for the note; they go together.
            entry = book.withdraw(entry.refers_to or "", author=self.author, made_at=self.now())
        if entry.kind == "correction":
            return self._uncorrected(entry)
        if self.answered and self.answered[-1].turn.uid == entry.uid:
            self.open = self.answered.pop().before
        elif self.open and self.open.note == entry.uid:
            self.open = None
        words = entry.text or str(entry.body.get("name", ""))
        said = f', "{words}"' if words else ""
        return f"Taken back: the {entry.kind.replace('_', ' ')} of {entry.about.isoformat()}{said}."

    def last_note(self) -> Entry:
        """This author's last note that stands.

        Raises:
            WrongWords: if there is none.
        """
        own = [e for e in self.book().entries_all("note") if e.author == self.author]
        if not own:
            raise WrongWords("You have no note in the casebook yet.")
        return max(own, key=lambda e: e.seq)

    def speak_of(self, day: date | None) -> None:
        """Notes from here on speak of that day; another season closes the open case."""
        self._day = day
        if self.open and self.open.on.year != self.on.year:
            self.field, self.open = self.open.field, None

    def turn_to(self, field: str) -> None:
        """Notes that name no field belong to this one; another open case is closed."""
        if self.open and self.open.field == field:
            self.field = None
            return
        self.field, self.open = field, None

    def in_words(self, error: BaseException) -> str:
        """What went wrong, in one sentence; a fault of the program is kept for /why."""
        if isinstance(error, KeyboardInterrupt):
            return "it was interrupted."
        if isinstance(error, EarleafError):
            return str(error)
        self.fault = "".join(traceback.format_exception(error))
        return f"a fault of the program itself ({type(error).__name__}: {error}; /why shows where)."

    # ------------------------------------------------------------------ how

    def _answer(self, turn: Turn, *, before: Open | None) -> str:
        self.answered.append(Answered(turn=turn, before=before))
        self.open = turn.open
        self.fault = ""
        if turn.open and turn.open.field:
            self.field = None
        return told(turn, self.lazy.get().tables)

    def _not_answered(self, text: str, error: BaseException, *, kept: bool) -> str:
        why = self.in_words(error)
        if kept:
            return f"The note is in the casebook, word for word, but has no answer yet: {why}"
        self.draft = text
        return f"The note is not in the casebook: {why} Its words are back in the prompt."

    def _amend(self, entry: Entry, body: Mapping[str, object]) -> str:
        """Records a correction of the note and derives it again."""
        kept = {name: entry.body[name] for name in KEPT_WITH_WORDS if name in entry.body}
        self.book().record(
            NewEntry(
                author=self.author,
                made_at=self.now(),
                about=entry.about,
                kind="correction",
                body={**kept, **body},
                refers_to=entry.uid,
            )
        )
        return self._again(entry.uid)

    def _uncorrected(self, correction: Entry) -> str:
        uid = correction.refers_to or ""
        note = self.book().entry(uid)
        what = f'the correction "{correction.text}"'
        if note and note.text == correction.text:
            what = f'the filing of that note under "{correction.body.get("field")}"'
        return f"Taken back: {what}. The note stands as it was:\n\n{self._again(uid)}"

    def _again(self, uid: str) -> str:
        """Derives a note of the journal again, and shows the new answer."""
        try:
            loaded = self._ready(but=uid)
            last = self.answered[-1] if self.answered and self.answered[-1].turn.uid == uid else None
            entry = self.book().entry(uid)
            if entry is None:
                raise WrongWords("The note was taken back before.")
            before = last.before if last else asked_of(entry, self.book(), loaded.tables)
            turn = derive(entry, note_of(entry), self.book(), loaded, open_case=before, choose=self.choose)
        except (Exception, KeyboardInterrupt) as error:
            return self._not_answered("", error, kept=True)
        if last:
            self.answered.pop()
        return self._answer(turn, before=before)

    def _ready(self, but: str | None = None) -> Loaded:
        """The loaded program, once the notes that an earlier chat left unanswered are answered."""
        loaded = self.lazy.get()
        if not self._caught_up:
            self._caught_up = True
            self._catch_up(loaded, but)
        return loaded

    def _catch_up(self, loaded: Loaded, but: str | None) -> None:
        book = self.book()
        failed: list[str] = []
        for uid in book.not_derived():
            entry = book.entry(uid) if uid != but else None
            if entry is None:
                continue
            try:
                before = asked_of(entry, book, loaded.tables)
                derive(entry, note_of(entry), book, loaded, open_case=before, choose=self.choose)
            except Exception as error:
                failed.append(
                    f'An earlier note has no answer yet, "{_short(entry.text)}": {self.in_words(error)}'
                )
        self._remarks += failed


def _short(text: str, most: int = 60) -> str:
    """The beginning of a note, on one line."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[:most].rsplit(" ", 1)[0] + " ..."
