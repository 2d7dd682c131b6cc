"""Paper: pages, headings, tables and pictures as PDF.  The one door to fpdf2.

Sizes are millimetres and points.  The letters come from two fonts that lie beside this module; a
character that they do not have is printed as its code, never left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, date, datetime
from importlib.resources import as_file, files

from fpdf import FPDF
from fpdf.enums import TableBordersLayout, XPos, YPos
from fpdf.fonts import FontFace

from assistant.reports.drawing import INK, PAPER, SOFT, Box, Dot, Line, Mark, Picture, Words, corners
from assistant.reports.slicing import sliced
from assistant.reports.wording import clean

_FONT = "condensed"
_FILES = {"": "DejaVuSansCondensed.ttf", "B": "DejaVuSansCondensed-Bold.ttf"}
_MARGIN = 15.0
_FOOT = 19.0
#: A picture is not drawn smaller than this share of the width to fit a page.
_LEAST_SHRUNK = 0.7
_LINE = 1.35  # line height over letter height
_POINT = 25.4 / 72  # mm
#: Stands for the number of pages until it is known; no cleaned text holds it.
_PAGES = "\ue000\ue000"
#: A cell longer than this goes on in the next row, so that no row is taller than a page.
_MOST_IN_CELL = 1500


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table: its head and its share of the width."""

    head: str
    share: int


