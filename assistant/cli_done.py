"""The commands for what was done and found out: sprays, samples, laboratory results, harvests."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from assistant.cli_common import DAY, author, casebook_option, now, reading, writing_file

if TYPE_CHECKING:
    from assistant.deed import By


def _by() -> By:
    from assistant.deed import By
    from rules.tables import fingerprint

    return By(author=author(), made_at=now(), knowledge=fingerprint())


@click.command()
@click.argument("field")
@click.option("--on", type=DAY, help="The day (today).")
@click.option("--set", "told", multiple=True, metavar="ELEMENT=WORDS", help="An element of the record.")
@click.option("--for-hire", is_flag=True, help="Sprayed for a customer.")
@casebook_option
@click.pass_obj
def sprayed(
    given: str | None, field: str, on: date | None, told: tuple[str, ...], for_hire: bool, own: str | None
) -> None:
    """Write down a spray; elements of good practice that are missing are named."""
    from assistant.done import spray
    from rules.model import WrongWords

    record = {}
    for one in told:
        name, mark, words = one.partition("=")
        if not mark:
            raise WrongWords(f"{one!r}: say an element as NAME=WORDS, for example product=…")
        record[name] = words
    with writing_file(own or given) as book:
        made = spray(book, _by(), book.field(field), on or now().date(), record, for_hire=for_hire)
    click.echo("Written down.")
    for element in made.missing:
        click.echo(f"  not told: {element.id}: {element.say}")


@click.command()
@click.argument("field")
@click.argument("sent_to")
@click.option("--on", type=DAY, help="The day (today).")
@casebook_option
@click.pass_obj
def sample(given: str | None, field: str, sent_to: str, on: date | None, own: str | None) -> None:
    """Write down that a sample was sent to a laboratory."""
    from assistant.done import sample as write

    with writing_file(own or given) as book:
        write(book, _by(), book.field(field), on or now().date(), sent_to=sent_to)
    click.echo("Written down; it waits for the result.")


@click.command()
@click.argument("field")
@click.option("--found", multiple=True, metavar="DISORDER", help="What the laboratory found.")
@click.option("--not-found", multiple=True, metavar="DISORDER", help="What it looked for and did not find.")
@click.option("--lab", default="", help="The laboratory.")
@click.option("--on", type=DAY, help="The day of the result (today).")
@casebook_option
@click.pass_obj
def result(
    given: str | None,
    field: str,
    found: tuple[str, ...],
    not_found: tuple[str, ...],
    lab: str,
    on: date | None,
    own: str | None,
) -> None:
    """Write down a laboratory's result, and say whether it confirms the call made in the field."""
    from assistant.done import lab_result
    from rules.tables import load

    with writing_file(own or given) as book:
        made = lab_result(
            book,
            _by(),
            book.field(field),
            on or now().date(),
            tuple(load().disorders),
            found=found,
            not_found=not_found,
            lab=lab,
        )
    click.echo(
        f"Written down. The field's call: {made.call.disorder if made.call else 'none'}; {made.verdict}."
    )


@click.command()
@click.argument("field")
@click.option("--on", type=DAY, required=True, help="The day of the harvest.")
@click.option("--bu-ac", type=float, help="The yield, bu/ac.")
@click.option(
    "--strips", nargs=2, type=float, multiple=True, help="Yields of a sprayed strip and of the one beside it."
)
@casebook_option
@click.pass_obj
def harvested(
    given: str | None,
    field: str,
    on: date,
    bu_ac: float | None,
    strips: tuple[tuple[float, float], ...],
    own: str | None,
) -> None:
    """Write down a harvest; the field's season ends with it."""
    from assistant.done import outcome

    with writing_file(own or given) as book:
        made = outcome(book, _by(), book.field(field), on, yield_bu_ac=bu_ac, pairs=strips)
    click.echo(made.entry.text)


@click.command()
@casebook_option
@click.pass_obj
def agreement(given: str | None, own: str | None) -> None:
    """How often field calls agreed with the laboratory, by disorder."""
    from assistant.agreement import agreement as reckon

    with reading(own or given) as book:
        lines = reckon(book)
    for line in lines:
        click.echo(
            f"{line.disorder.replace('_', ' ')}: {line.agreed} of {line.decided} agreed "
            f"({line.sure_agreed} of {line.sure} where it was said to fit)"
        )
    if not lines:
        click.echo("No laboratory result stands beside a call yet.")
