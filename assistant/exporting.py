"""The chat's /export: the season log on the screen, or into a file that was not there before."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from assistant.conversation import Conversation
from assistant.reports.export import FORMS, write
from rules.model import WrongWords

#: The forms that are text for a person; the others need a file.
_ON_SCREEN = ("csv", "markdown")
_BY_ENDING = {f".{ending}": form for form, ending in FORMS.items()}


def export(talk: Conversation, argument: str) -> str:
    """The log of the year that is spoken of; ``argument`` is [FORM] [FILE].

    Raises:
        WrongWords: if the form needs a file, or the file is there already.
        EarleafError: if the file cannot be written.
    """
    form, name = _asked(argument)
    if not name:
        return _shown(talk, form)
    file = Path(name).expanduser()
    if file.exists() or file.is_symlink():
        raise WrongWords(f"There is a file {file} already, and it is left as it is; name another.")
    lines = write(talk.full_book(), form, file, year=talk.on.year, on=talk.on)
    return f"{lines} lines of the season {talk.on.year} written to {file} ({form})."


def _shown(talk: Conversation, form: str) -> str:
    if form not in _ON_SCREEN:
        raise WrongWords(f"A season as {form} is no text for the screen; name a file: /export {form} FILE")
    made = BytesIO()
    write(talk.full_book(), form, made, year=talk.on.year, on=talk.on)
    return made.getvalue().decode().replace("\r\n", "\n").rstrip()


def _asked(argument: str) -> tuple[str, str]:
    """The form and the file name; where no form is given, the ending of the name says it, else Markdown."""
    first, _, rest = argument.partition(" ")
    if first.lower() in FORMS:
        return first.lower(), rest.strip()
    return _BY_ENDING.get(Path(argument).suffix.lower(), "markdown"), argument
