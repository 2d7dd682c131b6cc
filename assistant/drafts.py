"""A line that was begun and not sent, kept in a file beside the casebook until the next start."""

from __future__ import annotations

from pathlib import Path


class Draft:
    """The one line that waits; a file that is there only while a line is."""

    def __init__(self, file: Path) -> None:
        self._file = file

    def read(self) -> str:
        """The line that waits, or nothing."""
        try:
            return self._file.read_text(encoding="utf-8")
        except FileNotFoundError:
            return ""

    def write(self, text: str) -> None:
        """Keeps a line."""
        self._file.parent.mkdir(parents=True, exist_ok=True)
        self._file.write_text(text, encoding="utf-8", errors="replace")

    def drop(self) -> None:
        """The line has been sent."""
        self._file.unlink(missing_ok=True)
