"""The chat at the terminal: the prompt, its keys, its history.  The door to prompt_toolkit."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.input import Input
from prompt_toolkit.output import Output

from assistant.chat_prompt import FieldNames, History, keys
from assistant.commands import Leave, run
from assistant.drafts import Draft
from assistant.hangup import on_hangup
from assistant.loaded import Lazy, Loaded, load
from rules.model import EarleafError, WrongWords

if TYPE_CHECKING:
    from assistant.conversation import Conversation

_GREETING = "earleaf. Say what you see in the field. /help lists the commands, Ctrl-D leaves."
_PUT_ASIDE = "Put aside; arrow up brings it back."
_HOW_TO_LEAVE = "Ctrl-D or /quit leaves."
#: Most letters of a field name in the prompt.
_LABEL = 30
_KEPT = "The line that you had begun is kept; it comes back at the next start."


def _clock() -> datetime:
    return datetime.now().astimezone()


def chat(
    path: Path,
    *,
    author: str,
    input: Input | None = None,
    output: Output | None = None,
    now: Callable[[], datetime] = _clock,
    build: Callable[[], Loaded] = load,
) -> None:
    """Talks with the user until they leave.

    Args:
        path: the casebook; made with the first note.  History and draft lie beside it.
        author: who speaks.
        input: where keys come from (the terminal).
        output: where text goes (the terminal).
        now: the clock.
        build: makes the heavy parts; runs in a thread behind the prompt.

    Raises:
        WrongWords: if there is no terminal to talk at.
    """
    if input is None and not sys.stdin.isatty():
        raise WrongWords(
            "The chat needs a terminal. For one note use: earleaf note -, for many: earleaf batch -."
        )
    lazy = Lazy(lambda: _warmed(build))
    lazy.start()
    _Chat(path, author, now, lazy, input, output).talk()
    # A thread that is cut short in the middle of an import can take the interpreter down with it.
    lazy.wait()


def _warmed(build: Callable[[], Loaded]) -> Loaded:
    """Builds the heavy parts, and imports what the first line will need."""
    import assistant.conversation  # noqa: F401

    return build()


class _Chat:
    """One chat at one terminal."""

    def __init__(
        self,
        path: Path,
        author: str,
        now: Callable[[], datetime],
        lazy: Lazy[Loaded],
        input: Input | None,
        output: Output | None,
    ) -> None:
        self._path, self._author, self._now, self._lazy = path, author, now, lazy
        self._known: Conversation | None = None
        self._draft = Draft(path.with_name(path.name + ".draft"))
        self._history = History(path.with_name(path.name + ".history"))
        self._session: PromptSession[str] = PromptSession(
            multiline=True,
            key_bindings=keys(),
            history=self._history,
            completer=FieldNames(self._field_names),
            complete_while_typing=False,
            prompt_continuation=lambda width, number, wrapped: "" if wrapped else ". ",
            input=input,
            output=output,
        )
        self._which: PromptSession[str] = PromptSession(input=input, output=output)

    def talk(self) -> None:
        """Prompt after prompt, until the user leaves."""
        self._say(_GREETING, laid=False)
        with on_hangup(self._leave_prompt):
            try:
                while (line := self._line()) is not None:
                    if line.strip() and not self._heard(line):
                        break
            finally:
                if self._known:
                    self._known.close()

    # ------------------------------------------------------------------ one line

    def _line(self) -> str | None:
        """The next line; None when the user leaves.  Nothing typed is lost on the way out."""
        begun = self._begun()
        try:
            line = self._session.prompt(FormattedText([("bold", self._label())]), default=begun)
        except KeyboardInterrupt:
            self._put_aside(self._session.default_buffer.text)
            return ""
        except (EOFError, OSError):  # an OSError: the terminal itself is gone, and nobody is there to be told
            self._keep(self._session.default_buffer.text)
            return None
        self._draft.drop()
        # What is no text in any encoding cannot be kept in a file either.
        return line.encode("utf-8", "replace").decode("utf-8")

    def _begun(self) -> str:
        """What stands in the prompt already: words that could not be taken, or a line from the last time."""
        if self._known is None:
            return self._begun_before()
        words, self._known.draft = self._known.draft, ""
        return words

    def _begun_before(self) -> str:
        try:
            return self._draft.read()
        except OSError as error:
            self._say(f"The line that was begun the last time cannot be read: {error.strerror}.")
            return ""

    def _label(self) -> str:
        if self._known is None:
            return "note: "
        day = self._known.set_day
        parts = [(self._known.field_now or "note")[:_LABEL], *([day.isoformat()] if day else [])]
        return "".join(c if c.isprintable() else " " for c in ", ".join(parts)) + ": "

    def _put_aside(self, text: str) -> None:
        if text.strip():
            self._history.append_string(text)
            self._say(_PUT_ASIDE)
        else:
            self._say(_HOW_TO_LEAVE)

    def _keep(self, text: str) -> None:
        if not text.strip():
            return
        try:
            self._draft.write(text)
            self._say(_KEPT)
        except (
            OSError
        ) as error:  # neither the disk nor, perhaps, the terminal: try to show the words at least
            print(f"The line that you had begun could not be kept ({error}): {text!r}", file=sys.stderr)

    def _heard(self, line: str) -> bool:
        """Does what the line asks for and shows it; False when the user leaves."""
        try:
            answer = self._answer(line)
            # A long answer stands apart from the next prompt.
            self._say(f"{answer}\n" if "\n" in answer else answer)
            self._say_beside()
        except Leave:
            return False
        except KeyboardInterrupt:
            self._say("Interrupted.")
        return True

    def _answer(self, line: str) -> str:
        talk = self._conversation()
        try:
            return run(line, talk) if line.lstrip().startswith("/") else talk.note(line)
        except EarleafError as error:
            return str(error)
        except Leave:
            raise
        except Exception as error:  # a fault of one command must not end the chat; /why shows it
            return f"That did not work: {talk.in_words(error)}"

    # ------------------------------------------------------------------ services

    def _leave_prompt(self) -> bool:
        """Ends the prompt as Ctrl-D would; False where no prompt is waiting."""
        app = self._session.app
        if not app.is_running or app.loop is None:
            return False
        app.loop.call_soon_threadsafe(lambda: None if app.is_done else app.exit(exception=EOFError))
        return True

    def _conversation(self) -> Conversation:
        """The conversation; its imports are made when the first line is there."""
        if self._known is None:
            from assistant.conversation import Conversation

            self._known = Conversation(
                self._path, author=self._author, now=self._now, lazy=self._lazy, choose=self._choose
            )
        return self._known

    def _field_names(self) -> Sequence[str]:
        talk = self._conversation()
        try:
            return talk.known_fields()
        except EarleafError as error:
            talk.remark(str(error))
            return ()

    def _choose(self, said: str, names: Sequence[str]) -> str | None:
        """Asks which known field a name means; None for a new one."""
        from assistant.picking import pick

        return pick(said, names, ask=self._which.prompt, say=self._say)

    def _say_beside(self) -> None:
        if self._history.trouble:
            self._say(self._history.trouble)
            self._history.trouble = ""
        remarks = self._known.remarks() if self._known else ""
        if remarks:
            self._say(remarks)

    def _say(self, text: str, *, laid: bool = True) -> None:
        output = self._session.output
        if laid:
            from assistant.screen import laid_out

            text = laid_out(text, output.get_size().columns)
        print_formatted_text(text, output=output)
