"""The reader and the measured notes, shared by the tests of reading."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from functools import cache
from pathlib import Path

from assistant.reading.reader import Reader, build
from rules.model import Fact, Scene, Status

ON = date(2026, 7, 28)
_MARKS = {Status.PRESENT: "", Status.ABSENT: "-", Status.NOT_CHECKED: "!", Status.CANNOT_TELL: "~"}


@cache
def reader() -> Reader:
    """One reader for all tests."""
    return build()


def read(text: str, on: date = ON) -> tuple[Scene, ...]:
    """The scenes of a note."""
    return reader().read(text, on=on)


def only(text: str, on: date = ON) -> Scene:
    """The one scene of a note that speaks of one field."""
    (scene,) = read(text, on)
    return scene


def plain(fact: Fact) -> str:
    """A fact as the measured notes write it: ``attribute=value`` with its marks."""
    value: object = fact.value
    if value is True:
        value = "yes"
    elif isinstance(value, tuple):
        value = f"{value[0]:g}..{value[1]:g}"
    return f"{fact.attribute}={value}{_MARKS[fact.status]}{'?' if fact.hedged else ''}"


def told(scenes: Iterable[Scene]) -> list[str]:
    """Every fact of the scenes but the derived ones."""
    return [plain(fact) for scene in scenes for fact in scene.facts if not fact.derived]


def measured() -> Iterator[tuple[str, list[str]]]:
    """The measured notes with the facts that they state."""
    rows = Path(__file__).with_name("notes_measured.txt").read_text(encoding="utf-8").splitlines()
    lines = [row for row in rows if not row.startswith("#")]
    for note, facts in zip(lines[::2], lines[1::2], strict=True):
        yield (
            note.replace(" / ", "\n"),
            [f for f in facts.strip().removeprefix("||").strip().split("; ") if f],
        )
