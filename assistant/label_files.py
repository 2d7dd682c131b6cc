"""Labels in files: TOML (one ``[[label]]`` each) and CSV (one row each), read and written.

In CSV a cell holds a list with ``;`` between its parts, pairs as ``grain=30; silage=45``, and
nothing where nothing was told.
"""

from __future__ import annotations

import csv
import io
import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from assistant.label_fields import KEYS, Shelf, as_body, label_of
from rules.agronomy.label_records import Label
from rules.model import Fault, WrongWords

#: Faults shown in one message; the rest are counted.
_SHOWN = 30
#: What csv.DictReader puts cells without a heading under.
_LOOSE = "cells without a heading"


class WrongLabels(WrongWords):
    """Labels with faults: what, where, and what is allowed, every one of them."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        more = f"\n… and {len(faults) - _SHOWN} more" if len(faults) > _SHOWN else ""
        super().__init__("\n".join(str(fault) for fault in faults[:_SHOWN]) + more)


def read(path: Path, shelf: Shelf) -> tuple[Label, ...]:
    """The labels of a file, ``.toml`` or ``.csv``.

    Raises:
        WrongLabels: a label has faults; the error lists all of them.
        WrongWords: the file cannot be read at all.
    """
    readers = {".toml": read_toml, ".csv": read_csv}
    if path.suffix.lower() not in readers:
        raise WrongWords(f"{path}: labels are read from files that end in .toml or .csv")
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise WrongWords(f"{path} cannot be read: {error}") from error
    return readers[path.suffix.lower()](text, path.name, shelf)


def read_toml(text: str, file: str, shelf: Shelf) -> tuple[Label, ...]:
    """The labels of a TOML text; raises as :func:`read`."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WrongWords(f"{file} is not readable as TOML: {error}") from error
    tables = raw.get("label")
    if set(raw) != {"label"} or not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
        raise WrongWords(f"{file}: a file of labels holds [[label]] tables and nothing else")
    return _labels(((f"label {n}", table) for n, table in enumerate(tables, start=1)), file, shelf)


def read_csv(text: str, file: str, shelf: Shelf) -> tuple[Label, ...]:
    """The labels of a CSV text; raises as :func:`read`."""
    lines = csv.DictReader(io.StringIO(text), restkey=_LOOSE, strict=True)
    try:
        headings = [heading.strip() for heading in lines.fieldnames or ()]
        lines.fieldnames = headings
        rows = [(f"line {lines.line_num}", _told(row)) for row in lines]
    except csv.Error as error:
        raise WrongWords(f"{file}, line {lines.line_num}: not readable as CSV: {error}") from error
    if "name" not in headings or len(set(headings)) < len(headings):
        raise WrongWords(f"{file}, line 1: the headings must hold name, and each only once")
    return _labels(rows, file, shelf)


def _told(row: Mapping[str, object]) -> dict[str, object]:
    """The cells that hold something."""
    return {key: cell for key, cell in row.items() if cell is not None and str(cell).strip()}


def _labels(raws: Iterable[tuple[str, Mapping[str, object]]], file: str, shelf: Shelf) -> tuple[Label, ...]:
    faults: list[Fault] = []
    made: dict[str, Label] = {}
    for record, raw in raws:
        where = f"{record} {raw['name']!r}" if isinstance(raw.get("name"), str) else record
        label = label_of(raw, file, where, shelf, faults)
        if label is not None and made.setdefault(same_name(label.name), label) is not label:
            faults.append(Fault(file=file, record=where, message="a label of this name stands above already"))
    if faults:
        raise WrongLabels(tuple(faults))
    return tuple(made.values())


def same_name(name: str) -> str:
    """What two spellings of one name have in common."""
    return " ".join(name.split()).casefold()


# --------------------------------------------------------------------------- writing


def write_toml(labels: Iterable[Label]) -> str:
    """The labels as TOML text that :func:`read_toml` gives back."""
    return "\n".join("\n".join(_toml_lines(as_body(label))) + "\n" for label in labels)


def _toml_lines(body: Mapping[str, object]) -> Iterator[str]:
    yield "[[label]]"
    for key, value in body.items():
        if isinstance(value, Mapping):
            inner = ", ".join(f"{name} = {_toml(part)}" for name, part in value.items())
            yield f"{key} = {{ {inner} }}"
        else:
            yield f"{key} = {value if key == 'typed_on' else _toml(value)}"


def _toml(value: object) -> str:
    """JSON writes printable words, numbers, lists and booleans as TOML does."""
    return json.dumps(value, ensure_ascii=False)


def write_csv(labels: Iterable[Label]) -> str:
    """The labels as CSV text that :func:`read_csv` gives back."""
    out = io.StringIO()
    rows = csv.DictWriter(out, KEYS, lineterminator="\n")
    rows.writeheader()
    rows.writerows({key: _cell(value) for key, value in as_body(label).items()} for label in labels)
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, Mapping):
        return "; ".join(f"{name}={part}" for name, part in value.items())
    if isinstance(value, list):
        return "; ".join(value)
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else value
