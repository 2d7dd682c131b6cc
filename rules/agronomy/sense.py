"""Checks of reference and sense over the agronomy tables: is what they say possible?

Shape is checked while reading (:mod:`.records`); here every function takes the whole
tables and gives a list of faults.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date
from itertools import pairwise
from typing import TYPE_CHECKING, Any, cast

from rules.agronomy.shapes import Sourced
from rules.model import Fault

if TYPE_CHECKING:
    from rules.agronomy.tables import Agronomy

#: Attribute of the tables -> the file it was read from.
FILES = {
    "rows": "stages.csv",
    "stages": "stages.toml",
    "heat": "heat.toml",
    "heat_to_stage": "heat_to_stage.csv",
    "heat_left": "heat_left.csv",
    "leaf_loss": "leaf_loss.csv",
    "loss": "loss.toml",
    "harvest": "harvest.toml",
    "returns": "returns.toml",
    "sampling": "sampling.toml",
    "weather": "weather.toml",
}
_STAGE_FIELDS = ("stage", "start", "end", "from_stage", "last", "part_of")
_DAY_FIELDS = ("after", "until", "from_day")


def sense_faults(tables: Agronomy, sources: frozenset[str]) -> list[Fault]:
    """Every fault of reference or sense; ``sources`` are the keys that exist."""
    found = _stages(tables)
    for file, name, record in _records(tables):
        found += [Fault(file=file, record=name, message=m) for m in _record_faults(record, tables, sources)]
    if found:  # the checks below lean on stages and records that exist
        return found
    for check in (_milestones, _chart_rows, _chart_columns, _heat_left, _fill_shares, _dew_rows):
        found += check(tables)
    return found


def _records(tables: Agronomy) -> Iterator[tuple[str, str, Sourced]]:
    for field in fields(tables):
        yield from _walk(getattr(tables, field.name), FILES[field.name], "")


def _walk(item: object, file: str, name: str) -> Iterator[tuple[str, str, Sourced]]:
    if isinstance(item, Sourced):
        yield file, name, item
    elif isinstance(item, tuple):
        for number, part in enumerate(item, start=1):
            yield from _walk(part, file, f"{name}[{number}]")
    elif is_dataclass(item):
        for field in fields(item):
            yield from _walk(getattr(item, field.name), file, field.name)


def _record_faults(record: Sourced, tables: Agronomy, sources: frozenset[str]) -> Iterator[str]:
    codes = {row.code for row in tables.rows}
    if not record.source:
        yield "the source is missing"
    for key in record.source:
        if key not in sources:
            yield f"no source {key!r} in knowledge/sources"
    for field in fields(cast(Any, record)):
        value = getattr(record, field.name)
        if field.name in _STAGE_FIELDS and isinstance(value, str) and value not in codes:
            yield f"{field.name}: no stage {value!r} in stages.csv"
        if field.name in _DAY_FIELDS and isinstance(value, str) and not _is_day(value):
            yield f"{field.name}: {value!r} is no day of the year; write MM-DD"
        if _is_pair(value) and value[0] > value[1]:
            yield f"{field.name}: the range {value[0]} to {value[1]} runs backwards"


def _is_pair(value: object) -> bool:
    """True for two bare numbers; every such tuple in the tables is a range."""
    return isinstance(value, tuple) and len(value) == 2 and all(isinstance(v, int | float) for v in value)


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(f"2001-{text}")
    except ValueError:
        return False
    return True


def _fault(attribute: str, record: str, message: str) -> Fault:
    return Fault(file=FILES[attribute], record=record, message=message)


def _stages(tables: Agronomy) -> list[Fault]:
    codes = [row.code for row in tables.rows]
    found = [
        _fault("rows", code, "this stage stands twice")
        for code in sorted(set(codes))
        if codes.count(code) > 1
    ]
    groups = [row.group for row in tables.rows]
    for group in dict.fromkeys(groups):
        last = len(groups) - groups[::-1].index(group)
        if set(groups[groups.index(group) : last]) != {group}:
            found.append(_fault("rows", group, "the stages of this group do not stand together"))
    return found


def _milestones(tables: Agronomy) -> list[Fault]:
    found = []
    order = [row.code for row in tables.rows]
    for item in tables.stages.milestone:
        if not item.left_shortest <= item.left_shown[0] <= item.left <= item.left_shown[1]:
            message = "shortest, shown and default days left are out of order"
            found.append(_fault("stages", item.stage, message))
        if item.after_shown and not item.after_shown[0] <= item.after <= item.after_shown[1]:
            found.append(
                _fault("stages", item.stage, f"after = {item.after} lies outside {item.after_shown}")
            )
    for a, b in pairwise(tables.stages.milestone):
        later = order.index(a.stage) < order.index(b.stage) and a.after < b.after and a.left > b.left
        if not later or a.left_shortest <= b.left_shortest:
            found.append(_fault("stages", b.stage, f"does not follow {a.stage} in stage and days"))
    return found


def _chart_rows(tables: Agronomy) -> list[Fault]:
    found = []
    for row in tables.leaf_loss:
        if any(a[1] > b[1] for a, b in pairwise(row.cells)):
            found.append(_fault("leaf_loss", row.row, "the loss falls from left to right"))
        if any(not 0 <= lost <= 100 for _, lost in row.cells):
            found.append(_fault("leaf_loss", row.row, "a loss lies outside 0 to 100"))
    if tables.loss.chart.lowest_row not in {row.row for row in tables.leaf_loss}:
        found.append(_fault("loss", "chart", f"no row {tables.loss.chart.lowest_row!r} in leaf_loss.csv"))
    return found


def _chart_columns(tables: Agronomy) -> list[Fault]:
    """Loss rises with stage up to tassel and falls from there on."""
    rows = [row.stage for row in tables.leaf_loss]
    tassel = rows.index("VT") if "VT" in rows else len(rows)
    found = []
    for n, (a, b) in enumerate(pairwise(tables.leaf_loss)):
        low, high = (a, b) if n < tassel else (b, a)
        if any(x[1] > y[1] for x, y in zip(low.cells, high.cells, strict=True)):
            found.append(_fault("leaf_loss", b.row, f"out of step with the row {a.row} before it"))
    return found


def _heat_left(tables: Agronomy) -> list[Fault]:
    found = []
    for a, b in pairwise(tables.heat_left):
        if a.stage == b.stage and not (a.rm_high < b.rm_low and a.gdd_left <= b.gdd_left):
            found.append(_fault("heat_left", b.stage, "zones or heat units are out of order"))
    return found


def _fill_shares(tables: Agronomy) -> list[Fault]:
    shares = [item.share for item in tables.heat.fill_share]
    return [] if shares == sorted(shares) else [_fault("heat", "fill_share", "the shares do not rise")]


def _dew_rows(tables: Agronomy) -> list[Fault]:
    found = []
    for a, b in pairwise(tables.weather.rust_dew_row):
        if not (a.hours < b.hours and b.low_c <= a.low_c and a.high_c <= b.high_c):
            found.append(
                _fault("weather", f"rust_dew_row {b.hours:g} h", "narrower than the row of less dew")
            )
    return found
