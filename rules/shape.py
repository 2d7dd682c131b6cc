"""Builds records out of parsed TOML; every fault of shape is collected, none stops the rest."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import MISSING, fields
from functools import cache
from typing import Any, TypeVar, cast

from rules.model import Fault, Strength

T = TypeVar("T")


class _Wrong(Exception):
    """A value does not have the type that the record asks for."""


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _fit(hint: Any, raw: object) -> object:
    """``raw`` as the type ``hint``; raises :class:`_Wrong` saying what was expected."""
    origin = typing.get_origin(hint)
    if origin in (types.UnionType, typing.Union):
        for part in typing.get_args(hint):
            try:
                return _fit(part, raw)
            except _Wrong:
                continue
        raise _Wrong(f"{raw!r} is none of {hint}")
    if origin is tuple:
        return _fit_tuple(typing.get_args(hint), raw)
    if hint is Strength:
        if raw not in list(Strength):
            raise _Wrong(f"{raw!r}; allowed: {', '.join(Strength)}")
        return Strength(cast(str, raw))
    if hint is float and isinstance(raw, int) and not isinstance(raw, bool):
        return float(raw)
    if hint is type(None):
        if raw is None:
            return None
    elif isinstance(hint, type):
        if isinstance(raw, Mapping) and hint not in (str, int, float, bool):
            return _nested(hint, raw)
        if isinstance(raw, hint) and not (hint is int and isinstance(raw, bool)):
            return raw
    raise _Wrong(f"{raw!r} is not {getattr(hint, '__name__', hint)}")


def _fit_tuple(parts: tuple[Any, ...], raw: object) -> tuple[object, ...]:
    if not isinstance(raw, list | tuple):
        raise _Wrong(f"{raw!r} is not a list")
    if len(parts) == 2 and parts[1] is Ellipsis:
        return tuple(_fit(parts[0], item) for item in raw)
    padded = [*raw, *([["yes"]] * (len(parts) - len(raw)))]  # ["raised"] stands for ["raised", ["yes"]]
    if len(padded) != len(parts):
        raise _Wrong(f"{raw!r} has {len(raw)} parts, not {len(parts)}")
    return tuple(_fit(part, item) for part, item in zip(parts, padded, strict=True))


def _nested(kind: type, raw: Mapping[str, object]) -> object:
    faults: list[Fault] = []
    made = build(kind, raw, file="", record="", faults=faults)
    if made is None:
        raise _Wrong("; ".join(f.message for f in faults))
    return made


def build(
    kind: type[T], raw: Mapping[str, object], *, file: str, record: str, faults: list[Fault], **given: object
) -> T | None:
    """A ``kind`` out of ``raw`` plus ``given``; None, with the faults added, if it has faults."""
    hints = _hints(kind)
    known = {f.name: f for f in fields(kind)}  # type: ignore[arg-type]
    before = len(faults)
    values: dict[str, object] = dict(given)
    for key in raw:
        if key not in known:
            faults.append(
                Fault(file=file, record=record, message=f"unknown key {key!r}; allowed: {', '.join(known)}")
            )
    for name, spec in known.items():
        if name in given:
            continue
        if name not in raw:
            if spec.default is MISSING and spec.default_factory is MISSING:
                faults.append(Fault(file=file, record=record, message=f"missing key {name!r}"))
            continue
        try:
            values[name] = _fit(hints[name], raw[name])
        except _Wrong as wrong:
            faults.append(Fault(file=file, record=record, message=f"{name}: {wrong}"))
    return None if len(faults) > before else kind(**values)
