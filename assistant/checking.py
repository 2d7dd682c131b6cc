"""``earleaf check``: the knowledge tables, the vocabulary and the casebook, every fault at once."""

from __future__ import annotations

from pathlib import Path

from rules.model import EarleafError, Fault


def faults(casebook: Path) -> list[Fault]:
    """Every fault of tables, words and (if there is one) casebook."""
    return [*_tables(), *_words(), *_casebook(casebook)]


def _tables() -> list[Fault]:
    from rules.agronomy.tables import faults as agronomy
    from rules.model import BrokenTables
    from rules.review import review
    from rules.tables import read

    try:
        tables, found = read()
    except BrokenTables as error:
        return list(error.faults)
    return [*found, *review(tables), *agronomy(), *_small_tables()]


def _small_tables() -> list[Fault]:
    from rules.agronomy.books import read_book
    from rules.agronomy.label_tables import LabelBook
    from rules.spray_record import read as read_spray_record
    from rules.tables import folder

    made: list[Fault] = []
    for shape, name in ((LabelBook, "label_fields.toml"),):
        made += read_book(shape, name, folder())[1]
    return [*made, *read_spray_record()[1]]


def _words() -> list[Fault]:
    from assistant.reading.vocabulary import faults as words

    return list(words())


def _casebook(path: Path) -> list[Fault]:
    from assistant.casebook.book import Casebook

    if not path.exists():
        return []
    try:
        with Casebook.open_readonly(path) as book:
            return list(book.check())
    except EarleafError as error:
        return [Fault(file=str(path), record="", message=str(error))]
