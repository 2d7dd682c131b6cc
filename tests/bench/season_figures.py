"""The figures of the season bench, each with its source or marked as an assumption."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

from tests.bench.scoring import CASES

DISORDERS = ("southern_rust", "gray_leaf_spot", "tar_spot")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure; ``assumption`` says in words what is guessed of it."""

    value: Any
    unit: str = ""
    source: tuple[str, ...] = ()
    read_in: str = ""
    assumption: str = ""


@cache
def figures() -> dict[str, Figure]:
    """Every figure of season.toml."""
    raw = tomllib.loads((CASES / "season.toml").read_text(encoding="utf-8"))
    return {k: Figure(**{**v, "source": tuple(v.get("source", ()))}) for k, v in raw.items()}


def of(name: str) -> Any:
    """The value of one figure."""
    return figures()[name].value
