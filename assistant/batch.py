"""Many notes at once: JSON Lines in, JSON Lines out, in the same order.

Notes that are not to be kept do not see each other, unless they share a ``case``;
so one process or several give the same lines.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from assistant.book import Book, Fleeting
from assistant.joining import Open
from assistant.loaded import Loaded, load
from assistant.schema import to_dict
from assistant.turn import Note, take
from assistant.waiting import open_question
from rules.model import EarleafError, WrongWords

_KEYS = ("id", "text", "date", "field", "case")


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What was asked for: the bytes, today, who and when, in how many processes."""

    data: bytes
    today: date
    made_at: datetime
    author: str
    jobs: int = 1
    fleeting: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One line of input: its number from 1, and what stands on it."""

    number: int
    words: bytes


def run(batch: Batch, book: Book, write: Callable[[str], None], *, progress: bool = False) -> int:
    """Answers every line in order; returns how many were bad."""
    lines = [Line(n, words) for n, words in enumerate(batch.data.split(b"\n"), start=1) if words.strip()]
    bad = 0
    answers = _parallel(batch, lines) if batch.jobs > 1 else _serial(batch, lines, book)
    with _Bar(len(lines)) if progress else nullcontext() as advance:
        for answer in answers:
            bad += "error" in answer
            write(json.dumps(answer, ensure_ascii=False, separators=(",", ":")))
            if advance:
                advance()
    return bad


def _serial(batch: Batch, lines: Sequence[Line], book: Book) -> Iterator[dict[str, Any]]:
    loaded = load()
    opens: dict[str, Open] = {}
    shared: dict[str, Book] = {}
    for line in lines:
        yield _answer(batch, line, book, loaded, opens, shared)


def _parallel(batch: Batch, lines: Sequence[Line]) -> Iterator[dict[str, Any]]:
    """Lines of one case go to one process, whole; the answers come back in the order of the lines."""
    groups: dict[str, list[Line]] = {}
    for line in lines:
        groups.setdefault(_case_of(line) or f"line {line.number}", []).append(line)
    with ProcessPoolExecutor(batch.jobs) as pool:
        made = list(pool.map(_group, ((batch, tuple(g)) for g in groups.values()), chunksize=8))
    by_number = {number: answer for group in made for number, answer in group}
    yield from (by_number[line.number] for line in lines)


def _case_of(line: Line) -> str | None:
    case = _key_of(line, "case")
    return case if isinstance(case, str) else None


def _key_of(line: Line, key: str) -> object:
    """What stands under the key, as far as the line can be read at all."""
    try:
        raw = json.loads(line.words)
    except (ValueError, RecursionError):
        return None
    return raw.get(key) if isinstance(raw, dict) else None


@cache
def _loaded() -> Loaded:
    return load()


def _group(job: tuple[Batch, tuple[Line, ...]]) -> list[tuple[int, dict[str, Any]]]:
    batch, lines = job
    opens: dict[str, Open] = {}
    shared: dict[str, Book] = {}
    book = Fleeting()
    return [(line.number, _answer(batch, line, book, _loaded(), opens, shared)) for line in lines]


def _answer(
    batch: Batch, line: Line, book: Book, loaded: Loaded, opens: dict[str, Open], shared: dict[str, Book]
) -> dict[str, Any]:
    name = _key_of(line, "id")
    name = line.number if name is None else name
    try:
        raw = _read(line)
        place = _own_book(book, raw.get("case"), shared) if batch.fleeting else book
        return {"id": name, "answer": _take(batch, raw, place, loaded, opens)}
    except EarleafError as error:
        return {
            "id": name,
            "error": {"code": type(error).__name__, "message": f"line {line.number}: {error}"},
        }


def _own_book(book: Book, case: str | None, shared: dict[str, Book]) -> Book:
    """A book of its own for each fleeting note; notes of one case share one."""
    behind = book.behind if isinstance(book, Fleeting) else book
    if case is None:
        return Fleeting(behind)
    return shared.setdefault(case, Fleeting(behind))


def _take(
    batch: Batch, raw: Mapping[str, Any], book: Book, loaded: Loaded, opens: dict[str, Open]
) -> dict[str, Any]:
    case = raw.get("case")
    waiting = opens.get(case) if case else None
    if case and waiting is None and book.case(case) is not None:
        waiting = open_question(book, case, loaded.tables)
    on = date.fromisoformat(raw["date"]) if "date" in raw else batch.today
    known = waiting.case if waiting else None
    note = Note(
        text=raw["text"],
        on=on,
        made_at=batch.made_at,
        author=batch.author,
        field=raw.get("field"),
        case=known,
    )
    turn = take(note, book, loaded, open_case=waiting)
    if case and turn.open:
        opens[case] = turn.open
    return to_dict(turn.answer)


def _read(line: Line) -> dict[str, Any]:
    """The line as a checked object.

    Raises:
        WrongWords: saying what is wrong with it and what is allowed.
    """
    try:
        raw = json.loads(line.words)
    except (ValueError, RecursionError) as error:
        raise WrongWords(f"this is no JSON: {error}") from error
    if not isinstance(raw, dict):
        raise WrongWords("a line is one object with the key text")
    unknown = sorted(set(raw) - set(_KEYS))
    if unknown:
        raise WrongWords(f"unknown key {unknown[0]!r}; allowed: {', '.join(_KEYS)}")
    if not isinstance(raw.get("text"), str) or not raw["text"].strip():
        raise WrongWords("text must be there, and be words")
    for key in ("date", "field", "case"):
        if raw.get(key) is None:
            raw.pop(key, None)
        elif not isinstance(raw[key], str):
            raise WrongWords(f"{key} must be text")
    if "date" in raw:
        try:
            date.fromisoformat(raw["date"])
        except ValueError as error:
            raise WrongWords(f"date {raw['date']!r} is no date; say it as YYYY-MM-DD") from error
    return raw


class _Bar:
    """A progress bar on standard error."""

    def __init__(self, total: int) -> None:
        from rich.console import Console
        from rich.progress import Progress

        self._progress = Progress(console=Console(stderr=True))
        self._task = self._progress.add_task("notes", total=total)

    def __enter__(self) -> Callable[[], None]:
        self._progress.start()
        return lambda: self._progress.advance(self._task)

    def __exit__(self, *_: object) -> None:
        self._progress.stop()


__all__ = ["Batch", "Line", "run"]
