"""What the record of a spray holds as good practice, and what check strips can show (spray_record.toml)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from rules.agronomy.shapes import Sourced
from rules.model import BrokenTables, Fault
from rules.shape import read_record
from rules.tables import MARKS, folder

_FILE = "spray_record.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said(Sourced):
    """A sentence for people."""

    text: str
    id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Element(Sourced):
    """One thing that the record of a spray should hold."""

    id: str
    say: str
    when: Literal["always", "for_hire"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SprayBook:
    """The whole table."""

    about: Said
    element: tuple[Element, ...]
    strip: tuple[Said, ...]

    def strips(self, name: str) -> str:
        """A sentence about check strips by its id."""
        return next(said.text for said in self.strip if said.id == name)


@cache
def load() -> SprayBook:
    """The shipped table.

    Raises:
        BrokenTables: it has a fault; every one is listed.
    """
    book, found = read()
    if book is None or found:
        raise BrokenTables(tuple(found))
    return book


def read() -> tuple[SprayBook | None, list[Fault]]:
    """The shipped table with every fault of shape and source in it."""
    found: list[Fault] = []
    raw = tomllib.loads((folder() / _FILE).read_text(encoding="utf-8"))
    book = read_record(SprayBook, raw, _FILE, "", found)
    if book is not None:
        found += _faults(book)
    return book, found


def _faults(book: SprayBook) -> Iterator[Fault]:
    known = {*MARKS}
    for path in (folder() / "sources").iterdir():
        known |= tomllib.loads(path.read_text(encoding="utf-8")).keys()
    records: tuple[Said | Element, ...] = (book.about, *book.element, *book.strip)
    for each in records:
        strange = [key for key in each.source if key not in known]
        if strange or not each.source:
            message = f"source {list(each.source)} is in no file of sources/"
            yield Fault(file=_FILE, record=each.id or "about", message=message)
    ids = [*(each.id for each in book.element), *(each.id for each in book.strip)]
    for name in sorted({name for name in ids if ids.count(name) > 1}):
        yield Fault(file=_FILE, record=name, message="this id is used twice")
