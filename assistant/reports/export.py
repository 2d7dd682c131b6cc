"""Where reports are asked for: a season in any form, the grower's page of a field, a picture.

Everything depends on the casebook and on what is passed in; nothing reads a clock, so the same
casebook gives the same bytes.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from assistant.casebook.names import slug
from assistant.casebook.rows import Field
from assistant.reports.season import Asked, Season, gather
from rules.model import EarleafError, WrongWords

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

#: The forms of a season, with the ending of their files.
FORMS = {
    "csv": "csv", "xlsx": "xlsx", "json": "json", "geojson": "geojson", "markdown": "md", "html": "html",
    "pdf": "pdf", "ics": "ics",
}  # fmt: skip
#: The forms of the grower's page.
PAGE_FORMS = {"text": "txt", "html": "html", "pdf": "pdf"}
#: The pictures that can be had alone, as SVG.
PICTURES = ("progress", "strips", "first_finds", "decisions", "hybrids", "laboratory")


class CannotWrite(EarleafError):
    """The operating system would not let a report be written."""


def write(
    book: Casebook,
    form: str,
    out: Path | BinaryIO,
    *,
    year: int,
    on: date,
    field: Field | str | None = None,
    hybrid: str | None = None,
) -> int:
    """Writes a season (of one field, of one hybrid, or all of it) as one of :data:`FORMS`.

    CSV and JSON go out line by line.  A file that is there already stays whole until the new one is.

    Returns:
        How many lines of the log were written; for ``ics`` how many events.

    Raises:
        WrongWords: there is no such form, or no note of the year names the hybrid.
        CannotWrite: the file cannot be written.
    """
    _check(form, FORMS)
    known = book.field(field) if isinstance(field, str) else field
    asked = Asked(year=year, on=on, field=known, hybrid=hybrid)
    with _sink(out) as sink:
        return (
            _streamed(book, form, asked, sink)
            if form in _STREAMED
            else _whole(gather(book, asked), form, sink)
        )


def write_page(book: Casebook, form: str, out: Path | BinaryIO, *, field: Field | str, on: date) -> int:
    """Writes the grower's page of a field, as one of :data:`PAGE_FORMS`; returns how many bytes."""
    from assistant.reports.grower import grower_page, message
    from assistant.reports.grower_forms import grower_html, grower_pdf

    _check(form, PAGE_FORMS)
    season = _one_field(book, field, on)
    page = grower_page(season, season.fields[0])
    if form == "pdf":
        data = grower_pdf(page)
    else:
        data = (f"{message(page)}\n" if form == "text" else grower_html(page)).encode()
    with _sink(out) as sink:
        sink.write(data)
    return len(data)


def write_picture(
    book: Casebook, name: str, out: Path | BinaryIO, *, year: int, on: date, field: Field | str | None = None
) -> int:
    """Writes one of :data:`PICTURES` as an SVG file; ``progress`` is of one field, which must be named."""
    from assistant.reports.drawing import svg
    from assistant.reports.gallery import picture

    if name not in PICTURES:
        raise WrongWords(f'There is no picture "{name}"; there are {", ".join(PICTURES)}.')
    if name == "progress" and field is None:
        raise WrongWords("Progress is drawn for one field; name it.")
    known = book.field(field) if isinstance(field, str) else field
    data = svg(picture(gather(book, Asked(year=year, on=on, field=known)), name)).encode()
    with _sink(out) as sink:
        sink.write(data)
    return len(data)


def file_name(form: str, *, year: int, field: Field | None = None, hybrid: str | None = None) -> str:
    """A name for the file: letters, digits and dashes only, whatever the field or the hybrid is called."""
    ending = FORMS.get(form) or PAGE_FORMS[form]
    parts = ["season", str(year), *([field.slug] if field else []), *([slug(hybrid)] if hybrid else [])]
    return f"{slug('-'.join(parts))}.{ending}"


# ----------------------------------------------------------------------------- one form each


def _csv(book: Casebook, asked: Asked, sink: Callable[[str], object]) -> int:
    from assistant.reports.table import write_csv

    return write_csv(book, asked, sink)


def _json(book: Casebook, asked: Asked, sink: Callable[[str], object]) -> int:
    from assistant.reports.jsonform import write_json

    return write_json(book, asked, sink)


_STREAMED = {"csv": _csv, "json": _json}


def _streamed(book: Casebook, form: str, asked: Asked, sink: BinaryIO) -> int:
    return _STREAMED[form](book, asked, lambda text: sink.write(text.encode()))


def _whole(season: Season, form: str, sink: BinaryIO) -> int:
    sink.write(_rendered(season, form))
    if form == "ics":
        from assistant.reports.ics import events

        return events(season.due)
    return len(season.visits)


def _rendered(season: Season, form: str) -> bytes:
    """The season in a form that is made as a whole; each form's libraries are imported only for it."""
    if form == "xlsx":
        from assistant.reports.sheet import workbook

        return workbook(season)
    if form == "pdf":
        from assistant.reports.print_season import season_pdf

        return season_pdf(season)
    return _text(season, form).encode()


def _text(season: Season, form: str) -> str:
    if form == "geojson":
        from assistant.reports.jsonform import geojson

        return geojson(season)
    if form == "html":
        from assistant.reports.web import season_page

        return season_page(season)
    if form == "ics":
        from assistant.reports.ics import calendar

        return calendar(season)
    from assistant.reports.table import markdown

    return markdown(season)


# ----------------------------------------------------------------------------- in and out


def _check(form: str, forms: dict[str, str]) -> None:
    if form not in forms:
        raise WrongWords(f'There is no form "{form}"; there are {", ".join(forms)}.')


def _one_field(book: Casebook, field: Field | str, on: date) -> Season:
    """The season of one field, with that field in it even if nothing was noted."""
    from dataclasses import replace

    from assistant.reports.season import FieldSeason

    known = book.field(field) if isinstance(field, str) else field
    season = gather(book, Asked(year=on.year, on=on, field=known))
    return season if season.fields else replace(season, fields=(FieldSeason(name=known.name, visits=()),))


@contextmanager
def _sink(out: Path | BinaryIO) -> Iterator[BinaryIO]:
    """The stream itself, or a file beside the one asked for, which takes its name when it is whole."""
    if not isinstance(out, Path):
        yield out
        return
    part = out.with_name(f"{out.name}.part") if out.is_file() or not out.exists() else out
    try:
        with part.open("wb") as file:
            yield file
        if part != out:
            os.replace(part, out)
    except OSError as error:
        raise CannotWrite(f"{out} cannot be written: {error.strerror or error}.") from error
    finally:
        if part != out:
            part.unlink(missing_ok=True)
