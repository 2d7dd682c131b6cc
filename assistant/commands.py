"""The slash commands of the chat: name -> (what it does, the line that /help shows).

What is heavy is imported where it is used, so that the prompt shows at once.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable
from datetime import date
from importlib.resources import files
from typing import TYPE_CHECKING, NamedTuple

from rules.model import WrongWords

if TYPE_CHECKING:
    from assistant.conversation import Conversation
    from assistant.schema import EntryShape


class Leave(Exception):
    """The user wants to leave the chat."""


class Command(NamedTuple):
    """What a command does with the words after it, how it is written, and its line of help."""

    run: Callable[[Conversation, str], str]
    usage: str
    help: str


def run(line: str, talk: Conversation) -> str:
    """Runs a line that begins with a slash; returns what to show.

    Raises:
        WrongWords: if there is no such command, or its words are wrong.
        Leave: if the chat is to end.
    """
    name, _, argument = line.strip().partition(" ")
    if "\n" in name:
        name, _, argument = line.strip().partition("\n")
    command = COMMANDS.get(name.lower())
    if command is None:
        raise WrongWords(_unknown(name))
    return command.run(talk, argument.strip())


def _unknown(name: str) -> str:
    near = difflib.get_close_matches(name.lower(), COMMANDS, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    allowed = ", ".join(COMMANDS)
    return f"There is no command {name}.{hint} Commands: {allowed}. A note begins with anything but a slash."


# ----------------------------------------------------------------------------- about the last answer


def _last(talk: Conversation) -> list[EntryShape]:
    if not talk.answered:
        raise WrongWords("Nothing has been answered in this chat yet; say what you see first.")
    return talk.answered[-1].turn.answer.entries


def _each(talk: Conversation, tell: Callable[[EntryShape], str]) -> str:
    entries = _last(talk)
    if len(entries) == 1:
        return tell(entries[0])
    return "\n\n".join(f"{e.field or '(no field named)'}\n{tell(e)}" for e in entries)


def _why(talk: Conversation, argument: str) -> str:
    from assistant.answer import why
    from assistant.heard import heard

    if talk.fault:
        return f"The program failed here:\n{talk.fault}"
    tables = talk.lazy.get().tables if talk.answered else None
    return _each(talk, lambda e: f"{heard(e, tables)}\n{why(e, tables)}" if tables else "")


def _change(talk: Conversation, argument: str) -> str:
    from assistant.answer import changes

    return _each(talk, changes)


def _mind(talk: Conversation, argument: str) -> str:
    from assistant.answer import mind

    return _each(talk, lambda e: mind(e, talk.lazy.get().tables))


# ----------------------------------------------------------------------------- about the casebook


def _history(talk: Conversation, argument: str) -> str:
    from assistant.reports.history import history_words

    name = argument or talk.field_now
    if not name:
        raise WrongWords("Of which field? Say /history and its name.")
    book = talk.full_book()
    return history_words(book, book.field(name), talk.on)


def _due(talk: Conversation, argument: str) -> str:
    from assistant.reports.history import due_words

    return due_words(talk.full_book(), _day(argument) if argument else talk.on)


def _export(talk: Conversation, argument: str) -> str:
    from assistant.exporting import export

    return export(talk, argument)


# ----------------------------------------------------------------------------- putting right


def _correct(talk: Conversation, argument: str) -> str:
    if argument:
        return talk.correct(argument)
    talk.draft = f"/correct {talk.last_note().text}"
    return "Change the words of your last note and send them."


def _undo(talk: Conversation, argument: str) -> str:
    return talk.undo()


# ----------------------------------------------------------------------------- what a note speaks of


def _date(talk: Conversation, argument: str) -> str:
    talk.speak_of(None if argument.lower() in ("", "today") else _day(argument))
    if talk.set_day is None:
        return f"Notes speak of today, {talk.on.isoformat()}."
    return f"Notes from here on speak of {talk.on.isoformat()}; /date alone goes back to today."


def _field(talk: Conversation, argument: str) -> str:
    if not argument:
        named = talk.field_now
        return (
            f"A note that names no field belongs to {named}."
            if named
            else "No field is open; say /field and a name."
        )
    name = _known(talk, argument)
    last = talk.answered[-1].turn if talk.answered else None
    if last and not any(e.field for e in last.answer.entries):
        return talk.file_under(name)
    talk.turn_to(name)
    return f"Notes that name no field belong to {name} from here on."


def _known(talk: Conversation, said: str) -> str:
    """The full name of the field that is meant, or the words themselves for a new one."""
    from assistant.casebook.fields import Candidates, Exact, checked_name

    match = talk.book().match(said)
    if isinstance(match, Exact):
        return match.field.name
    if isinstance(match, Candidates):
        return talk.choose(said, [f.name for f in match.fields]) or checked_name(said)
    return checked_name(said)


def _day(said: str) -> date:
    try:
        return date.fromisoformat(said)
    except ValueError as error:
        raise WrongWords(f'"{said}" is no date; say it as YYYY-MM-DD, for example 2027-07-28.') from error


# ----------------------------------------------------------------------------- the chat itself


def _help(talk: Conversation, argument: str) -> str:
    if argument.lower() == "guide":
        return (files("assistant") / "guide.md").read_text(encoding="utf-8").rstrip()
    width = max(len(command.usage) for command in COMMANDS.values())
    lines = [f"  {command.usage:{width}}  {command.help}" for command in COMMANDS.values()]
    return "\n".join(["Anything that does not begin with a slash is a note.", "", *lines, "", _KEYS])


def _quit(talk: Conversation, argument: str) -> str:
    raise Leave


_KEYS = (
    "Enter sends. Alt-Enter, or a backslash at the end of the line, begins a new line. Tab completes fields "
    "and commands. Arrow up brings back what was said. Ctrl-C puts a line aside, Ctrl-D leaves: "
    "neither loses it."
)

#: Every command; the order is that of /help.
COMMANDS: dict[str, Command] = {
    "/why": Command(_why, "/why", "what the answer rests on, down to your words and the sources"),
    "/change": Command(_change, "/change", "what would change the answer"),
    "/mind": Command(_mind, "/mind", "every caution, with its source"),
    "/history": Command(_history, "/history [FIELD]", "all that is known of a field"),
    "/due": Command(_due, "/due [DATE]", "which fields wait for another look"),
    "/correct": Command(_correct, "/correct TEXT", "other words in place of your last note"),
    "/undo": Command(_undo, "/undo", "take back your last entry"),
    "/export": Command(
        _export,
        "/export [FORM] [FILE]",
        "the season log: csv or markdown on the screen, any form into a new file",
    ),
    "/date": Command(_date, "/date YYYY-MM-DD", "speak of another day from here on"),
    "/field": Command(_field, "/field NAME", "the field of notes that name none"),
    "/help": Command(_help, "/help [guide]", "this list, or the whole guide"),
    "/quit": Command(_quit, "/quit", "leave"),
}
