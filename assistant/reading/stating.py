"""From settled mentions to facts that point into the note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.reading.mention import Mention, Passage
from assistant.reading.scenes import Stretch
from rules.model import Fact, Repair, Scene, Unread

#: Facts with the clause that each stands in.
Stated = tuple[tuple[Fact, ...], tuple[int, ...]]


def facts_of(stretch: Stretch, text: str) -> Stated:
    """The facts of one field in reading order, each once."""
    rows: dict[tuple[object, ...], tuple[Fact, int]] = {}
    if stretch.where is not None and stretch.name is not None:
        passage, name = stretch.where
        span = (passage.tokens[name.first].start, passage.tokens[name.last - 1].end)
        field = Fact(attribute="field", value=stretch.name, span=span, text=text[slice(*span)])
        rows["field",] = (field, passage.clause[name.first])
    numbering = _Clauses()
    for passage, mention in stretch.mentions:
        if mention.attribute and mention.attribute != "field" and not mention.dropped:
            fact = _fact(passage, mention, text)
            key = (fact.attribute, fact.value, fact.status, fact.relation)
            rows[key] = _better(rows.get(key), (fact, numbering.of(passage, mention)))
    ordered = sorted(rows.values(), key=lambda row: (row[0].span, row[0].attribute != "field"))
    return tuple(fact for fact, _clause in ordered), tuple(clause for _fact, clause in ordered)


class _Clauses:
    """Clause numbers that differ from piece to piece."""

    def __init__(self) -> None:
        self._seen: dict[tuple[int, int], int] = {}

    def of(self, passage: Passage, mention: Mention) -> int:
        key = (id(passage), passage.clause[mention.first])
        return self._seen.setdefault(key, len(self._seen))


def _better(old: tuple[Fact, int] | None, new: tuple[Fact, int]) -> tuple[Fact, int]:
    """Of the same fact said twice the surer one, else the first."""
    if old is None or (old[0].hedged and not new[0].hedged):
        return new
    return old


def _fact(passage: Passage, mention: Mention, text: str) -> Fact:
    span = (passage.tokens[mention.first].start, passage.tokens[mention.last - 1].end)
    return Fact(
        attribute=mention.attribute,
        value=mention.value,
        status=mention.status,
        hedged=mention.hedged,
        approx=mention.approx,
        derived=mention.derived,
        unit=mention.unit,
        relation=mention.relation,
        where=tuple(sorted(mention.where.items(), key=lambda item: item[0])),
        span=span,
        text=text[slice(*span)],
    )


def separators(passages: Sequence[Passage]) -> list[int]:
    """Where in the note a word says that another thing follows."""
    return [p.tokens[cue.first].start for p in passages for cue in p.cues if cue.kind == "separate"]


def shared_out(
    scenes: Sequence[Scene],
    found: Sequence[Stretch],
    repairs: Sequence[Repair],
    left: Sequence[Unread],
    question: str | None,
) -> tuple[Scene, ...]:
    """Give every repair and every unread word to the scene whose name stands last before it."""
    starts = [_start(stretch) for stretch in found]
    return tuple(
        replace(
            scene,
            repairs=tuple(r for r in repairs if _owner(starts, r.span[0]) == i),
            not_understood=tuple(u for u in left if _owner(starts, u.span[0]) == i),
            ask_back=question if i == 0 else None,
        )
        for i, scene in enumerate(scenes)
    )


def _start(stretch: Stretch) -> int:
    return -1 if stretch.where is None else stretch.where[0].tokens[stretch.where[1].first].start


def _owner(starts: Sequence[int], at: int) -> int:
    return max((i for i, start in enumerate(starts) if start <= at), default=0)
