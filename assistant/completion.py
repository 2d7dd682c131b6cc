"""What the words before the cursor may become: a command, the name of a known field, an export form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

#: Commands whose argument is a field.
_TAKES_FIELD = ("/field", "/history")
_FORMS = ("csv", "geojson", "html", "ics", "json", "markdown", "pdf", "xlsx")
_SHORTEST = 2
_MOST_WORDS = 5


@dataclass(frozen=True, slots=True)
class Ending:
    """A way to go on: ``text`` takes the place of the last ``length`` characters."""

    text: str
    length: int


def endings(before: str, commands: Iterable[str], fields: Sequence[str]) -> list[Ending]:
    """Every way to go on from the text before the cursor, in order."""
    if before.startswith("/"):
        command, space, argument = before.partition(" ")
        if not space:
            return [Ending(c, len(before)) for c in sorted(commands) if c.startswith(before.lower())]
        if command.lower() in _TAKES_FIELD:
            return _named(argument, fields)
        if command.lower() == "/export":
            return [Ending(f, len(argument)) for f in _FORMS if f.startswith(argument.lower())]
    return _within(before, fields)


def _named(begun: str, fields: Sequence[str]) -> list[Ending]:
    return [Ending(f, len(begun)) for f in sorted(fields) if f.lower().startswith(begun.lower())]


def _within(before: str, fields: Sequence[str]) -> list[Ending]:
    """Fields whose name begins with the last words; the longest run of words that fits decides."""
    line = before.rsplit("\n", 1)[-1]
    starts = [0, *(i + 1 for i, c in enumerate(line) if c == " ")][-_MOST_WORDS:]
    for start in starts:
        begun = line[start:]
        found = _named(begun, fields) if len(begun.strip()) >= _SHORTEST else []
        if found:
            return found
    return []
