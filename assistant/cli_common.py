"""What the commands share: dates as words, the casebook to use, who and when."""

from __future__ import annotations

import getpass
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from assistant.book import Book
    from assistant.casebook.book import Casebook


class _Day(click.ParamType[date]):
    name = "YYYY-MM-DD"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no date; say it as YYYY-MM-DD, for example 2027-07-28", param, ctx)


DAY = _Day()

casebook_option = click.option("--casebook", "own", metavar="PATH", help="Use this casebook.")


def path_of(given: str | None) -> Path:
    """The casebook's file: as named, else the user's own."""
    from assistant.casebook.place import casebook_path

    return casebook_path(given, os.environ)


def author() -> str:
    """Who speaks: EARLEAF_AUTHOR, else the name of the login."""
    return os.environ.get("EARLEAF_AUTHOR") or getpass.getuser()


def now() -> datetime:
    """The clock, read here at the edge and nowhere below."""
    return datetime.now().astimezone()


@contextmanager
def writing(given: str | None, *, save: bool) -> Iterator[Book]:
    """The book to write in: the casebook, or one that forgets and leaves no file."""
    from assistant.book import Fleeting
    from assistant.casebook.book import Casebook
    from assistant.casebook.place import named_casebook

    if save:
        with Casebook.open(path_of(given)) as book:
            yield book
        return
    named = named_casebook(given, os.environ)
    if named is None or not named.exists():
        yield Fleeting()
        return
    with Casebook.open_readonly(named) as book:
        yield Fleeting(book)


@contextmanager
def reading(given: str | None) -> Iterator[Casebook]:
    """The casebook, to read only."""
    from assistant.casebook.book import Casebook

    with Casebook.open_readonly(path_of(given)) as book:
        yield book


@contextmanager
def writing_file(given: str | None) -> Iterator[Casebook]:
    """The casebook, to write in."""
    from assistant.casebook.book import Casebook

    with Casebook.open(path_of(given)) as book:
        yield book
