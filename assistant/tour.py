"""The demo season, run into a temporary casebook: the main job on one screen."""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from assistant.answer import told
from assistant.casebook.book import Casebook
from assistant.loaded import load
from assistant.reports.log import clean, due_text, history_text
from assistant.turn import Note, take

#: Notes of the demo season that are shown unless all are asked for.
_SHOWN = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoNote:
    """One dictated note of the demo season."""

    file: str
    on: date
    text: str


def demo_folder() -> Traversable:
    """Where the demo notes are: in the checkout, or in the installed wheel."""
    checkout = Path(__file__).resolve().parent.parent / "demo_notes"
    return checkout if checkout.is_dir() else files("assistant") / "demo"


def demo_notes() -> list[DemoNote]:
    """The demo season in order."""
    folder = demo_folder()
    season = tomllib.loads((folder / "season.toml").read_text(encoding="utf-8"))
    return [
        DemoNote(file=n["file"], on=n["date"], text=(folder / n["file"]).read_text(encoding="utf-8").strip())
        for n in season["note"]
    ]


def tour(say: Callable[[str], None], *, made_at: datetime, everything: bool = False) -> None:
    """Takes the demo season through the whole line and says what comes out."""
    loaded = load()
    notes = demo_notes()
    step = 1 if everything else max(1, len(notes) // _SHOWN)
    with tempfile.TemporaryDirectory() as folder, Casebook.open(Path(folder) / "demo.db") as book:
        for number, demo in enumerate(notes):
            note = Note(text=demo.text, on=demo.on, made_at=made_at, author="demo")
            turn = take(note, book, loaded, choose=lambda name, known: known[0])
            if number % step == step - 1 or everything:
                say(f"> {clean(demo.text)}\n\n{told(turn, loaded.tables)}\n")
        middle = notes[len(notes) * 2 // 3].on
        say(due_text(book.due(middle), middle) + "\n")
        field = max(book.fields(), key=lambda f: (len(book.history(f)), f.name))
        say("History of a field:\n" + history_text(book.history(field), field.name))
    known = len(loaded.tables.disorders)
    say(f"\n{len(notes)} invented notes, {known} disorders known, knowledge {loaded.knowledge}.")
