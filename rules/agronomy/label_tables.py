"""The words and limits of labels (label_fields.toml), with the calendar that labels are judged by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from rules.agronomy import tables as agronomy_tables
from rules.agronomy.books import load_book
from rules.agronomy.shapes import Sourced
from rules.agronomy.tables import Agronomy

#: What a label writes that holds in every state.
EVERYWHERE = "ALL"


@dataclass(frozen=True, slots=True, kw_only=True)
class Use(Sourced):
    """What the corn is grown for; ``crop_type`` is the word of notes and of harvest.toml."""

    id: str
    say: str
    crop_type: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Method(Sourced):
    """A way of spraying."""

    id: str
    say: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldBound(Sourced):
    """The least and the most that a figure of a label can be."""

    field: str
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class States(Sourced):
    """Pairs of the two letters of a state and its name."""

    names: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelBook:
    """label_fields.toml."""

    use: tuple[Use, ...]
    method: tuple[Method, ...]
    bound: tuple[FieldBound, ...]
    states: States


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelTables:
    """All that a label is read and judged with."""

    book: LabelBook
    agronomy: Agronomy


@cache
def load() -> LabelTables:
    """The shipped tables.

    Raises:
        BrokenTables: a table has a fault.
    """
    return LabelTables(book=load_book(LabelBook, "label_fields.toml"), agronomy=agronomy_tables.load())


def state_code(text: str, tables: LabelTables) -> str | None:
    """The two letters of a state said by letters or name; None for no state of the union."""
    said = " ".join(text.split()).casefold()
    for code, name in tables.book.states.names:
        if said in (code.casefold(), name.casefold()):
            return code
    return None


def state_name(code: str, tables: LabelTables) -> str:
    """The name of a state by its two letters."""
    return dict(tables.book.states.names)[code]


def use_of(name: str, tables: LabelTables) -> Use | None:
    """A use by its id or by the crop type of a note (dent, silage_corn …)."""
    return next((use for use in tables.book.use if name in (use.id, use.crop_type)), None)


def method_of(name: str, tables: LabelTables) -> Method | None:
    """A way of spraying by its id."""
    return next((method for method in tables.book.method if method.id == name), None)
