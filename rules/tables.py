"""Reads the knowledge that ships with the program into one frozen ``Tables``.

:func:`read` collects every fault of shape; :mod:`rules.review` adds faults of
reference and sense; :func:`load` refuses tables that have any.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any, TypeVar

from rules.agronomy.tables import Agronomy
from rules.agronomy.tables import load as load_agronomy
from rules.model import BrokenTables, Fault
from rules.records import (
    Attribute,
    CheckRecord,
    Disorder,
    Figure,
    Group,
    Practice,
    Rule,
    Source,
    WhatIf,
    Window,
)
from rules.shape import read_record

T = TypeVar("T")

#: Source keys that need no publication: what they mean is said in full.
MARKS = ("common_practice", "judgement")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tables:
    """All the knowledge of one version of the program."""

    attributes: Mapping[str, Attribute]
    disorders: Mapping[str, Disorder]
    checks: tuple[CheckRecord, ...]
    rules: tuple[Rule, ...]
    sources: Mapping[str, Source]
    windows: Mapping[tuple[str, str], Window]
    figures: Mapping[str, Figure]
    what_ifs: tuple[WhatIf, ...]
    practice: tuple[Practice, ...]
    claims: Mapping[str, tuple[str, ...]]
    plan_of: Mapping[str, str]
    classes: Mapping[str, tuple[str, ...]]
    actives: Mapping[str, Mapping[str, str]]
    weights: Mapping[str, Mapping[str, float]]
    agronomy: Agronomy


def folder() -> Traversable:
    """Where the knowledge ships."""
    return files("rules") / "knowledge"


def _toml(path: Traversable, faults: list[Fault]) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        faults.append(Fault(file=path.name, record="", message=f"cannot be read: {error}"))
        return {}


def _each(place: Traversable) -> Iterator[Traversable]:
    yield from sorted((p for p in place.iterdir() if p.name.endswith(".toml")), key=lambda p: p.name)


def _keyed(kind: type[T], path: Traversable, faults: list[Fault], key: str = "id") -> dict[str, T]:
    """One record a top-level table of the file, keyed by its name."""
    made: dict[str, T] = {}
    for name, raw in _toml(path, faults).items():
        record = read_record(kind, {**raw, key: name}, path.name, name, faults)
        if record is not None:
            made[name] = record
    return made


def _listed(kind: type[T], path: Traversable, name: str, faults: list[Fault]) -> list[T]:
    """One record an entry of the file's array of tables ``name``."""
    made = []
    for number, raw in enumerate(_toml(path, faults).get(name, []), start=1):
        record = read_record(kind, raw, path.name, str(raw.get("id", f"{name} {number}")), faults)
        if record is not None:
            made.append(record)
    return made


def _attributes(place: Traversable, faults: list[Fault]) -> dict[str, Attribute]:
    path = place / "attributes.toml"
    raw = _toml(path, faults)
    open_lists = {name: spec["values"] for name, spec in raw.items() if isinstance(spec.get("values"), str)}
    for name in open_lists:
        raw[name]["values"] = []
    made = {}
    for name, spec in raw.items():
        record = read_record(Attribute, {**spec, "id": name}, path.name, name, faults)
        if record is not None:
            made[name] = record
    return made


def _actives(path: Traversable) -> dict[str, Mapping[str, str]]:
    head, *rows = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]
    return {row[0]: MappingProxyType(dict(zip(head, row, strict=True))) for row in rows}


def _windows(path: Traversable, faults: list[Fault]) -> dict[tuple[str, str], Window]:
    made = _listed(Window, path, "window", faults)
    return {(w.disorder, group): w for w in made for group in w.stage_group.split()}


def _groups(path: Traversable, faults: list[Fault]) -> dict[str, tuple[str, ...]]:
    return {name: group.members for name, group in _keyed(Group, path, faults).items()}


def _sources(place: Traversable, faults: list[Fault]) -> dict[str, Source]:
    made: dict[str, Source] = {}
    for path in _each(place / "sources"):
        for key, source in _keyed(Source, path, faults, key="key").items():
            if key in made:
                faults.append(Fault(file=path.name, record=key, message="this source key is used twice"))
            made[key] = source
    return made


def _disorders(place: Traversable, faults: list[Fault]) -> dict[str, Disorder]:
    made: dict[str, Disorder] = {}
    for path in _each(place / "disorders"):
        record = read_record(Disorder, _toml(path, faults), path.name, "", faults)
        if record is None:
            continue
        if path.name != f"{record.id}.toml":
            faults.append(Fault(file=path.name, record=record.id, message="file and id must have one name"))
        made[record.id] = record
    return made


def read() -> tuple[Tables, list[Fault]]:
    """The shipped tables and every fault of shape in them."""
    faults: list[Fault] = []
    place = folder()
    rulesets = files("rules") / "rulesets"
    tables = Tables(
        attributes=_attributes(place, faults),
        disorders=_disorders(place, faults),
        checks=tuple(c for p in _each(place / "checks") for c in _listed(CheckRecord, p, "check", faults)),
        rules=tuple(r for p in _each(rulesets) for r in _listed(Rule, p, "rule", faults)),
        sources=_sources(place, faults),
        windows=_windows(place / "windows.toml", faults),
        figures=_keyed(Figure, place / "figures.toml", faults),
        what_ifs=tuple(_listed(WhatIf, place / "what_ifs.toml", "what_if", faults)),
        practice=tuple(_listed(Practice, place / "practice.toml", "practice", faults)),
        claims=_groups(place / "claims.toml", faults),
        plan_of={d: plan for plan, ds in _groups(place / "plans.toml", faults).items() for d in ds},
        classes=_groups(place / "classes.toml", faults),
        actives=_actives(place / "actives.csv"),
        weights=_toml(place / "weights.toml", faults),
        agronomy=load_agronomy(),
    )
    return tables, faults


@cache
def load() -> Tables:
    """The shipped tables.

    Raises:
        BrokenTables: if any table has a fault of shape, reference or sense.
    """
    from rules.review import review  # the review needs this module's types

    tables, faults = read()
    faults.extend(review(tables))
    if faults:
        raise BrokenTables(tuple(faults))
    return tables


def fingerprint(*more: Traversable) -> str:
    """A hash of the tables and rules (and of ``more`` folders), the same on every machine."""
    digest = hashlib.sha256()
    for root in (folder(), files("rules") / "rulesets", *more):
        for path in _walk(root):
            digest.update(path.name.encode())
            digest.update(path.read_text(encoding="utf-8").replace("\r\n", "\n").encode())
    return digest.hexdigest()[:16]


def _walk(root: Traversable) -> Iterator[Traversable]:
    for path in sorted(root.iterdir(), key=lambda p: p.name):
        if path.is_dir():
            yield from _walk(path)
        elif path.name.endswith((".toml", ".csv", ".txt")):
            yield path
