"""Short answers to a question that the assistant has asked: "nope", "orange", "8 of 20", "couldn't tell".

A note that answers in its own words ("nope, clean underneath") is read as any other; the
question only says what a bare word means.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from assistant.reading.attributes import signs
from assistant.reading.tokens import Token
from rules.model import Check, Fact, Scene, Status, Value

_SHORT = 12
#: The value of a thing that could not be told or was not looked at, where the question names none.
_ANY = "any"


class Answers:
    """Reads short answers.

    Args:
        reply: the tables of ``reply.toml``; every phrase is already cut as notes are, by norms.
    """

    def __init__(self, reply: Mapping[str, Any], cut: Any) -> None:
        self._says = {
            kind: [cut(phrase) for phrase in reply[kind]] for kind in ("yes", "no", "unsure", "unchecked")
        }
        self._means = {
            attribute: [(cut(phrase), value) for value, phrases in values.items() for phrase in phrases]
            for attribute, values in reply["means"].items()
        }
        self.completes: Mapping[str, Sequence[str]] = reply["completes"]
        self._not_yet = frozenset(reply["not_yet"]["says_no"])

    def answered(self, scene: Scene, rows: Sequence[Token], text: str, asked: Check) -> Scene:
        """The scene with what the answer to ``asked`` states besides."""
        scene = _rubbed(scene, asked)
        if _tells_of(scene.facts, asked):
            return _grouped(replace(scene, ask_back=None))
        norms = tuple(row.norm for row in rows)
        found = (
            self._meant(norms, rows, text, asked)
            or _coloured(scene, asked)
            or self._said(norms, rows, text, asked)
        )
        if not found:
            return _grouped(scene)
        replaced = {fact.span for fact in found}
        kept = [
            f for f in scene.facts if not (f.span in replaced and f.attribute in ("lesion_colour", "problem"))
        ]
        facts = tuple(sorted([*kept, *found], key=lambda fact: fact.span))
        unread = tuple(u for u in scene.not_understood if not any(_over(u.span, f.span) for f in found))
        return _grouped(replace(scene, facts=facts, problems=(), ask_back=None, not_understood=unread))

    def _meant(self, norms: tuple[str, ...], rows: Sequence[Token], text: str, asked: Check) -> list[Fact]:
        """Bare words that the question gives a meaning: "both" of a leaf surface."""
        best: tuple[int, int, Value] | None = None
        for phrase, value in self._means.get(asked.attribute, ()) if len(norms) <= _SHORT else ():
            for i in range(len(norms) - len(phrase) + 1):
                if norms[i : i + len(phrase)] == phrase and (best is None or len(phrase) > best[1] - best[0]):
                    best = (i, i + len(phrase), value)
        if best is None:
            return []
        denied = norms[max(0, best[0] - 3) : best[0]]
        status = (
            Status.ABSENT
            if {"not", "no", "nothing", "none"} & set(denied) and "," not in denied
            else Status.PRESENT
        )
        return [_fact(asked.attribute, best[2], status, rows[best[0] : best[1]], text)]

    def _said(self, norms: tuple[str, ...], rows: Sequence[Token], text: str, asked: Check) -> list[Fact]:
        """Yes, no, could not tell, did not look."""
        for kind in ("unchecked", "unsure"):
            at = _find(norms, self._says[kind])
            if at and asked.attribute in self._not_yet and norms[slice(*at)] == ("not", "yet"):
                return [_fact(a, v, s, rows[slice(*at)], text) for a, v, s in asked.no]
            if at:
                status = Status.NOT_CHECKED if kind == "unchecked" else Status.CANNOT_TELL
                return [_fact(a, v, status, rows[slice(*at)], text) for a, v in _asked_of(asked)]
        for kind, stated in (("no", asked.no), ("yes", asked.yes)):
            size = max((len(p) for p in self._says[kind] if norms[: len(p)] == p), default=0)
            if size:
                return [_fact(a, v, s, rows[:size], text) for a, v, s in stated]
        return []


def _grouped(scene: Scene) -> Scene:
    """An answer's signs belong to one problem, that of the question."""
    if scene.problems:
        return scene
    group = tuple(i for i, fact in enumerate(scene.facts) if fact.attribute in signs())
    return replace(scene, problems=(group,) if group else ())


def _rubbed(scene: Scene, asked: Check) -> Scene:
    """As in "sure does, orange": asked about rubbing, a bare colour is that on the finger."""
    told = {fact.attribute for fact in scene.facts}
    if asked.attribute not in ("rubs_off", "rub") or "lesion_form" in told:
        return scene
    facts = tuple(
        replace(fact, attribute="rub_colour", where=()) if fact.attribute == "lesion_colour" else fact
        for fact in scene.facts
    )
    return replace(scene, facts=facts)


def _asked_of(asked: Check) -> list[tuple[str, Value]]:
    stated = asked.no or asked.yes
    own = [(a, v) for a, v, _s in stated if a == asked.attribute]
    return own[:1] or [(a, v) for a, v, _s in stated[:1]] or [(asked.attribute, _ANY)]


def _tells_of(facts: Sequence[Fact], asked: Check) -> bool:
    about = {asked.attribute} | {a for a, _v, _s in (*asked.yes, *asked.no)}
    return any(fact.attribute in about for fact in facts)


def _coloured(scene: Scene, asked: Check) -> list[Fact]:
    """A bare colour is the colour that was asked for."""
    if not asked.attribute.endswith("colour"):
        return []
    return [
        replace(f, attribute=asked.attribute, where=()) for f in scene.facts if f.attribute == "lesion_colour"
    ]


def _find(norms: tuple[str, ...], phrases: Sequence[tuple[str, ...]]) -> tuple[int, int] | None:
    for phrase in sorted(phrases, key=len, reverse=True):
        for i in range(len(norms) - len(phrase) + 1):
            if norms[i : i + len(phrase)] == phrase:
                return i, i + len(phrase)
    return None


def _fact(attribute: str, value: Value, status: Status, rows: Sequence[Token], text: str) -> Fact:
    span = (rows[0].start, rows[-1].end)
    return Fact(attribute=attribute, value=value, status=status, span=span, text=text[slice(*span)])


def _over(one: tuple[int, int], other: tuple[int, int]) -> bool:
    return one[0] < other[1] and other[0] < one[1]
