"""Decades of degrees: "eighties", "mid 70s", "mid to upper eighties", "mid-80s"."""

from __future__ import annotations

import re
from typing import Any

from assistant.reading.wordlists import table

_NUMBER: dict[str, Any] = table("units")["number"]
DECADES: dict[str, int] = _NUMBER["decades"]
PARTS: dict[str, list[int]] = _NUMBER["decade_part"]
_DECADE = re.compile(r"'?(?:(low|mid|upper|high)-?)?([1-9]0)'?s\Z")


def decade(words: tuple[str, ...], at: int) -> tuple[int, int, int]:
    """The token after a decade and its two ends; zeros if none begins at token ``at``."""
    parts, step = _decade_parts(words, at)
    base, last = _decade_base(words, step)
    if last == 0:
        return 0, 0, 0
    glued = _DECADE.match(words[step])
    if glued and glued[1]:  # "mid-80s" as one word
        parts = [PARTS[glued[1]]]
    low = parts[0][0] if parts else 0
    high = parts[-1][1] if parts else 9
    return last, base + low, base + high


def _decade_parts(words: tuple[str, ...], at: int) -> tuple[list[list[int]], int]:
    parts: list[list[int]] = []
    step = at
    while (word := _word(words, step)) in PARTS:
        parts.append(PARTS[word])
        step += 1
        if _word(words, step) in ("to", "-") and (
            _word(words, step + 1) in PARTS or _word(words, step) == "-"
        ):
            step += 1
    return parts, step


def _decade_base(words: tuple[str, ...], at: int) -> tuple[int, int]:
    word = _word(words, at)
    if word in DECADES:
        return DECADES[word], at + 1
    if word[-1:] == "s" and (found := _DECADE.match(word)):
        return int(found[2]), at + 1
    if len(word) == 2 and word.isdecimal() and word[1] == "0" and _word(words, at + 1) in ("'s", "ies"):
        return int(word), at + 2
    return 0, 0


def _word(words: tuple[str, ...], at: int) -> str:
    return words[at] if at < len(words) else ""
