"""Ties signs to the place that the words give them: "pustules on the underside" (contract rule 3)."""

from __future__ import annotations

from assistant.reading.attributes import signs
from assistant.reading.mention import PLACES, Mention, Passage

_FAR = 12
_NOT_TIED = frozenset(PLACES) | {
    "distribution",
    "incidence_pct",
    "plants_checked",
    "plants_affected",
    "spreading",
}


def attach(passage: Passage) -> None:
    """Give every sign of the passage the places of its clause (else of its sentence)."""
    live = [m for m in passage.live if m.when == "now"]
    places = [m for m in live if m.attribute in PLACES]
    for sign in live:
        if sign.attribute in signs() and sign.attribute not in _NOT_TIED:
            for attribute in PLACES:
                place = _nearest(passage, sign, [m for m in places if m.attribute == attribute])
                if place and _agree(sign, place):
                    sign.where[attribute] = place.value


def _nearest(passage: Passage, sign: Mention, places: list[Mention]) -> Mention | None:
    same_clause = [m for m in places if passage.clause[m.first] == passage.clause[sign.first]]
    same_sentence = [m for m in places if passage.sentence[m.first] == passage.sentence[sign.first]]
    if not same_clause and len({m.value for m in same_sentence}) > 1:
        return None
    near = [m for m in same_clause or same_sentence if _gap(sign, m) <= _FAR]
    return min(near, key=lambda m: (_gap(sign, m), m.first), default=None)


def _gap(one: Mention, other: Mention) -> int:
    return max(one.first - other.last, other.first - one.last, 0)


def _agree(sign: Mention, place: Mention) -> bool:
    """A sign that is there stands at no place that was found clean, and the other way round."""
    return sign.status is place.status or (place.stated and place.attribute == "plant_part")