class Paper:
    """A document being written from the top of its first page downwards; use it in a ``with`` statement."""

    def __init__(self, title: str, foot: str, on: date) -> None:
        self._title, self._foot = title, foot
        self._made = datetime.combine(on, datetime.min.time(), tzinfo=UTC)

    def __enter__(self) -> Paper:
        self._files = ExitStack()
        self._pdf = pdf = _Letter(self._foot)
        for style, name in _FILES.items():
            path = self._files.enter_context(as_file(files("assistant.reports") / "fonts" / name))
            pdf.add_font(_FONT, style, path)
        self._known = frozenset(pdf.fonts[_FONT].cmap)  # type: ignore[union-attr]
        pdf.foot = self._printable(self._foot)
        pdf.alias_nb_pages(_PAGES)
        pdf.set_creation_date(self._made)
        pdf.set_title(clean(self._title))
        pdf.set_lang("en-US")
        pdf.set_margins(_MARGIN, _MARGIN)
        pdf.set_auto_page_break(True, margin=_FOOT)
        pdf.add_page()
        return self

    def __exit__(self, *error: object) -> None:
        self._files.close()

    def data(self) -> bytes:
        """The finished document."""
        return bytes(self._pdf.output())

    # ------------------------------------------------------------------ words

    def title(self, words: str, below: str = "") -> None:
        """The head of the first page."""
        self._words(words, 18, bold=True)
        if below:
            self._words(below, 9.5, ink=SOFT)
        self.space(3)

    def heading(self, words: str, *, room: float = 40) -> None:
        """A section's head, on a new page if less than ``room`` mm are left on this one."""
        self.keep(room)
        self.space(4)
        y, pdf = self._pdf.get_y(), self._pdf
        pdf.set_draw_color(INK)
        pdf.set_line_width(0.6)
        pdf.line(_MARGIN, y, pdf.w - _MARGIN, y)
        self.space(1.5)
        self._words(words, 13, bold=True)
        self.space(1)

    def small_heading(self, words: str) -> None:
        """A head within a section."""
        self.keep(15)
        self.space(2)
        self._words(words, 9.5, bold=True, ink=SOFT)

    def text(self, words: str, *, size: float = 10, bold: bool = False, soft: bool = False) -> None:
        """A paragraph."""
        self._words(words, size, bold=bold, ink=SOFT if soft else INK)
        self.space(0.8)

    def space(self, height: float) -> None:
        """Empty paper."""
        self._pdf.set_y(self._pdf.get_y() + height)

    def keep(self, height: float) -> None:
        """A new page, unless so much of this one is left."""
        if self._pdf.will_page_break(height):
            self._pdf.add_page()

    def _words(self, words: str, size: float, *, bold: bool = False, ink: str = INK) -> None:
        pdf = self._pdf
        pdf.set_font(_FONT, "B" if bold else "", size)
        pdf.set_text_color(ink)
        height = size * _POINT * _LINE
        pdf.multi_cell(0, height, self._printable(words), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def _printable(self, text: str) -> str:
        """The text in letters that the fonts have."""
        return "".join(c if ord(c) in self._known else f"[U+{ord(c):04X}]" for c in clean(text))

    # ------------------------------------------------------------------ tables

    def table(self, columns: Sequence[Column], rows: Iterable[Sequence[str]], *, size: float = 8.5) -> None:
        """A table whose head stands again on every page."""
        pdf = self._pdf
        pdf.set_font(_FONT, "", size)
        pdf.set_text_color(INK)
        pdf.set_draw_color(SOFT)
        pdf.set_fill_color(PAPER)
        pdf.set_line_width(0.15)
        with pdf.table(
            col_widths=[c.share for c in columns], text_align="LEFT", v_align="TOP",
            padding=(0.8, 1.5, 0.8, 0),
            line_height=size * _POINT * _LINE, borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            headings_style=FontFace(emphasis="BOLD", color=INK),
        ) as made:  # fmt: skip
            made.row([c.head for c in columns])
            for row in rows:
                for part in _parts([self._printable(cell) for cell in row]):
                    made.row(part)
        self.space(2)

    # ------------------------------------------------------------------ pictures

    def picture(self, picture: Picture, *, titled: bool = True) -> None:
        """A picture over the whole width: smaller where that spares a page, in pieces where it must be."""
        head = 10 if titled else 0
        page = self._pdf.h - _FOOT - _MARGIN - head
        for place, piece in enumerate(sliced(picture, page / self._full(picture))):
            self._piece(piece, head, f"{piece.title}{' (continued)' if place else ''}")

    def height_of(self, picture: Picture) -> float:
        """Millimetres that a picture takes, at most a page."""
        return min(picture.height * self._full(picture), self._pdf.h - _FOOT - 3 * _MARGIN)

    def _full(self, picture: Picture) -> float:
        """Millimetres for a unit of the picture when it takes the whole width."""
        return (self._pdf.w - 2 * _MARGIN) / picture.width

    def _piece(self, picture: Picture, head: float, title: str) -> None:
        pdf, scale = self._pdf, self._full(picture)
        room = pdf.h - _FOOT - head - pdf.get_y()
        if room < picture.height * scale and room > picture.height * scale * _LEAST_SHRUNK:
            scale = room / picture.height
        self.keep(picture.height * scale + head)
        if head:
            self.small_heading(title)
        left, top = _MARGIN, pdf.get_y()
        for mark in picture.marks:
            self._mark(mark, left, top, scale)
        pdf.set_draw_color(INK)
        pdf.set_xy(_MARGIN, top + picture.height * scale + 1)

    def _mark(self, mark: Mark, left: float, top: float, scale: float) -> None:
        if isinstance(mark, Words):
            self._label(mark, left, top, scale)
        elif isinstance(mark, Line):
            self._line(mark, left, top, scale)
        elif isinstance(mark, Box):
            self._pdf.set_fill_color(mark.fill)
            x, y = left + mark.x * scale, top + mark.y * scale
            self._pdf.rect(x, y, mark.width * scale, mark.height * scale, style="F")
        else:
            self._dot(mark, left, top, scale)

    def _label(self, mark: Words, left: float, top: float, scale: float) -> None:
        pdf = self._pdf
        pdf.set_font(_FONT, "B" if mark.bold else "", mark.size * scale / _POINT)
        pdf.set_text_color(mark.ink)
        words = self._printable(mark.text)
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
        pdf.text(left + mark.x * scale - back * pdf.get_string_width(words), top + mark.y * scale, words)

    def _line(self, mark: Line, left: float, top: float, scale: float) -> None:
        pdf = self._pdf
        pdf.set_draw_color(mark.ink)
        pdf.set_line_width(mark.width * scale)
        pdf.set_dash_pattern(dash=1 if mark.dashed else 0, gap=0.8 if mark.dashed else 0)
        pdf.line(left + mark.x1 * scale, top + mark.y1 * scale, left + mark.x2 * scale, top + mark.y2 * scale)
        pdf.set_dash_pattern()

    def _dot(self, dot: Dot, left: float, top: float, scale: float) -> None:
        pdf = self._pdf
        pdf.set_draw_color(dot.ink)
        pdf.set_fill_color(PAPER if dot.hollow else dot.ink)
        pdf.set_line_width(1.6 * scale)
        if dot.shape == "round":
            pdf.circle(left + dot.x * scale, top + dot.y * scale, dot.size * scale, style="DF")
        else:
            pdf.polygon([(left + x * scale, top + y * scale) for x, y in corners(dot)], style="DF")


class _Letter(FPDF):
    """US Letter, upright, with a line at the foot of every page."""

    def __init__(self, foot: str) -> None:
        super().__init__(orientation="portrait", unit="mm", format="letter")
        self.foot = foot

    def footer(self) -> None:
        """The foot of a page: what it is, and which page."""
        self.set_y(-_MARGIN)
        self.set_font(_FONT, "", 8)
        self.set_text_color(SOFT)
        self.cell(0, 4, self.foot[:110], align="L")
        self.set_x(_MARGIN)
        self.cell(0, 4, f"page {self.page_no()} of {_PAGES}", align="R")


def _parts(row: Sequence[str]) -> Iterable[Sequence[str]]:
    """The row, or several rows where a cell is too long for one."""
    while any(len(cell) > _MOST_IN_CELL for cell in row):
        yield [cell[:_MOST_IN_CELL] for cell in row]
        row = [cell[_MOST_IN_CELL:] for cell in row]
    yield row
