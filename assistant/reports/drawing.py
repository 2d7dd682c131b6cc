"""A picture as a list of plain marks, so that one picture can go to a page, a PDF or a file.

Lengths are in picture units (a CSS pixel on a page), y grows downwards.  Nothing is told by
colour alone: every colour goes with a shape or a word.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from assistant.reports.markup import Markup, tag

INK = "#1d2a26"
SOFT = "#5d6a64"
RULE = "#d3d8d1"
BAND = "#f1f3ec"
PAPER = "#ffffff"
ACCENT = "#8a5a00"

#: The colour of each decision; dark enough for a white letter on it.
ACTION_INK = {
    "spray": "#a3241c",
    "hold": "#9a6a00",
    "sample": "#6b3fa0",
    "scout": "#1f6391",
    "no_spray": "#3a7034",
    "too_late": "#6a6a6a",
}
#: One letter for each decision, so that a print without colour can be read.
ACTION_LETTER = {
    "spray": "S",
    "hold": "H",
    "sample": "L",
    "scout": "?",
    "no_spray": "N",
    "too_late": "X",
}

Shape = Literal["round", "square", "diamond", "triangle", "down"]
#: Colour and shape for the problems of a season, in the order of their first find
#: (colours after Okabe and Ito 2008, darkened for white paper).
SERIES: tuple[tuple[str, Shape], ...] = (
    ("#b5470a", "round"),
    ("#00618f", "square"),
    ("#00735a", "diamond"),
    ("#9b3f78", "triangle"),
    ("#7a6a00", "down"),
    ("#3b3b3b", "round"),
)

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    ink: str = RULE
    width: float = 1
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float
    fill: str = BAND
    edge: str | None = None


@dataclass(frozen=True, slots=True)
class Dot:
    """A mark of one of five shapes around a point; ``hollow`` ones are filled with paper."""

    x: float
    y: float
    size: float
    ink: str
    shape: Shape = "round"
    hollow: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; ``y`` is its base line."""

    x: float
    y: float
    text: str
    size: float = 12
    ink: str = INK
    anchor: Anchor = "start"
    bold: bool = False


Mark = Line | Box | Dot | Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What is drawn, with a title and a sentence for those who cannot see it."""

    width: float
    height: float
    title: str
    told: str
    marks: tuple[Mark, ...]


def svg(picture: Picture) -> Markup:
    """The picture as an SVG element (SVG 1.1), the same bytes for the same picture."""
    size = f"0 0 {picture.width:.0f} {picture.height:.0f}"
    return tag(
        "svg", tag("title", picture.title), tag("desc", picture.told), map(_element, picture.marks),
        xmlns="http://www.w3.org/2000/svg", viewBox=size, width=picture.width, height=picture.height,
        role="img", font_family="system-ui, 'Segoe UI', 'DejaVu Sans', Arial, sans-serif",
    )  # fmt: skip


def corners(dot: Dot) -> list[tuple[float, float]]:
    """The corners of a dot that is not round, clockwise."""
    x, y, r = dot.x, dot.y, dot.size
    side, tall = r * 0.9, r * 1.15
    if dot.shape == "square":
        return [(x - side, y - side), (x + side, y - side), (x + side, y + side), (x - side, y + side)]
    if dot.shape == "diamond":
        return [(x, y - tall - 1), (x + tall, y), (x, y + tall + 1), (x - tall, y)]
    flip = -1 if dot.shape == "down" else 1
    return [(x, y - flip * tall), (x + tall, y + flip * r), (x - tall, y + flip * r)]


def text_width(text: str, size: float) -> float:
    """About how wide a line of text is; drawing needs no more than "about"."""
    return len(text) * size * 0.56


def legend(
    entries: Sequence[tuple[Dot | None, str]], x: float, y: float, width: float
) -> tuple[list[Mark], float]:
    """A row (or rows) of marks with their meaning; returns the marks and the y below them."""
    marks: list[Mark] = []
    at = x
    for dot, words in entries:
        wide = text_width(words, 11) + 30
        if at + wide > x + width and at > x:
            at, y = x, y + 16
        if dot is not None:
            marks.append(Dot(at + 6, y - 4, dot.size, dot.ink, dot.shape, dot.hollow))
        marks.append(Words(at + 16, y, words, 11, SOFT))
        at += wide
    return marks, y + 10


def spread(positions: Iterable[float], gap: float) -> list[bool]:
    """Which labels of ascending positions can be shown without touching; the last one always can."""
    places = list(positions)
    shown, last = [False] * len(places), float("-inf")
    for i, place in enumerate(places):
        if place - last >= gap and (i == len(places) - 1 or places[-1] - place >= gap or place == places[-1]):
            shown[i], last = True, place
    if places:
        shown[-1] = True
    return shown


def _element(mark: Mark) -> Markup:
    if isinstance(mark, Words):
        return tag(
            "text", mark.text, x=mark.x, y=mark.y, font_size=mark.size, fill=mark.ink,
            text_anchor=None if mark.anchor == "start" else mark.anchor,
            font_weight="600" if mark.bold else None,
        )  # fmt: skip
    if isinstance(mark, Line):
        return tag(
            "line", x1=mark.x1, y1=mark.y1, x2=mark.x2, y2=mark.y2, stroke=mark.ink,
            stroke_width=mark.width, stroke_dasharray="4 3" if mark.dashed else None,
        )  # fmt: skip
    if isinstance(mark, Box):
        return tag(
            "rect", x=mark.x, y=mark.y, width=mark.width, height=mark.height, fill=mark.fill, stroke=mark.edge
        )
    return _dot(mark)


def _dot(dot: Dot) -> Markup:
    fill, width = (PAPER if dot.hollow else dot.ink), 1.6
    if dot.shape == "round":
        return tag("circle", cx=dot.x, cy=dot.y, r=dot.size, fill=fill, stroke=dot.ink, stroke_width=width)
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in corners(dot)) + "Z"
    return tag("path", d=path, fill=fill, stroke=dot.ink, stroke_width=width)
