"""Field shorthand written out ("EL" -> "ear leaf"), before numbers and dates are read.

The words put in share the place of the shorthand in the note.  It is no repair: the writer
meant what stands there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from assistant.reading.tokens import Token

_LETTERS = 2

Cutter = Callable[[str], list[Token]]


def spelled_out(
    rows: Sequence[Token], short: Mapping[tuple[str, ...], str], cut: Cutter, text: str
) -> list[Token]:
    """The tokens with every known shorthand written out; ``text`` is the note as typed."""
    longest = max(map(len, short), default=1)
    out: list[Token] = []
    i = 0
    rows = _without_minus(rows, cut)
    while i < len(rows):
        size = _size(rows, i, short, longest)
        if size and not _closes_a_name(rows, i, text):
            said = short[tuple(row.text for row in rows[i : i + size])]
            out += in_place_of(rows[i : i + size], cut(said))
        else:
            out += rows[i : i + (size or 1)]
        i += size or 1
    return out


def _without_minus(rows: Sequence[Token], cut: Cutter) -> list[Token]:
    """As in "R1, -rust -TS": a minus at a word says that it is not there, but not at the head of a line."""
    out: list[Token] = []
    for i, row in enumerate(rows):
        if not (row.text[:1] == "-" and row.text[1:].isalpha()):
            out.append(row)
        elif i == 0 or row.new_line:
            out += in_place_of([row], cut("- " + row.text[1:]))
        else:
            out += in_place_of([row], cut("no " + row.text[1:]))
    return out


def _closes_a_name(rows: Sequence[Token], i: int, text: str) -> bool:
    """As in "Knox W", "Rye Cr": behind a word with a capital, one capital is of a name."""
    if not i or rows[i].new_line or rows[i - 1].end + 1 != rows[i].start:
        return False
    said, before = text[rows[i].start : rows[i].end], text[rows[i - 1].start : rows[i - 1].end]
    single = said[:1].isupper() and (len(said) == 1 or said[1:].islower())
    return single and len(said) <= _LETTERS and before[:1].isupper() and before[1:].islower()


def _size(rows: Sequence[Token], i: int, short: Mapping[tuple[str, ...], str], longest: int) -> int:
    for size in range(min(longest, len(rows) - i), 0, -1):
        if tuple(row.text for row in rows[i : i + size]) in short:
            return size
    return 0


def in_place_of(old: Sequence[Token], new: Sequence[Token]) -> list[Token]:
    """Give the tokens ``new`` the place in the note that ``old`` has."""
    start, end = old[0].start, old[-1].end
    placed = [replace(token, start=start, end=end, new_line=False) for token in new]
    if placed and old[0].new_line:
        placed[0] = replace(placed[0], new_line=True)
    return placed
