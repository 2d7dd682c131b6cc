"""Words that point back: "we don't have any yet" says it of what was named last."""

from __future__ import annotations

from assistant.reading.mention import NAMES, Mention, Passage
from rules.model import Status


def refer(passage: Passage, last_named: Mention | None) -> Mention | None:
    """Turn every pointing mention into one of what was named before it; give back the last name."""
    for mention in passage.live:
        if mention.attribute == "pointing":
            if last_named is None:
                mention.drop("points at nothing")
            else:
                mention.attribute, mention.value = "problem", last_named.value
        elif mention.attribute in NAMES and mention.value != "any":
            last_named = mention
    return last_named


def mention_of(first: int, last: int, status: Status) -> Mention:
    """A mention that points at what was named last."""
    return Mention(first, last, "pointing", True, status, fixed=True)
