"""The labels that a user typed in from the label in hand: read, written, kept in the casebook.

A label is a journal entry of the kind "label", its body the label's fields; of one name the
entry made last holds.  Undo takes the last one back like any other entry.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from importlib.resources.abc import Traversable
from typing import Protocol

from assistant.casebook.rows import Entry, NewEntry
from assistant.label_fields import Shelf, as_body, label_of
from assistant.label_files import (
    WrongLabels,
    read,
    read_csv,
    read_toml,
    same_name,
    write_csv,
    write_toml,
)
from rules.agronomy.label_records import Label
from rules.agronomy.label_tables import load as load_label_tables
from rules.model import Fault
from rules.tables import load as load_tables

__all__ = [
    "Shelf",
    "WrongLabels",
    "as_body",
    "demo_labels",
    "put",
    "read",
    "read_csv",
    "read_toml",
    "shelf",
    "shelf_rules",
    "write_csv",
    "write_toml",
]

_KIND = "label"
_DEMO = "labels.toml"


class LabelBook(Protocol):
    """The part of a casebook that labels need."""

    def record(self, entry: NewEntry) -> Entry:
        """Stores an entry."""

    def entries_all(self, kind: str | None = None) -> tuple[Entry, ...]:
        """All entries of a kind that stand."""


def shelf_rules() -> Shelf:
    """What the fields of a label may hold, by the shipped knowledge.

    Raises:
        BrokenTables: the knowledge has a fault.
    """
    return Shelf.of(load_tables(), load_label_tables())


def shelf(book: LabelBook, rules: Shelf | None = None) -> tuple[Label, ...]:
    """The labels of a casebook by name, the last made of each name.

    Raises:
        WrongLabels: an entry holds a label that is none, every fault of it.
    """
    newest: dict[str, Entry] = {}
    for entry in sorted(book.entries_all(_KIND), key=lambda entry: (entry.made_at, entry.seq)):
        newest[same_name(str(entry.body.get("name", entry.uid)))] = entry
    if not newest:
        return ()
    faults: list[Fault] = []
    rules = rules or shelf_rules()
    made = [label_of(entry.body, "casebook", f"entry {newest[name].uid}", rules, faults) for name, entry in
            sorted(newest.items())]  # fmt: skip
    if faults:
        raise WrongLabels(tuple(faults))
    return tuple(label for label in made if label is not None)


def put(book: LabelBook, label: Label, author: str, made_at: datetime, about: date) -> Entry:
    """Keeps a label in the casebook; where it does not say when it was typed in, that is ``about``."""
    dated = replace(label, typed_on=label.typed_on or about)
    return book.record(NewEntry(author=author, made_at=made_at, about=about, kind=_KIND, body=as_body(dated)))


def demo_labels(folder: Traversable, rules: Shelf | None = None) -> tuple[Label, ...]:
    """The invented labels of the demonstration, out of the folder of demo notes."""
    text = (folder / _DEMO).read_text(encoding="utf-8")
    return read_toml(text, _DEMO, rules or shelf_rules())
