"""Photographs: where each lies, when it was taken, and a checksum to know it by; nothing is copied."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime
from pathlib import Path

from assistant.casebook.book import Casebook
from assistant.casebook.errors import BadEntry, in_words
from assistant.casebook.rows import Entry, Field
from assistant.deed import By, written


def photograph(
    book: Casebook,
    by: By,
    field: Field,
    on: date,
    path: Path,
    *,
    taken_at: datetime | None = None,
    text: str = "",
) -> Entry:
    """Writes down that there is a picture, where it lies and its checksum; nothing is copied.

    Without ``taken_at`` the file's own time stands for it.

    Raises:
        CasebookUnreachable: there is no such file, or it cannot be read.
    """
    try:
        when = taken_at or datetime.fromtimestamp(path.stat().st_mtime, UTC)
        checksum = _checksum(path)
    except OSError as error:
        raise in_words(error, str(path)) from error
    if when.utcoffset() is None:
        raise BadEntry("The time of a photograph needs an offset from UTC.")
    body = {
        "text": text or f"Photograph {path.name}.",
        "path": str(path.absolute()),
        "sha256": checksum,
        "taken_at": when.astimezone(UTC).isoformat(),
        "time_from": "given" if taken_at else "file",
    }
    return written(book, by, field, on, "photograph", body)


def picture(entry: Entry) -> str:
    """What became of a photograph: ``same``, ``changed`` since it was written down, or ``gone``."""
    path = Path(str(entry.body["path"]))
    try:
        return "same" if _checksum(path) == entry.body["sha256"] else "changed"
    except FileNotFoundError:
        return "gone"
    except OSError as error:
        raise in_words(error, str(path)) from error


def _checksum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
