"""What is not of today's field: years gone by, other people's fields, suppositions, plans."""

from __future__ import annotations

from assistant.reading.attributes import group, signs
from assistant.reading.mention import NAMES, Mention
from rules.model import Status

_KINDS = frozenset({"any", "leaf_disease", "stalk_rot", "ear_rot"})

#: How many words may stand between a spraying and its product.
_BEHIND = 2


def other_times(mentions: list[Mention]) -> None:
    """Turn into history or a find nearby what can be; drop the rest."""
    for mention in mentions:
        if mention.dropped or mention.when == "now":
            continue
        looked = mention.status in (Status.PRESENT, Status.ABSENT)
        named = mention.attribute in NAMES and looked and mention.value not in _KINDS
        if mention.when == "past" and named:
            _become(mention, "field_history")
        elif mention.when == "elsewhere" and named and _product(mention, mentions):
            mention.drop("what the neighbour sprayed, nothing found")
        elif mention.when == "elsewhere" and named:
            _become(mention, "nearby_find")
        elif mention.when == "elsewhere" and mention.attribute == "sprayed_on":
            _become(mention, "neighbour_sprayed_on")
        elif mention.when == "past" and mention.attribute not in signs() | group("stage"):
            mention.when = "now"  # "no till last year": what is of the field stays
        else:
            mention.drop(f"not of today's field: {mention.when}")


def _become(mention: Mention, attribute: str) -> None:
    mention.attribute, mention.when, mention.hedged = attribute, "now", False


def _product(mention: Mention, mentions: list[Mention]) -> bool:
    """As in "neighbor sprayed paraquat monday": what is named right behind the spraying is a product."""
    return any(
        m.attribute in ("sprayed", "sprayed_on", "neighbour_sprayed_on")
        and 0 <= mention.first - m.last <= _BEHIND
        for m in mentions
    )
