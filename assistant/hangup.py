"""A terminal that is closed, or a polite kill: the prompt ends as with Ctrl-D, and a begun line is kept."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

_SIGNALS = [s for name in ("SIGHUP", "SIGTERM") if (s := getattr(signal, name, None)) is not None]


@contextmanager
def on_hangup(leave: Callable[[], bool]) -> Iterator[None]:
    """While inside, a hang-up or a kill calls ``leave``; where that returns False it kills as ever."""

    def heard(number: int, frame: FrameType | None) -> None:
        del frame
        if not leave():
            signal.signal(number, signal.SIG_DFL)
            os.kill(os.getpid(), number)

    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may say what a signal does
        return
    before = {number: signal.signal(number, heard) for number in _SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
