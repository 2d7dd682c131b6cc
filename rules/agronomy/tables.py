"""Reads the agronomy tables out of rules/knowledge and checks them.

:func:`load` gives them as one frozen :class:`Agronomy`, or raises
:class:`~rules.model.BrokenTables`; :func:`faults` lists all that is wrong, at once.
"""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import TypeVar

from rules.agronomy.sense import sense_faults
from rules.agronomy.shapes import HeatBook, HeatLeft, HeatToStage, StageBook, StageRow
from rules.agronomy.shapes_loss import HarvestBook, LeafLossRow, LossBook, ReturnBook, SamplingBook
from rules.agronomy.shapes_weather import WeatherBook
from rules.model import BrokenTables, Fault
from rules.shape import read_record, read_rows

B = TypeVar("B")


@dataclass(frozen=True, slots=True, kw_only=True)
class Agronomy:
    """All agronomy tables, one attribute a file."""

    rows: tuple[StageRow, ...]
    stages: StageBook
    heat: HeatBook
    heat_to_stage: tuple[HeatToStage, ...]
    heat_left: tuple[HeatLeft, ...]
    leaf_loss: tuple[LeafLossRow, ...]
    loss: LossBook
    harvest: HarvestBook
    returns: ReturnBook
    sampling: SamplingBook
    weather: WeatherBook


@cache
def load() -> Agronomy:
    """The shipped tables.

    Raises:
        BrokenTables: a table has a fault; the error lists every one.
    """
    tables, found = read(_shipped())
    if tables is None or found:
        raise BrokenTables(tuple(found))
    return tables


def faults(folder: Traversable | None = None) -> list[Fault]:
    """Every fault of shape, reference and sense in the tables of ``folder`` (default: the shipped ones)."""
    return read(folder or _shipped())[1]


def read(folder: Traversable) -> tuple[Agronomy | None, list[Fault]]:
    """The tables of ``folder`` with every fault found; no tables if a shape is wrong."""
    found: list[Fault] = []
    tables = _read_files(folder, found)
    if tables is None or found:
        return None, found
    return tables, sense_faults(tables, _known_sources(folder))


def _shipped() -> Traversable:
    return files("rules") / "knowledge"


def _read_files(folder: Traversable, found: list[Fault]) -> Agronomy | None:
    books = {
        "stages": _book(StageBook, folder, "stages.toml", found),
        "heat": _book(HeatBook, folder, "heat.toml", found),
        "loss": _book(LossBook, folder, "loss.toml", found),
        "harvest": _book(HarvestBook, folder, "harvest.toml", found),
        "returns": _book(ReturnBook, folder, "returns.toml", found),
        "sampling": _book(SamplingBook, folder, "sampling.toml", found),
        "weather": _book(WeatherBook, folder, "weather.toml", found),
    }
    grids = {
        "rows": _grid(StageRow, folder, "stages.csv", found),
        "heat_to_stage": _grid(HeatToStage, folder, "heat_to_stage.csv", found),
        "heat_left": _grid(HeatLeft, folder, "heat_left.csv", found),
        "leaf_loss": _chart(_csv(folder, "leaf_loss.csv", found), found),
    }
    return None if found else Agronomy(**books, **grids)  # type: ignore[arg-type]


def _book(cls: type[B], folder: Traversable, name: str, found: list[Fault]) -> B | None:
    try:
        raw = tomllib.loads(_text(folder, name, found))
    except tomllib.TOMLDecodeError as error:
        found.append(Fault(file=name, record="", message=f"not readable as TOML: {error}"))
        return None
    return read_record(cls, raw, name, "", found)


def _grid(cls: type[B], folder: Traversable, name: str, found: list[Fault]) -> tuple[B, ...]:
    return read_rows(cls, _csv(folder, name, found), name, found)


def _csv(folder: Traversable, name: str, found: list[Fault]) -> list[dict[str, str]]:
    return list(csv.DictReader(_text(folder, name, found).splitlines()))


def _text(folder: Traversable, name: str, found: list[Fault]) -> str:
    try:
        return (folder / name).read_text(encoding="utf-8")
    except FileNotFoundError:
        found.append(Fault(file=name, record="", message="this table is missing"))
        return ""


def _chart(rows: list[dict[str, str]], found: list[Fault]) -> tuple[LeafLossRow, ...]:
    """The leaf-loss grid; a column named by a number holds the loss at that percent destroyed."""
    made = []
    for number, row in enumerate(rows, start=1):
        raw: dict[str, object] = {key: text for key, text in row.items() if text and not key.isdigit()}
        raw["source"] = row.get("source", "").split()
        raw["cells"] = [[float(key), _as_float(text)] for key, text in row.items() if key.isdigit()]
        made.append(read_record(LeafLossRow, raw, "leaf_loss.csv", f"row {number}", found))
    return tuple(item for item in made if item is not None)


def _as_float(text: str) -> object:
    return float(text) if text.replace(".", "", 1).isdigit() else text


def _known_sources(folder: Traversable) -> frozenset[str]:
    """Keys of every publication in sources/*.toml, with the two that need no record."""
    keys = {"judgement", "common_practice"}
    for path in sorted((folder / "sources").iterdir(), key=lambda item: item.name):
        if path.name.endswith(".toml"):
            keys |= tomllib.loads(path.read_text(encoding="utf-8")).keys()
    return frozenset(keys)
