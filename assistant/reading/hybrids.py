"""The hybrid's name, as it was said: "hybrid is Cardinal 6411", "planted to the 6114"."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.reading.mention import Mention
from assistant.reading.tokens import Token

_LEADS = (
    ("hybrid",),
    ("planted", "to"),
    ("variety",),
    ("number", "is"),
    ("hybrid", "number"),
    ("planted", "in"),
)
_LINKS = frozenset({"is", "'s", "was", ":", "called", "named", "number", "the", ",", "-", "a"})
_NO_NAME = frozenset(
    {
        "on",
        "in",
        "at",
        "of",
        "and",
        "with",
        "but",
        "for",
        "has",
        "or",
        "planted",
        "rated",
        "about",
        "susceptible",
        "resistant",
        "moderate",
        "moderately",
        "tolerant",
        "looks",
        "scores",
        "not",
        "row",
        "rows",
    }
)
_OPENING = frozenset({lead[0] for lead in _LEADS} | {"hybrids"})
_TENS = frozenset({"twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"})
_UNITS = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine"})
_MOST_LINKS = 2
_MOST_WORDS = 4
_SHORTEST = 3


def hybrids(rows: Sequence[Token], text: str) -> list[Mention]:
    """The names of hybrids in ``rows`` of the note ``text``."""
    words = tuple(row.text for row in rows)
    found = []
    for i, word in enumerate(words):
        if word not in _OPENING:
            continue
        size = max((len(lead) for lead in _LEADS if words[i : i + len(lead)] == lead), default=0)
        span = (_behind(words, i + size) if size else None) or _before(words, i)
        if span:
            first, last = span
            name = " ".join(text[rows[first].start : rows[last - 1].end].split())
            found.append(Mention(first, last, "hybrid", name, origin="field"))
    return found


def _behind(words: tuple[str, ...], i: int) -> tuple[int, int] | None:
    step = i
    while step < len(words) and step - i < _MOST_LINKS and words[step] in _LINKS:
        step += 1
    for last in range(step, min(len(words), step + _MOST_WORDS)):
        if _coded(words[last]):
            return step, last + 1
        if step > i and last > step and (words[last].isdigit() or words[last] in _TENS):
            return step, last + 1 + (
                words[last] in _TENS and words[last + 1 : last + 2] != () and words[last + 1] in _UNITS
            )
        if not words[last].isalpha() or words[last] in _NO_NAME:
            return None
    return None


def _before(words: tuple[str, ...], i: int) -> tuple[int, int] | None:
    """As in "the 6114 hybrid"."""
    if words[i] in ("hybrid", "hybrids") and i and _coded(words[i - 1]):
        return i - 1, i
    return None


def _coded(word: str) -> bool:
    """Whether a word looks like a hybrid's number: three figures or more, or letters and figures."""
    figures = sum(char.isdigit() for char in word)
    return figures >= _SHORTEST or (figures > 0 and len(word) > _SHORTEST and any(c.isalpha() for c in word))
