"""Merging the casebooks of several people.

A casebook hands out a bundle (see :mod:`assistant.casebook.bundle` for the format), and takes in
others'.  Entries are only ever added.  Taking in the same bundle twice adds nothing; in whatever
order and grouping bundles are taken in, the same entries end up in the same order, with the same
fields.  Fields that two people made under one name become one: the first made stands, and its
names are all kept.  What was derived has to be derived again where ``to_derive`` says so.
"""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from assistant.casebook.book import Casebook
from assistant.casebook.bundle import from_bytes, to_bytes
from assistant.casebook.conflicts import Conflict, conflicts
from assistant.casebook.errors import in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A field that was made more than once: what it was called, by whom, and the field that it is now."""

    name: str
    author: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeReport:
    """What a merge did: entries added by author, fields joined, matters to settle, notes to derive."""

    added: int
    known: int
    authors: tuple[tuple[str, int], ...]
    joined: tuple[Joined, ...]
    conflicts: tuple[Conflict, ...]
    to_derive: tuple[str, ...]


def write_bundle(book: Casebook, out: Path) -> int:
    """Writes the whole journal to a file, all of it or nothing; returns the number of entries.

    Raises:
        CasebookUnreachable: the file cannot be written.
    """
    entries = book.journal()
    try:
        _write_whole(out, to_bytes(entries))
    except OSError as error:
        raise in_words(error, str(out)) from error
    return len(entries)


def merge(book: Casebook, bundle: Path) -> MergeReport:
    """Takes a bundle into the casebook.

    Raises:
        BadBundle: the file is no bundle, or not a whole one; nothing was taken in.
        BadEntry: it holds another version of an entry, or refers to one that is nowhere; likewise.
        CasebookUnreachable: the file cannot be read.
    """
    try:
        data = bundle.read_bytes()
    except OSError as error:
        raise in_words(error, str(bundle)) from error
    before = {entry.uid for entry, _ in book.same_fields()}
    brought = book.bring_in(from_bytes(data, str(bundle)))
    new = set(brought.new)
    return MergeReport(
        added=len(new),
        known=brought.known,
        authors=_authors(book, new),
        joined=tuple(
            Joined(name=str(entry.body["name"]), author=entry.author, now=field.name)
            for entry, field in book.same_fields()
            if entry.uid not in before
        ),
        conflicts=conflicts(book),
        to_derive=book.not_derived(),
    )


def _authors(book: Casebook, new: set[str]) -> tuple[tuple[str, int], ...]:
    counted: dict[str, int] = {}
    for entry in book.journal():
        if entry.uid in new:
            counted[entry.author] = counted.get(entry.author, 0) + 1
    return tuple(sorted(counted.items()))


def _write_whole(out: Path, data: bytes) -> None:
    out.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{out.name}.", dir=out.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, out)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


__all__ = ["Conflict", "Joined", "MergeReport", "merge", "write_bundle"]
