"""Bringing in old notes: a folder of .txt and .md files, or a table (CSV) with a date and words in each row.

:func:`in_folder` and :func:`in_table` look for notes and say of all the rest why it could not be placed;
nothing is guessed.  :func:`bring_in` puts the notes into the casebook like any other, marked as
imported: they have answers, and open no rescout.  Bringing in the same notes again adds none.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from assistant.casebook.book import Casebook
from assistant.casebook.errors import AmbiguousField
from assistant.casebook.rows import Entry
from assistant.dates_written import Written, dates_in, heads, the_one, without
from assistant.loaded import Loaded
from assistant.turn import Note, take
from rules.model import EarleafError, WrongWords

#: Told after each note: how many are done, of how many.
Progress = Callable[[int, int], None]

_ENDINGS = (".txt", ".md")
_COLUMNS = ("date", "field", "text", "author")
_NEEDED = ("date", "text")


@dataclass(frozen=True, slots=True, kw_only=True)
class OldNote:
    """An old note that has a day; ``source`` says where it came from."""

    source: str
    on: date
    text: str
    field: str | None = None
    author: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """Something that was not brought in, and why."""

    source: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Notes in the order of their days, and what could not be placed."""

    notes: tuple[OldNote, ...]
    left: tuple[Left, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What was brought in (source and uid), what was there already, and what was left."""

    taken: tuple[tuple[str, str], ...]
    known: tuple[str, ...]
    left: tuple[Left, ...]


def in_folder(folder: Path, *, year: int | None = None, names_are_fields: bool = False) -> Found:
    """The notes in the files of a folder and of the folders in it, one a file.

    The day comes from the file's name, or else stands at the head of its first line.

    Args:
        folder: where to look.
        year: the year of dates that have none.
        names_are_fields: what a file's name holds beside a date is the field; else the words must say it.

    Raises:
        WrongWords: it is no folder, or cannot be read.
    """
    if not folder.is_dir():
        raise WrongWords(f"{folder} is no folder. Name a folder of .txt or .md files, or a .csv file.")
    try:
        paths = sorted(path for path in folder.rglob("*") if path.is_file())
    except OSError as error:
        raise WrongWords(f"{folder} cannot be read: {error.strerror}") from error
    made = [_file(path, path.relative_to(folder).as_posix(), year, names_are_fields) for path in paths]
    return _found(made)


def in_table(
    path: Path, *, columns: Mapping[str, str] | None = None, year: int | None = None, delimiter: str = ","
) -> Found:
    """The notes in the rows of a CSV file with a head line; UTF-8.

    Args:
        path: the file.
        columns: which of its columns holds the ``date``, ``field``, ``text``, ``author``; those of that name
            if left out. Date and text are needed; other columns are passed over.
        year: the year of dates that have none.
        delimiter: what stands between two cells.

    Raises:
        WrongWords: it cannot be read, or a column is not there.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise WrongWords(f"{path} cannot be read: {error.strerror}") from error
    except UnicodeDecodeError as error:
        raise WrongWords(f"{path} is not in UTF-8 (byte {error.start}). Save it as UTF-8.") from error
    table = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        return _found(list(_rows(table, path.name, columns or {}, year)))
    except csv.Error as error:
        raise WrongWords(f"{path}, line {table.line_num}: this is no CSV ({error}).") from error


def bring_in(
    found: Found,
    book: Casebook,
    loaded: Loaded,
    *,
    author: str,
    made_at: datetime,
    progress: Progress | None = None,
) -> Imported:
    """Takes the notes into the casebook, in the order of their days."""
    there = {_key(_old(entry)) for entry in book.entries_all("note") if entry.body.get("imported")}
    taken, known, left = [], [], list(found.left)
    for number, note in enumerate(found.notes, start=1):
        if _key(note) in there:
            known.append(note.source)
        else:
            there.add(_key(note))
            outcome = _take(note, book, loaded, author, made_at)
            if isinstance(outcome, Left):
                left.append(outcome)
            else:
                taken.append((note.source, outcome))
        if progress:
            progress(number, len(found.notes))
    return Imported(taken=tuple(taken), known=tuple(known), left=tuple(left))


# ----------------------------------------------------------------------------- files


def _file(path: Path, source: str, year: int | None, names_are_fields: bool) -> OldNote | Left:
    if path.suffix.lower() not in _ENDINGS:
        return Left(source=source, why=f"only {' and '.join(_ENDINGS)} files are read")
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        return Left(source=source, why=f"cannot be read: {error.strerror}")
    except UnicodeDecodeError:
        return Left(source=source, why="not in UTF-8")
    if not text.strip():
        return Left(source=source, why="empty")
    in_name = dates_in(path.stem, year)
    on, why = the_one(in_name) if in_name else _of_first_line(text, year)
    if on is None:
        return Left(source=source, why=why)
    field = without(path.stem, in_name) if names_are_fields else ""
    return OldNote(source=source, on=on, text=text, field=field or None)


def _of_first_line(text: str, year: int | None) -> tuple[date | None, str]:
    """The day at the head of the first line; a date further on may be of planting, or anything."""
    line = next(line for line in text.splitlines() if line.strip())
    found = dates_in(line, year)
    if not found:
        return None, "no date in its name or first line"
    first: Written = found[0]
    if not heads(line, first):
        return None, f'no date in its name, and "{first.text}" does not stand at the head of its first line'
    return the_one((first,))


# ----------------------------------------------------------------------------- tables


def _rows(
    table: Iterator[list[str]], name: str, columns: Mapping[str, str], year: int | None
) -> Iterator[OldNote | Left]:
    places = _places(next(table, []), name, columns)
    for number, cells in enumerate(table, start=2):
        if any(cell.strip() for cell in cells):
            yield _row(cells, f"{name}, row {number}", places, year)


def _places(head: Sequence[str], name: str, columns: Mapping[str, str]) -> dict[str, int]:
    """Where each column stands.

    Raises:
        WrongWords: a column that was named, or is needed, is not there, or is there twice.
    """
    unknown = sorted(set(columns) - set(_COLUMNS))
    if unknown:
        raise WrongWords(f"{unknown[0]!r} is nothing to import; allowed are {', '.join(_COLUMNS)}.")
    there = [cell.strip().casefold() for cell in head]
    places = {}
    for what in _COLUMNS:
        wanted = columns.get(what, what)
        count = there.count(wanted.strip().casefold())
        if count == 1:
            places[what] = there.index(wanted.strip().casefold())
        elif count or what in columns or what in _NEEDED:
            is_there = "twice" if count else "not there"
            raise WrongWords(
                f'{name} needs one column "{wanted}" for the {what}; it is {is_there}. '
                f"Its columns: {', '.join(head) or 'none'}."
            )
    return places


def _row(cells: Sequence[str], source: str, places: Mapping[str, int], year: int | None) -> OldNote | Left:
    said = {what: cells[place].strip() if place < len(cells) else "" for what, place in places.items()}
    if not said["text"]:
        return Left(source=source, why="no words")
    found = dates_in(said["date"], year)
    on, why = the_one(found)
    if on is None:
        return Left(source=source, why=why if found else f'no date in "{said["date"]}"')
    return OldNote(
        source=source,
        on=on,
        text=said["text"],
        field=said.get("field") or None,
        author=said.get("author") or None,
    )


# ----------------------------------------------------------------------------- into the casebook


def _found(made: Sequence[OldNote | Left]) -> Found:
    notes = sorted((each for each in made if isinstance(each, OldNote)), key=lambda note: note.on)
    return Found(notes=tuple(notes), left=tuple(each for each in made if isinstance(each, Left)))


def _take(note: OldNote, book: Casebook, loaded: Loaded, author: str, made_at: datetime) -> str | Left:
    kept: list[Entry] = []
    said = Note(
        text=note.text,
        on=note.on,
        made_at=made_at,
        author=note.author or author,
        field=note.field,
        imported=True,
    )
    try:
        turn = take(said, book, loaded, recorded=kept.append)
    except AmbiguousField as error:
        return Left(source=note.source, why=str(error))
    except EarleafError as error:
        why = f"it is in the casebook, but has no answer yet: {error}" if kept else str(error)
        return Left(source=note.source, why=why)
    return turn.uid or ""


def _old(entry: Entry) -> OldNote:
    """The note as it was when it was brought in."""
    body = entry.first_body or entry.body
    field = body.get("field")
    return OldNote(
        source="", on=entry.about, text=str(body.get("text", "")), field=str(field) if field else None
    )


def _key(note: OldNote) -> OldNote:
    """What makes two notes the same: day, words and field."""
    return replace(note, source="", author=None, text=" ".join(note.text.split()))


__all__ = ["Found", "Imported", "Left", "OldNote", "Progress", "bring_in", "in_folder", "in_table"]
