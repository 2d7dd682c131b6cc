"""The chat's /export: the season log on the screen, or into a file that was not there before."""

from __future__ import annotations

from pathlib import Path

from assistant.conversation import Conversation
from assistant.reports.log import season_csv, season_markdown
from rules.model import WrongWords

_FORMS = ("csv", "markdown")


def export(talk: Conversation, argument: str) -> str:
    """The log of the year that is spoken of; ``argument`` is [csv|markdown] [FILE].

    Raises:
        WrongWords: if the file is there already, or cannot be written.
    """
    form, name = _asked(argument)
    year = talk.on.year
    rows = talk.full_book().season(year)
    text = season_csv(rows) if form == "csv" else season_markdown(rows, f"Season {year}")
    if not name:
        return text.rstrip()
    _write(Path(name).expanduser(), text)
    return f"{len(rows)} lines of the season {year} written to {name}."


def _asked(argument: str) -> tuple[str, str]:
    """The form and the file name; a name that ends in .csv says its form itself."""
    first, _, rest = argument.partition(" ")
    if first.lower() in _FORMS:
        return first.lower(), rest.strip()
    return ("csv" if argument.lower().endswith(".csv") else "markdown"), argument


def _write(file: Path, text: str) -> None:
    try:
        with file.open("x", encoding="utf-8", newline="") as out:
            out.write(text)
    except FileExistsError as error:
        raise WrongWords(f"There is a file {file} already, and it is left as it is; name another.") from error
    except OSError as error:
        raise WrongWords(f"{file} cannot be written: {error.strerror or error}") from error
