"""Single values of a label as people and files write them; what does not fit raises :class:`Misfit`."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from difflib import get_close_matches

from rules.shape import Misfit

__all__ = [
    "Misfit",
    "as_bool",
    "as_date",
    "as_number",
    "as_pairs",
    "as_text",
    "as_whole",
    "as_words",
    "chosen",
]

_NUMBER = re.compile(r"\d+(\.\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_YES, _NO = ("yes", "true"), ("no", "false")


def as_text(raw: object) -> str:
    """Words on one line."""
    if not isinstance(raw, str) or not raw.strip() or not raw.isprintable():
        raise Misfit(f"{raw!r} must be words on one line")
    return " ".join(raw.split())


def as_words(raw: object) -> tuple[str, ...]:
    """A list of words: a list, or one text with ; or , between them."""
    parts = re.split("[;,]", raw) if isinstance(raw, str) else raw
    if isinstance(parts, int) and not isinstance(parts, bool):
        parts = [parts]
    if not isinstance(parts, Sequence) or not parts:
        raise Misfit(f"{raw!r} must be a list of words; leave the field out where nothing was told")
    words = tuple(as_text(str(part) if type(part) is int else part) for part in parts)
    if any(mark in word for word in words for mark in ";,"):
        raise Misfit(f"{raw!r} must hold one thing a word, without ; or , in it")
    if len(set(words)) < len(words):
        raise Misfit(f"{raw!r} names something twice")
    return words


def as_pairs(raw: object) -> tuple[tuple[str, object], ...]:
    """Names with a value each: a table, or a text like ``grain=30; silage=45``."""
    if isinstance(raw, str):
        parts = [part.partition("=") for part in raw.split(";")]
        if any(not sign for _, sign, _ in parts):
            raise Misfit(f"{raw!r} must be written like grain=30; silage=45")
        pairs: list[tuple[str, object]] = [(name.strip(), value.strip()) for name, _, value in parts]
    elif isinstance(raw, Mapping):
        pairs = list(raw.items())
    else:
        raise Misfit(f"{raw!r} must be names with a value each")
    if not pairs or len({name for name, _ in pairs}) < len(pairs):
        raise Misfit(f"{raw!r} must name each thing once")
    return tuple(pairs)


def as_number(raw: object, low: float, high: float) -> float:
    """A number within bounds."""
    value = float(raw) if isinstance(raw, str) and _NUMBER.fullmatch(raw.strip()) else raw
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise Misfit(f"{raw!r} must be a number from {low:g} to {high:g}")
    return float(value)


def as_whole(raw: object, low: float, high: float) -> int:
    """A whole number within bounds."""
    try:
        value = as_number(raw, low, high)
    except Misfit:
        value = 0.5  # no whole number either: one sentence for both
    if not value.is_integer():
        raise Misfit(f"{raw!r} must be a whole number from {low:g} to {high:g}")
    return int(value)


def as_bool(raw: object) -> bool:
    """Yes or no."""
    said = str(raw).strip().casefold()
    if said in _YES + _NO and isinstance(raw, bool | str):
        return said in _YES
    raise Misfit(f"{raw!r} must be yes or no")


def as_date(raw: object) -> date:
    """A day, written 2027-07-28."""
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    if isinstance(raw, str) and _DAY.fullmatch(raw.strip()):
        try:
            return date.fromisoformat(raw.strip())
        except ValueError as error:
            raise Misfit(f"{raw!r} is no day of the calendar") from error
    raise Misfit(f"{raw!r} must be a date like 2027-07-28")


def chosen(word: str, allowed: Sequence[str]) -> str:
    """A word out of a list."""
    if word in allowed:
        return word
    near = get_close_matches(word, allowed, n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise Misfit(f"{word!r} is not allowed; {hint}allowed are {', '.join(allowed)}")
