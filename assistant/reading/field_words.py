"""What a field name is, and small questions about words that may be one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.reading.tokens import Token


@dataclass(frozen=True, slots=True)
class FieldName:
    """A field named at tokens ``first`` to ``last`` (exclusive).

    ``led``: a preposition leads it in; ``moved``: the speaker has gone there;
    ``compared``: it is only compared with; ``both``: it shares a finding with the next name.
    """

    first: int
    last: int
    name: str
    led: bool = False
    moved: bool = False
    compared: bool = False
    both: bool = False


def ends_with(before: tuple[str, ...], phrases: Sequence[tuple[str, ...]]) -> bool:
    """Whether one of the phrases stands at the end of ``before``."""
    return any(
        before[len(before) - len(phrase) :] == phrase for phrase in phrases if len(phrase) <= len(before)
    )


def longest_at(words: tuple[str, ...], i: int, phrases: Sequence[tuple[str, ...]]) -> int:
    """How many words of the longest of the phrases stand at ``i``."""
    return max((len(phrase) for phrase in phrases if words[i : i + len(phrase)] == phrase), default=0)


def capital(row: Token, text: str) -> bool:
    """Whether the word is written with a capital in a text that is not all capitals."""
    said = text[row.start : row.end]
    return said[:1].isupper() and said[1:].islower() and row.start > 0


def as_typed(rows: Sequence[Token], first: int, last: int, text: str) -> str:
    """The words of a stretch of tokens as they were typed, with single blanks."""
    return " ".join(text[rows[first].start : rows[last - 1].end].split())
