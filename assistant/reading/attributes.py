"""The vocabulary of facts (``rules/knowledge/attributes.toml``) as the reader needs it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def attributes() -> Mapping[str, Mapping[str, Any]]:
    """Every attribute with its kind, group and values."""
    text = files("rules.knowledge").joinpath("attributes.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def group(name: str) -> frozenset[str]:
    """The attributes of one group: crop, stage, seen, place, weather, named, treatment, done."""
    return frozenset(key for key, body in attributes().items() if body["group"] == name)


@cache
def signs() -> frozenset[str]:
    """The attributes that belong to one problem on the plant, not to the field as a whole."""
    return frozenset(key for key, body in attributes().items() if body.get("sign"))


@cache
def disorders() -> frozenset[str]:
    """The ids of the disorders that the knowledge tables hold."""
    folder = files("rules.knowledge").joinpath("disorders")
    return frozenset(
        item.name.removesuffix(".toml") for item in folder.iterdir() if item.name.endswith(".toml")
    )


def allowed(attribute: str) -> frozenset[str] | None:
    """The values that ``attribute`` may hold, or None where any value goes."""
    values = attributes()[attribute].get("values")
    if values is None or values == "actives":
        return None
    if isinstance(values, str):
        first, *more = values.split("+")
        return disorders() | frozenset(more) if first == "disorders" else frozenset()
    return frozenset(values)
