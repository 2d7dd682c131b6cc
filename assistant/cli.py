"""The commands.  Heavy imports are made where they are needed, so that --help and reports start at once."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant import __version__, cli_done, cli_keep, cli_reports
from assistant.cli_common import DAY, author, casebook_option, now, path_of, reading, writing

if TYPE_CHECKING:
    pass

_WRONG_WORDS = 2
_FAILED = 1


class _Group(click.Group):
    """Turns the program's own errors into one sentence and an exit status."""

    def invoke(self, ctx: click.Context) -> Any:
        from rules.model import EarleafError, WrongWords

        try:
            return super().invoke(ctx)
        except EarleafError as error:
            click.echo(f"earleaf: {error}", err=True)
            wrong = isinstance(error, WrongWords | _wrong_words())
            ctx.exit(_WRONG_WORDS if wrong else _FAILED)
        except BrokenPipeError:
            sys.stderr.close()
            ctx.exit(_FAILED)


def _wrong_words() -> Any:
    from assistant.casebook import errors as e

    return (
        e.BadEntry
        | e.UnknownCase
        | e.UnknownField
        | e.UnknownEntry
        | e.AmbiguousField
        | e.NameTaken
        | e.NoCasebook
    )


@click.group(
    cls=_Group, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.option("--casebook", metavar="PATH", help="Use this casebook (or set EARLEAF_CASEBOOK).")
@click.version_option(__version__, prog_name="earleaf")
@click.pass_context
def main(ctx: click.Context, casebook: str | None) -> None:
    """Field notes on corn in, the right call out.  Without a command: the chat."""
    ctx.obj = casebook
    _no_stranger()
    if ctx.invoked_subcommand is None:
        from assistant.chat import chat

        chat(path_of(casebook), author=author())


def _no_stranger() -> None:
    """Refuses to run on another distribution's package of the name ``rules``.

    The names are generic; earleaf is meant for an environment of its own.
    """
    from importlib.resources import files

    from rules.model import EarleafError

    if not (files("rules") / "knowledge" / "attributes.toml").is_file():
        raise EarleafError(
            "Another package named 'rules' stands in earleaf's place; "
            "install earleaf in an environment of its own."
        )


def _stdin() -> str:
    return sys.stdin.buffer.read().decode("utf-8", errors="replace")


@main.command(context_settings={"ignore_unknown_options": True})
@click.argument("text", required=False)
@click.option("--field", help="The field that the note speaks of.")
@click.option("--date", "on", type=DAY, help="The day that the note speaks of (today).")
@click.option("--case", help="Join the open question of this case.")
@click.option("--json", "as_json", is_flag=True, help="Answer as one line of JSON.")
@click.option("--no-save", is_flag=True, help="Write nothing anywhere.")
@casebook_option
@click.pass_obj
def note(
    given: str | None, text: str | None, field: str | None, on: date | None, case: str | None, as_json: bool,
    no_save: bool, own: str | None,
) -> None:  # fmt: skip
    """Take one note (TEXT, or - for standard input) and answer it."""
    from assistant.answer import told
    from assistant.loaded import load
    from assistant.schema import to_json
    from assistant.turn import Note, take
    from assistant.waiting import open_question
    from rules.model import WrongWords

    words = _stdin() if text == "-" or (text is None and not sys.stdin.isatty()) else text
    if words is None or not words.strip():
        raise WrongWords("There is no note: give the words, or - to read them from standard input.")
    loaded = load()
    with writing(own or given, save=not no_save) as book:
        made = Note(text=words, on=on or now().date(), made_at=now(), author=author(), field=field, case=case)
        waiting = open_question(book, case, loaded.tables) if case else None
        turn = take(made, book, loaded, open_case=waiting)
    click.echo(to_json(turn.answer) if as_json else told(turn, loaded.tables))


@main.command()
@click.argument("file", type=click.Path(dir_okay=False, allow_dash=True))
@click.option("--no-save", is_flag=True, help="Write nothing anywhere.")
@click.option(
    "--jobs", type=click.IntRange(min=1), default=1, show_default=True, help="Processes; needs --no-save."
)
@casebook_option
@click.pass_obj
def batch(given: str | None, file: str, no_save: bool, jobs: int, own: str | None) -> None:
    """Notes as JSON Lines in, answers as JSON Lines out, in the same order."""
    from assistant.batch import Batch, run
    from rules.model import WrongWords

    if jobs > 1 and not no_save:
        raise WrongWords("--jobs above 1 needs --no-save: only one process writes the casebook.")
    try:
        data = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
    except OSError as error:
        raise WrongWords(f"{file} cannot be read: {error.strerror}") from error
    asked = Batch(data=data, today=now().date(), made_at=now(), author=author(), jobs=jobs, fleeting=no_save)
    with writing(own or given, save=not no_save) as book:
        bad = run(
            asked, book, lambda line: click.echo(line), progress=sys.stderr.isatty() and sys.stdout.isatty()
        )
    if bad:
        sys.exit(_WRONG_WORDS)


@main.command()
@click.argument("file", required=False, type=click.Path(dir_okay=False))
@casebook_option
@click.pass_obj
def labels(given: str | None, file: str | None, own: str | None) -> None:
    """Put the labels of FILE (TOML or CSV, typed in from the labels in hand) on the shelf, or list it."""
    from assistant.labels import put, read, shelf, shelf_rules

    if file:
        typed = read(Path(file), shelf_rules())
        with writing(own or given, save=True) as book:
            for label in typed:
                put(book, label, author=author(), made_at=now(), about=now().date())
        click.echo(f"{len(typed)} labels are on the shelf now.")
        return
    with reading(own or given) as kept:
        for label in shelf(kept):
            inside = ", ".join(label.active_ingredients or ()) or "what is in it was not typed in"
            click.echo(f"{label.name}: {inside}")


@main.command()
@click.option("--report", "as_report", is_flag=True, help="Say what the knowledge holds and what it lacks.")
@casebook_option
@click.pass_obj
def check(given: str | None, as_report: bool, own: str | None) -> None:
    """Check the knowledge tables and the casebook; every fault is listed."""
    from assistant.checking import faults

    if as_report:
        from rules.report import report
        from rules.tables import load

        click.echo(report(load()))
        return
    found = faults(path_of(own or given))
    for fault in found:
        click.echo(str(fault))
    click.echo(f"{len(found)} faults" if found else "No fault found.", err=bool(found))
    if found:
        sys.exit(_FAILED)


@main.command()
def schema() -> None:
    """Print the JSON Schema of an answer."""
    import json

    from assistant.schema import json_schema

    click.echo(json.dumps(json_schema(), indent=2))


@main.command()
@click.option("--all", "everything", is_flag=True, help="Show every answer, not a choice of them.")
def tour(everything: bool) -> None:
    """Run the demo season into a temporary casebook and show what comes out."""
    from assistant.tour import tour as run

    run(click.echo, made_at=now(), everything=everything)


for command in (
    cli_reports.history,
    cli_reports.due,
    cli_reports.season,
    cli_reports.page,
    cli_reports.picture,
    cli_done.sprayed,
    cli_done.sample,
    cli_done.result,
    cli_done.harvested,
    cli_done.agreement,
    cli_keep.backup,
    cli_keep.restore,
    cli_keep.bundle,
    cli_keep.merge,
    cli_keep.replay,
    cli_keep.import_,
):
    main.add_command(command)
