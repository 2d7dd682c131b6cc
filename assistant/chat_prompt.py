"""What the prompt is made of: its history, its completion, its keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.history import FileHistory
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent

from assistant.commands import COMMANDS
from assistant.completion import endings


class History(FileHistory):
    """What was said, in a file beside the casebook; where that cannot be written, in memory."""

    def __init__(self, file: Path) -> None:
        super().__init__(str(file))
        self._file = file
        self.trouble = ""

    def load_history_strings(self) -> Iterable[str]:
        """Newest first."""
        try:
            yield from super().load_history_strings()
        except OSError as error:
            self.trouble = f"The history {self._file} cannot be read: {error.strerror}."

    def store_string(self, string: str) -> None:
        """Adds a line to the file."""
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            super().store_string(string.encode("utf-8", "replace").decode("utf-8"))
        except OSError as error:
            self.trouble = f"The history {self._file} cannot be written: {error.strerror}."


class FieldNames(Completer):
    """Completes commands and the names of known fields."""

    def __init__(self, names: Callable[[], Sequence[str]]) -> None:
        self._names = names

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:
        """Ways to go on from what stands before the cursor."""
        for ending in endings(document.text_before_cursor, COMMANDS, self._names()):
            yield Completion(ending.text, start_position=-ending.length)


def keys() -> KeyBindings:
    """Enter sends; Alt-Enter, or Enter after a backslash, begins a new line; Ctrl-D leaves."""
    bound = KeyBindings()

    @bound.add("enter")
    def _enter(event: KeyPressEvent) -> None:
        buffer = event.current_buffer
        if buffer.complete_state and buffer.complete_state.current_completion:
            buffer.complete_state = None
        elif buffer.document.is_cursor_at_the_end and buffer.text.endswith("\\"):
            buffer.delete_before_cursor()
            buffer.newline(copy_margin=False)
        else:
            buffer.validate_and_handle()

    @bound.add("escape", "enter")
    def _alt_enter(event: KeyPressEvent) -> None:
        event.current_buffer.newline(copy_margin=False)

    @bound.add("c-d")
    def _ctrl_d(event: KeyPressEvent) -> None:
        event.app.exit(exception=EOFError)

    return bound
