"""Cleaning that keeps every character in its place, and the cutting of long notes.

One character in, one character out: facts point into the text that the person typed.
"""

from __future__ import annotations

import re
import unicodedata

#: A piece is cut near this length, so that no note of any size takes more than its share of time.
PIECE = 600

_MAPPED = {
    **dict.fromkeys("\u2018\u2019\u201a\u201b\u02bc\u2032`\u00b4", "'"),
    **dict.fromkeys("\u201c\u201d\u201e\u201f\u2033\u00ab\u00bb", '"'),
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u2043", "-"),
    **dict.fromkeys("\u2022\u2023\u25aa\u25cf\u25e6\u2219\u2028\u2029\x0b\x0c\r", "\n"),
    **dict.fromkeys("\u2044\u2215", "/"),
    "\u00ba": "\u00b0",
    "\u02da": "\u00b0",
    "\u0130": "\u0130",  # the one letter whose lower case is longer than itself
    "\t": " ",
    "\n": "\n",
}
_HIDDEN = {"Cc", "Cf", "Co", "Cs", "Cn"}
_ESCAPES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]|\r\n")
_CUTS = (re.compile(r"\n"), re.compile(r"[.;!?](?=\s)"), re.compile(r","), re.compile(r"\s"))


def clean(text: str) -> str:
    """Give ``text`` in lower case, with plain quotes, dashes and blanks, at the same length."""
    if text.isascii() and text.isprintable():
        return text.lower()
    blanked = _ESCAPES.sub(lambda hit: "\n".rjust(2) if hit[0] == "\r\n" else " " * len(hit[0]), text)
    return "".join(map(_one, blanked))


def _one(char: str) -> str:
    if char.isascii() and char.isprintable():
        return char.lower()
    mapped = _MAPPED.get(char)
    if mapped is not None:
        return mapped
    if unicodedata.category(char) in _HIDDEN or char.isspace():
        return " "
    plain = unicodedata.normalize("NFKC", char)
    lowered = (plain if len(plain) == 1 and char != "\u00bd" else char).lower()
    return lowered if len(lowered) == 1 else char


def pieces(text: str) -> list[tuple[int, int]]:
    """Half-open stretches of at most about PIECE characters, cut at line, sentence or word ends."""
    cuts, start = [], 0
    while len(text) - start > PIECE:
        end = _cut(text, start)
        cuts.append((start, end))
        start = end
    return [*cuts, (start, len(text))]


def _cut(text: str, start: int) -> int:
    window = text[start : start + PIECE]
    for pattern in _CUTS:
        ends = [hit.end() for hit in pattern.finditer(window) if hit.end() > PIECE // 4]
        if ends:
            return start + ends[-1]
    return start + PIECE
