"""The word tables of the reader, read once from ``assistant.reading.words``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

#: A spoken phrase, word by word.
Phrase = tuple[str, ...]


@cache
def table(name: str) -> Mapping[str, Any]:
    """The TOML table ``name`` out of ``assistant.reading.words``, parsed once."""
    text = files("assistant.reading.words").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def words(name: str, *keys: str) -> frozenset[str]:
    """The single words that stand in table ``name`` under ``keys``."""
    return frozenset(_under(name, keys))


@cache
def meanings(name: str, *keys: str) -> Mapping[str, str]:
    """Each single word of a group of lists, with the key of the list that holds it."""
    return {word: key for key, forms in _under(name, keys).items() for word in forms}


@cache
def phrases(name: str, *keys: str) -> Mapping[str, tuple[Phrase, ...]]:
    """The phrases under ``keys``, longest first, by their first word."""
    return _by_first_word(_under(name, keys))


@cache
def phrase_meanings(name: str, *keys: str) -> Mapping[str, tuple[tuple[Phrase, str], ...]]:
    """The phrases of a group of lists with their keys, longest first, by their first word."""
    found: dict[str, list[tuple[Phrase, str]]] = {}
    for key, forms in _under(name, keys).items():
        for form in forms:
            phrase = tuple(form.split())
            found.setdefault(phrase[0], []).append((phrase, key))
    return {first: tuple(sorted(rows, key=lambda row: -len(row[0]))) for first, rows in found.items()}


@cache
def unit_words() -> frozenset[str]:
    """Every word that shows what a figure before it measures: units of all kinds, and counted nouns."""
    found: set[str] = set()
    for name in table("units")["heard"]["unit_lists"]:
        keys = tuple(name.split("."))
        forms = _under("units", keys)
        rows = forms.values() if isinstance(forms, dict) else [forms]
        found.update(form.split()[0] for row in rows for form in row)
    return frozenset(found)


def match(spoken: tuple[str, ...], at: int, known: Mapping[str, tuple[Phrase, ...]]) -> int:
    """How many words of the longest known phrase stand at ``at`` (0 if none does)."""
    if at < len(spoken):
        for phrase in known.get(spoken[at], ()):
            if spoken[at : at + len(phrase)] == phrase:
                return len(phrase)
    return 0


def match_meaning(
    spoken: tuple[str, ...], at: int, known: Mapping[str, tuple[tuple[Phrase, str], ...]]
) -> tuple[int, str]:
    """Length and meaning of the longest known phrase at ``at``; (0, "") if none."""
    if 0 <= at < len(spoken):
        for phrase, meaning in known.get(spoken[at], ()):
            if spoken[at : at + len(phrase)] == phrase:
                return len(phrase), meaning
    return 0, ""


def _under(name: str, keys: tuple[str, ...]) -> Any:
    found: Any = table(name)
    for key in keys:
        found = found[key]
    return found


def _by_first_word(forms: list[str]) -> Mapping[str, tuple[Phrase, ...]]:
    found: dict[str, list[Phrase]] = {}
    for form in forms:
        phrase = tuple(form.split())
        found.setdefault(phrase[0], []).append(phrase)
    return {first: tuple(sorted(rows, key=len, reverse=True)) for first, rows in found.items()}
