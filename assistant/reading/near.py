"""Which mentions of a passage stand near another: the small questions that rules about signs ask."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.reading.mention import Mention, Passage


def drop_all(mentions: Iterable[Mention], reason: str) -> None:
    """Take every one of ``mentions`` out."""
    for mention in mentions:
        mention.drop(reason)


def named(passage: Passage, *attributes: str) -> list[Mention]:
    """The live mentions of these attributes."""
    found = [m for m in passage.mentions if m.attribute in attributes and not m.dropped]
    return sorted(found, key=lambda m: (m.first, m.last, m.attribute)) if len(found) > 1 else found


def in_sentence(passage: Passage, mention: Mention) -> list[Mention]:
    """The live mentions of the sentence of ``mention``."""
    return [m for m in passage.live if passage.sentence[m.first] == passage.sentence[mention.first]]


def in_clause(passage: Passage, mention: Mention) -> list[Mention]:
    """The live mentions of the clause of ``mention``."""
    return [m for m in passage.live if passage.clause[m.first] == passage.clause[mention.first]]


def all_words(passage: Passage) -> set[str]:
    """Every word of the passage."""
    return {token.text for token in passage.tokens}
