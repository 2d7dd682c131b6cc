"""Reads one small table of rules/knowledge into its book of records, and checks it.

For tables that stand by themselves; the ones that the calendar and the money rest on are
read together in :mod:`.tables`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any, TypeVar, cast

from rules.agronomy.shapes import Sourced
from rules.model import BrokenTables, Fault
from rules.shape import read_record

B = TypeVar("B")

#: Source keys that need no publication behind them.
_MARKS = frozenset({"common_practice", "judgement"})


def load_book(cls: type[B], name: str, folder: Traversable | None = None) -> B:
    """The table ``name`` (default: as shipped) as a ``cls``.

    Raises:
        BrokenTables: the table has a fault; the error lists every one.
    """
    book, faults = read_book(cls, name, folder or files("rules") / "knowledge")
    if book is None or faults:
        raise BrokenTables(tuple(faults))
    return book


def read_book(cls: type[B], name: str, folder: Traversable) -> tuple[B | None, list[Fault]]:
    """The table ``name`` of ``folder`` with every fault of shape and source in it."""
    try:
        raw = tomllib.loads((folder / name).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        return None, [Fault(file=name, record="", message=f"cannot be read: {error}")]
    faults: list[Fault] = []
    book = read_record(cls, raw, name, "", faults)
    if book is not None:
        faults += _source_faults(book, name)
    return book, faults


def _source_faults(book: object, file: str) -> Iterator[Fault]:
    for field in fields(cast(Any, book)):
        value = getattr(book, field.name)
        for record in value if isinstance(value, tuple) else (value,):
            if is_dataclass(record) and isinstance(record, Sourced):
                strange = [key for key in record.source if key not in _MARKS]
                if strange or not record.source:
                    allowed = ", ".join(sorted(_MARKS))
                    message = f"source {list(record.source)}: allowed here are {allowed}"
                    yield Fault(file=file, record=field.name, message=message)
