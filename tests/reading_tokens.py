"""Tokens for tests of the reader, split about as spaCy's blank English tokenizer splits them.

Glued tails stay ("85f", "200bu"), metric and inch tails come off ("2mm"), a hyphen, a
dollar, a percent and a degree sign are tokens of their own, "don't" is "do" and "n't".
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.reading.tokens import Found, Token

_TOKEN = re.compile(
    r"\d+(?:,\d{3})+|\d+/\d+(?:/\d+)?|\d+(?:\.\d+)?(?=mm|cm|mph|in\b|ft\b)|\d*\.?\d+[a-zº½]*"
    r"|[a-z]+(?=n't)|n't|'(?:s|ll|re|ve|d|m)\b|[a-z]+\d*(?:\.\d+)?(?:[+-]\d\b)?|\S"
)
_NORMS = {"n't": "not", "nt": "not"}


def tokens(text: str) -> list[Token]:
    """The tokens of a note, lower case, lines marked."""
    lowered = text.lower().replace("’", "'")
    found = []
    line_ends = [at for at, letter in enumerate(text) if letter == "\n"]
    for match in _TOKEN.finditer(lowered):
        before = found[-1].end if found else 0
        new_line = any(before <= at < match.start() for at in line_ends)
        word = match[0]
        found.append(Token(word, _NORMS.get(word, word), match.start(), match.end(), new_line))
    return found


def words(*spoken: str) -> list[Token]:
    """Tokens given one by one, for shapes that another tokenizer makes."""
    found = []
    at = 0
    for word in spoken:
        found.append(Token(word, word, at, at + len(word)))
        at += len(word) + 1
    return found


def facts(found: Sequence[Found]) -> list[tuple[str, object]]:
    """Attribute and value of each fact, sorted."""
    return sorted(((one.attribute, one.value) for one in found), key=str)


def text_of(one: Found, row: Sequence[Token], text: str) -> str:
    """The words that a fact covers."""
    return text[row[one.first].start : row[one.last - 1].end]
