"""The commands that keep a casebook safe, share it, and derive it again."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli_common import author, casebook_option, now, path_of, reading, writing_file

_FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.argument("out", type=_FILE)
@casebook_option
@click.pass_obj
def backup(given: str | None, out: Path, own: str | None) -> None:
    """Copy the casebook to OUT, sound and whole, while it may be in use."""
    from assistant.casebook.keep import backup as copy

    made = copy(path_of(own or given), out)
    click.echo(f"{made.entries} entries copied to {made.path}.")


@click.command()
@click.argument("copy", type=_FILE)
@click.option("--lose", is_flag=True, help="Go back even if entries of the casebook are not in the copy.")
@casebook_option
@click.pass_obj
def restore(given: str | None, copy: Path, lose: bool, own: str | None) -> None:
    """Put a backup in the casebook's place; what was there is kept beside it."""
    from assistant.casebook.keep import restore as put_back

    made = put_back(copy, path_of(own or given), lose=lose)
    beside = f" The casebook of before lies at {made.old}." if made.old else ""
    click.echo(f"{made.entries} entries are back.{beside}")


@click.command()
@click.argument("out", type=_FILE)
@casebook_option
@click.pass_obj
def bundle(given: str | None, out: Path, own: str | None) -> None:
    """Write the journal to OUT, for a colleague to merge."""
    from assistant.casebook.merge import write_bundle

    with reading(own or given) as book:
        click.echo(f"{write_bundle(book, out)} entries written to {out}.")


@click.command()
@click.argument("file", type=_FILE)
@casebook_option
@click.pass_obj
def merge(given: str | None, file: Path, own: str | None) -> None:
    """Take a colleague's bundle into the casebook; nothing is overwritten."""
    from assistant.casebook.merge import merge as take_in
    from assistant.loaded import load
    from assistant.replay import catch_up

    with writing_file(own or given) as book:
        report = take_in(book, file)
        catch_up(book, load())
    click.echo(f"{report.added} entries are new, {report.known} were known.")
    for name, number in report.authors:
        click.echo(f"  {number} by {name}")
    for joined in report.joined:
        click.echo(f"  the field {joined.name!r} of {joined.author} is {joined.now!r} now")
    for conflict in report.conflicts:
        click.echo(f"  to settle: {conflict.text}")


@click.command()
@click.option("--keep", is_flag=True, help="Keep the new answers in the casebook.")
@casebook_option
@click.pass_obj
def replay(given: str | None, keep: bool, own: str | None) -> None:
    """Derive every note again under today's knowledge and list the answers that change."""
    from assistant.loaded import load
    from assistant.replay import replayed
    from assistant.reports.log import clean

    made = replayed(path_of(own or given), load(), keep=keep)
    for change in made.changes:
        click.echo(f"{change.on.isoformat()} {change.field or ''}: {clean(change.text)[:60]}")
        for difference in change.differences:
            click.echo(f"  {difference.what}: {difference.was} -> {difference.now}")
    for failed in made.failed:
        click.echo(f"not derived: {clean(failed.text)[:60]}: {failed.why}", err=True)
    click.echo(f"{made.derived} derived again, {len(made.changes)} answers change.")


@click.command("import")
@click.argument("source", type=click.Path(exists=True, path_type=Path))
@click.option("--year", type=int, help="The year of dates that have none.")
@click.option("--names-are-fields", is_flag=True, help="A file's name, beside its date, is the field.")
@casebook_option
@click.pass_obj
def import_(
    given: str | None, source: Path, year: int | None, names_are_fields: bool, own: str | None
) -> None:
    """Bring in old notes: a folder of text files, or a CSV with the columns date, field, text."""
    from assistant.importing import bring_in, in_folder, in_table
    from assistant.loaded import load

    if source.is_dir():
        found = in_folder(source, year=year, names_are_fields=names_are_fields)
    else:
        found = in_table(source, year=year)
    with writing_file(own or given) as book:
        made = bring_in(found, book, load(), author=author(), made_at=now())
    for left in made.left:
        click.echo(f"left out: {left.source}: {left.why}")
    click.echo(f"{len(made.taken)} notes brought in, {len(made.known)} were there already.")
