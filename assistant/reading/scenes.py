"""Which field each mention belongs to, when a note speaks of more than one.

A field name opens a stretch that runs to the next name.  Where a preposition leads the name
in, it also takes what was said before it in the same sentence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from assistant.reading.attributes import signs
from assistant.reading.field_words import FieldName
from assistant.reading.mention import Mention, Passage

_SEPARATORS = frozenset({",", "and", "then", ";", ".", ":", "but", "while"})


@dataclass(slots=True)
class Stretch:
    """The mentions of one field, each with the passage that it comes from."""

    name: str | None
    mentions: list[tuple[Passage, Mention]] = field(default_factory=list)
    where: tuple[Passage, FieldName] | None = None

    @property
    def key(self) -> str:
        """The name as fields are compared: case and blanks do not count."""
        return "" if self.name is None else " ".join(self.name.lower().split())


def stretches(
    passages: Sequence[tuple[Passage, Sequence[FieldName]]], same: Sequence[tuple[str, ...]]
) -> list[Stretch]:
    """The note by fields, in the order in which they are named; one without a name first if there is one.

    Args:
        passages: the pieces of the note with the field names in each.
        same: sayings that carry the findings of the field before over ("same thing").
    """
    names = [name for _passage, found in passages for name in found if not name.compared]
    alone = len({name.name.lower() for name in names}) == 1 and not any(name.moved for name in names)
    found: list[Stretch] = [Stretch(None)]
    for passage, fields in passages:
        opening = [name for name in fields if not name.compared]
        bounds = [_begin(passage, opening, i, alone=alone) for i in range(len(opening))]
        for mention in passage.live:
            if mention.attribute == "field":
                continue
            place = sum(bound <= mention.first for bound in bounds)
            stretch = found[-1] if place == 0 else None
            _stretch(found, passage, opening[place - 1] if place else None, stretch).mentions.append(
                (passage, mention)
            )
        for name in opening:
            _stretch(found, passage, name, None)
        if opening:
            found.sort(key=lambda s: s.name == opening[-1].name)
            _share(passage, opening, found)
            _carry_over(passage, opening, found, same)
    kept = [s for s in found if s.name is not None or s.mentions]
    return sorted(kept, key=_order) or [Stretch(None)]


def _order(stretch: Stretch) -> tuple[int, int]:
    if stretch.where is None:
        return (-1, -1)
    passage, name = stretch.where
    return (passage.tokens[name.first].start, 0)


def _stretch(
    found: list[Stretch], passage: Passage, name: FieldName | None, open_one: Stretch | None
) -> Stretch:
    if name is None:
        assert open_one is not None
        return open_one
    key = " ".join(name.name.lower().split())
    for stretch in found:
        if stretch.key == key:
            return stretch
    made = Stretch(name.name, where=(passage, name))
    found.append(made)
    return made


def _begin(passage: Passage, names: list[FieldName], i: int, *, alone: bool) -> int:
    """The first token of the stretch that the ``i``-th name opens."""
    name = names[i]
    if i == 0 and alone:
        return 0
    sentence = passage.sentence[name.first]
    start = name.first
    while start > 0 and passage.sentence[start - 1] == sentence:
        start -= 1
    if i == 0:
        return start
    floor = max(start, names[i - 1].last)
    if not (name.led or name.moved):
        return name.first
    if floor == start:
        return start
    cut = [j for j in range(floor, name.first) if passage.tokens[j].text in _SEPARATORS]
    if not cut:
        return name.first
    return cut[-1] if _fronted(passage, names[i - 1], start) else cut[0]


def _fronted(passage: Passage, name: FieldName, start: int) -> bool:
    """Whether a name stands before what is said of it: "the home place has rust, and tar spot at ..."."""
    before = [m for m in passage.live if start <= m.first < name.first and m.attribute != "field"]
    return not any(m.attribute in signs() for m in before)


def _share(passage: Passage, names: list[FieldName], found: list[Stretch]) -> None:
    """As in "A and B are clean", "X on A and B": what is said of one is said of the other."""
    for one, other in pairwise(names):
        if passage.words(one.last, other.first) in (("and",), ("and", "the"), ("&",)):
            first, second = (_stretch(found, passage, name, None) for name in (one, other))
            if one.both or not first.mentions:
                first.mentions += second.mentions
            elif not second.mentions:
                second.mentions += first.mentions


def _carry_over(
    passage: Passage, names: list[FieldName], found: list[Stretch], same: Sequence[tuple[str, ...]]
) -> None:
    """As in "Same thing over at B": B shows what the field before showed."""
    for i, name in enumerate(names):
        before = passage.words(max(0, name.first - 6), name.first)
        stretch = _stretch(found, passage, name, None)
        spoken = any(before[j : j + len(s)] == s for s in same for j in range(len(before)))
        if not spoken or any(m.attribute in signs() for _p, m in stretch.mentions):
            continue
        source = _stretch(found, passage, names[i - 1], None) if i else found[0]
        for from_passage, mention in source.mentions:
            if mention.attribute in signs() and mention is not None:
                stretch.mentions.append((from_passage, replace(mention, where=dict(mention.where))))
