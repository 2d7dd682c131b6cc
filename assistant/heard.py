"""What was read from a note's words, word by word."""

from __future__ import annotations

from assistant.schema import EntryShape, FactShape
from rules.model import Status
from rules.tables import Tables

_STATUS = {
    Status.PRESENT: "",
    Status.ABSENT: "looked at, not there: ",
    Status.NOT_CHECKED: "not looked at: ",
    Status.CANNOT_TELL: "could not tell: ",
}


def heard(entry: EntryShape, tables: Tables) -> str:
    """One line a fact: the words, and what they were taken to say."""
    lines = [_line(fact, tables) for fact in entry.facts]
    return (
        "\n".join(["What your words were taken to say:", *lines])
        if lines
        else "Your words stated nothing that counts."
    )


def _line(fact: FactShape, tables: Tables) -> str:
    known = tables.attributes.get(fact.attribute)
    what = known.say if known else fact.attribute.replace("_", " ")
    marks = [
        *(["not sure"] if fact.hedged else []),
        *(["about"] if fact.approx else []),
        *(["worked out"] if fact.derived else []),
        *(["said before"] if fact.earlier else []),
    ]
    words = " ".join(fact.text.split())
    tail = f" ({', '.join(marks)})" if marks else ""
    relation = f" {fact.relation.value}" if fact.relation else ""
    value = "" if fact.value is True else f": {_shown(fact)}"
    return f'  "{words}" -> {_STATUS[fact.status]}{what}{relation}{value}{tail}'


def _shown(fact: FactShape) -> str:
    value = fact.value
    said = " to ".join(f"{v:g}" for v in value) if isinstance(value, list) else str(value).replace("_", " ")
    return f"{said} {fact.unit}" if fact.unit else said
