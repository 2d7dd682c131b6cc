"""What a stretch of words that says a day looks like to the rest of the date reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from assistant.reading.calendar_days import Lean
from assistant.reading.wordlists import table

#: The day that a span means, from the note's day and the side to look on.
Reckon = Callable[[date, Lean], date | None]

#: The tables of ``date_words.toml``.
TABLE: dict[str, Any] = dict(table("date_words"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The tokens that say a day.  Without ``reckon`` the words are left to dateparser."""

    first: int
    last: int
    reckon: Reckon | None = None
    approx: bool = False
    lean: Lean | None = None


Pattern = Callable[[tuple[str, ...], int], Span | None]
Phrases = Mapping[str, list[tuple[tuple[str, ...], Any]]]


def word_at(said: tuple[str, ...], at: int) -> str:
    """The word at ``at``, or "" beyond the ends."""
    return said[at] if 0 <= at < len(said) else ""


def by_first_word(meant: Mapping[str, Any]) -> Phrases:
    """Phrases with what they mean, longest first, by their first word."""
    found: dict[str, list[tuple[tuple[str, ...], Any]]] = {}
    for phrase in sorted(meant, key=lambda text: -len(text.split())):
        row = tuple(phrase.split())
        found.setdefault(row[0], []).append((row, meant[phrase]))
    return found


def phrase_at(said: tuple[str, ...], at: int, known: Phrases) -> tuple[int, Any]:
    """The size and the meaning of the longest known phrase at ``at``; (0, None) if none."""
    for row, meaning in known.get(word_at(said, at), ()):
        if said[at : at + len(row)] == row:
            return len(row), meaning
    return 0, None
