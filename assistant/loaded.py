"""The heavy parts of the program, made once: the knowledge, the rules, the reader."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from assistant.reading.reader import Reader
    from rules.consult import Consultant
    from rules.tables import Tables

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What an answer is made with; ``knowledge`` is the hash of tables, words and rules."""

    tables: Tables
    consultant: Consultant
    reader: Reader
    knowledge: str


def load() -> Loaded:
    """Builds everything; takes about a second, most of it importing spaCy.

    Raises:
        EarleafError: if a table is broken or the rule engine is not usable.
    """
    from assistant.reading.reader import build
    from rules.consult import consultant
    from rules.tables import fingerprint
    from rules.tables import load as load_tables

    made = consultant()
    return Loaded(
        tables=load_tables(),
        consultant=made,
        reader=build(),
        knowledge=fingerprint(files("assistant.reading") / "words"),
    )


class Lazy(Generic[T]):
    """A value built in a background thread; an error in the building surfaces at :meth:`get`."""

    def __init__(self, build: Callable[[], T]) -> None:
        self._build = build
        self._thread: threading.Thread | None = None
        self._value: T | None = None
        self._error: BaseException | None = None

    def start(self) -> None:
        """Begins building, unless it has begun; call from one thread only."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="earleaf-load", daemon=True)
            self._thread.start()

    def _run(self) -> None:
        try:
            self._value = self._build()
        except BaseException as error:  # must reach the user at the first note, not die in the thread
            self._error = error

    def wait(self) -> None:
        """Waits until the building has ended, well or badly, if it has begun."""
        if self._thread is not None:
            self._thread.join()

    def get(self) -> T:
        """The value, waiting for it if need be; raises what the building raised."""
        self.start()
        assert self._thread is not None
        self._thread.join()
        if self._error is not None:
            raise self._error
        assert self._value is not None
        return self._value
