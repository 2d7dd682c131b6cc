"""What was not understood: content words that led to nothing, and figures out of their range."""

from __future__ import annotations

from assistant.reading.mention import Passage
from rules.model import Unread

_SHOWN = frozenset({"without company", "a percentage of nothing named", "out of its range"})


def unread(passage: Passage, understood: frozenset[str], text: str) -> list[Unread]:
    """The stretches of ``passage`` that led to no fact and are not mere grammar."""
    used = set(passage.used)
    for cue in passage.cues:
        used.update(range(cue.first, cue.last))
    shown: set[int] = set()
    for mention in passage.mentions:
        words = range(mention.first, mention.last)
        (shown if mention.reason in _SHOWN else used).update(words)
    left = [
        i
        for i, token in enumerate(passage.tokens)
        if i not in used and (i in shown or _content(token.text, understood))
    ]
    return _joined(passage, left, text)


def _content(word: str, understood: frozenset[str]) -> bool:
    return word not in understood and any(char.isalnum() for char in word)


def _joined(passage: Passage, left: list[int], text: str) -> list[Unread]:
    found: list[Unread] = []
    previous = -2
    for i in left:
        start, end = passage.tokens[i].start, passage.tokens[i].end
        if found and i == previous + 1:
            start = found.pop().span[0]
        found.append(Unread(span=(start, end), text=text[start:end]))
        previous = i
    return found
