"""The commands that show what the casebook holds; none of them loads the reader."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import BinaryIO

import click

from assistant.cli_common import DAY, casebook_option, now, reading

_FORMS = ("csv", "xlsx", "json", "geojson", "markdown", "html", "pdf", "ics")
_PAGE_FORMS = ("text", "html", "pdf")
_PICTURES = ("progress", "strips", "first_finds", "decisions", "hybrids", "laboratory")
_BINARY = ("xlsx", "pdf")


@click.command()
@click.argument("field")
@click.option("--on", type=DAY, help="As of this day (today).")
@casebook_option
@click.pass_obj
def history(given: str | None, field: str, on: date | None, own: str | None) -> None:
    """All that is known of a field, the open question on top."""
    from assistant.reports.history import history_words

    with reading(own or given) as book:
        click.echo(history_words(book, book.field(field), on or now().date()))


@click.command()
@click.option("--on", type=DAY, help="As of this day (today).")
@casebook_option
@click.pass_obj
def due(given: str | None, on: date | None, own: str | None) -> None:
    """Which fields wait for another look, in the order of the last useful spray day."""
    from assistant.reports.history import due_words

    with reading(own or given) as book:
        click.echo(due_words(book, on or now().date()))


@click.command()
@click.argument("year", type=int, required=False)
@click.option("--field", help="This field only.")
@click.option("--hybrid", help="Fields of this hybrid only.")
@click.option("--as", "form", type=click.Choice(_FORMS), default="markdown", show_default=True)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file.")
@click.option("--on", type=DAY, help="What is due is reckoned as of this day (today).")
@casebook_option
@click.pass_obj
def season(
    given: str | None,
    year: int | None,
    field: str | None,
    hybrid: str | None,
    form: str,
    out: Path | None,
    on: date | None,
    own: str | None,
) -> None:
    """The season log of a year (this one), in one of many forms."""
    from assistant.reports.export import write

    day = on or now().date()
    with reading(own or given) as book:
        known = book.field(field) if field else None
        target = out or _stdout(form)
        lines = write(book, form, target, year=year or day.year, on=day, field=known, hybrid=hybrid)
    if out:
        click.echo(f"{lines} lines written to {out}", err=True)


@click.command()
@click.argument("field")
@click.option("--as", "form", type=click.Choice(_PAGE_FORMS), default="text", show_default=True)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file.")
@click.option("--on", type=DAY, help="As of this day (today).")
@casebook_option
@click.pass_obj
def page(
    given: str | None, field: str, form: str, out: Path | None, on: date | None, own: str | None
) -> None:
    """The page for the grower of a field: what, so what, what now, by when."""
    from assistant.reports.export import write_page

    with reading(own or given) as book:
        write_page(book, form, out or _stdout(form), field=book.field(field), on=on or now().date())


@click.command()
@click.argument("name", type=click.Choice(_PICTURES))
@click.argument("out", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--year", type=int, help="The season (this one).")
@click.option("--field", help="The field, for the picture of its progress.")
@casebook_option
@click.pass_obj
def picture(
    given: str | None, name: str, out: Path, year: int | None, field: str | None, own: str | None
) -> None:
    """One picture of the season as an SVG file."""
    from assistant.reports.export import write_picture

    day = now().date()
    with reading(own or given) as book:
        write_picture(book, name, out, year=year or day.year, on=day, field=field)


def _stdout(form: str) -> BinaryIO:
    if form in _BINARY and sys.stdout.isatty():
        raise click.UsageError(f"A season as {form} is no text for the screen; name a file with --out.")
    return sys.stdout.buffer
