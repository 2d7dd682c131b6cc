"""Turns the plain data of a table into frozen records, and lists every misfit.

A record is a frozen dataclass; its annotations are the shape that the table must
have.  Understood are ``str``, ``int``, ``float``, ``bool``, ``Literal``, ``X | None``,
``StrEnum``, ``tuple[X, ...]``, ``tuple`` of a fixed length (a yes-attribute may leave
out its value: ``["raised"]`` stands for ``["raised", ["yes"]]``), and other records.
"""

from __future__ import annotations

import types
from dataclasses import MISSING, Field, fields, is_dataclass
from enum import StrEnum
from functools import cache
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from rules.model import EarleafError, Fault

R = TypeVar("R")


class Misfit(EarleafError):
    """A value that does not have the shape asked for."""


def read_record(cls: type[R], raw: object, file: str, record: str, faults: list[Fault]) -> R | None:
    """Build ``cls`` from ``raw``; on a misfit note every fault and give None."""
    if not isinstance(raw, dict):
        faults.append(Fault(file=file, record=record, message=f"a table is needed here, not {raw!r}"))
        return None
    before = len(faults)
    hints = _hints(cast(Any, cls))
    _note_unknown(raw, tuple(hints), file, record, faults)
    values: dict[str, Any] = {}
    for field in fields(cast(Any, cls)):
        if field.name in raw:
            where = f"{record}.{field.name}" if record else field.name
            values[field.name] = _value(hints[field.name], raw[field.name], file, where, faults)
        elif _is_needed(field):
            faults.append(Fault(file=file, record=record, message=f"the key {field.name!r} is missing"))
    return cls(**values) if len(faults) == before else None


def read_rows(cls: type[R], rows: list[dict[str, str]], file: str, faults: list[Fault]) -> tuple[R, ...]:
    """Build one ``cls`` from each row of a CSV table; empty cells count as left out."""
    hints = _hints(cast(Any, cls))
    made = []
    for number, row in enumerate(rows, start=1):
        raw = {key: _cell(hints.get(key), text) for key, text in row.items() if text != ""}
        made.append(read_record(cls, raw, file, f"row {number}", faults))
    return tuple(item for item in made if item is not None)


@cache
def _hints(cls: Any) -> dict[str, Any]:
    return get_type_hints(cls)


def _is_needed(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _note_unknown(
    raw: dict[str, Any], known: tuple[str, ...], file: str, record: str, faults: list[Fault]
) -> None:
    for key in raw:
        if key not in known:
            allowed = ", ".join(known)
            message = f"the key {key!r} is not known here; allowed are {allowed}"
            faults.append(Fault(file=file, record=record, message=message))


def _value(hint: Any, raw: object, file: str, where: str, faults: list[Fault]) -> Any:
    if is_dataclass(hint) and isinstance(hint, type):
        return read_record(hint, raw, file, where, faults)
    if get_origin(hint) is tuple:
        return _tuple(hint, raw, file, where, faults)
    try:
        return _plain(hint, raw)
    except Misfit as misfit:
        faults.append(Fault(file=file, record=where, message=str(misfit)))
        return None


def _tuple(hint: Any, raw: object, file: str, where: str, faults: list[Fault]) -> Any:
    if not isinstance(raw, list):
        faults.append(Fault(file=file, record=where, message=f"a list is needed here, not {raw!r}"))
        return ()
    inner = get_args(hint)
    if inner[-1] is Ellipsis:
        inner = (inner[0],) * len(raw)
    if len(raw) == 1 and inner == (str, tuple[str, ...]):
        raw = [*raw, ["yes"]]
    if len(inner) != len(raw):
        message = f"{len(inner)} values are needed here, not {len(raw)}"
        faults.append(Fault(file=file, record=where, message=message))
        return ()
    pairs = enumerate(zip(inner, raw, strict=True), start=1)
    return tuple(_value(kind, item, file, f"{where}[{n}]", faults) for n, (kind, item) in pairs)


def _plain(hint: Any, raw: object) -> object:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _plain_or_nested(hint, raw)
    if origin is Literal:
        if raw in get_args(hint):
            return raw
        raise Misfit(f"{raw!r} is not allowed; allowed are {', '.join(map(str, get_args(hint)))}")
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        if raw in list(hint):
            return hint(str(raw))
        raise Misfit(f"{raw!r} is not allowed; allowed are {', '.join(hint)}")
    if hint is float and isinstance(raw, int | float) and not isinstance(raw, bool):
        return raw
    if type(raw) is hint:
        return raw
    raise Misfit(f"{raw!r} is not of the kind {getattr(hint, '__name__', hint)}")


def _plain_or_nested(hint: Any, raw: object) -> object:
    """The first member of a union that ``raw`` fits; pairs and records among them."""
    for kind in get_args(hint):
        if kind is type(None):
            continue
        faults: list[Fault] = []
        value = _value(kind, raw, "", "", faults)
        if not faults:
            return value
    raise Misfit(f"{raw!r} does not fit here")


def _cell(hint: Any, text: str) -> object:
    """A CSV cell as the plain value that its column asks for, else the text itself."""
    kinds = get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)
    if get_origin(hint) is tuple:
        return text.split()
    if bool in kinds and text in ("true", "false"):
        return text == "true"
    if int in kinds or float in kinds:
        return _number(text)
    return text


def _number(text: str) -> object:
    try:
        number = float(text)
    except ValueError:
        return text  # the shape check names it
    return int(number) if number.is_integer() else number
