"""A picture that is taller than a page, in pieces that are not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from assistant.reports.drawing import Box, Line, Mark, Picture

#: No cut goes nearer than this to a word or a dot.
_CLEAR = 9


def sliced(picture: Picture, most: float) -> Iterator[Picture]:
    """The picture in pieces of at most ``most`` units, cut where nothing is written."""
    top = 0.0
    while picture.height - top > most:
        cut = _cut(picture, top, top + most)
        yield _piece(picture, top, cut)
        top = cut
    yield _piece(picture, top, picture.height) if top else picture


def _cut(picture: Picture, top: float, bottom: float) -> float:
    """The lowest clear height above ``bottom``; ``bottom`` itself where the picture is full to the brim."""
    written = [mark.y for mark in picture.marks if not isinstance(mark, Line | Box)]
    for step in range(int(bottom - top) // 2):
        height = bottom - step
        if all(abs(y - height) >= _CLEAR for y in written):
            return height
    return bottom


def _piece(picture: Picture, top: float, bottom: float) -> Picture:
    marks = tuple(moved for mark in picture.marks if (moved := _moved(mark, top, bottom)))
    return replace(picture, height=bottom - top, marks=marks)


def _moved(mark: Mark, top: float, bottom: float) -> Mark | None:
    """The mark as it stands in the piece; a line that reaches beyond it is cut, one outside is left out."""
    if isinstance(mark, Line):
        low, high = sorted((mark.y1, mark.y2))
        if high < top or low >= bottom:
            return None
        y1, y2 = (min(max(y, top), bottom) - top for y in (mark.y1, mark.y2))
        return replace(mark, y1=y1, y2=y2)
    if not top <= mark.y < bottom:
        return None
    return replace(mark, y=mark.y - top)
