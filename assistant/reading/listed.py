"""Answers in lists: "- tar spot: no", "raised? couldn't tell", "CR no. SR no." say how their item is meant.

Read before the scope cues, which would carry a "no" at the end of a line into the next.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.reading.attributes import group, signs
from assistant.reading.mention import NAMES, PLACES, Mention, Passage
from assistant.reading.scope import Ground
from rules.model import Status

_MARKS = frozenset({":", "-", "--", "?", "="})
_OF_FIELD = frozenset({"irrigation", "field_position", "distribution", "sprayed", "cover_crop", "scouted"})
_ENDS = frozenset({".", ",", ";", ")", "(", "/", "!", "?"})
_ITEM = frozenset({".", ";", "!", "(", "/"})
#: Answers that need no mark before them: "shiny film no", "SR no".
_BARE = frozenset({"no", "none", "yes", "negative", "nope"})
_OURS = frozenset({"ours", "here", "mine"})
_LONGEST = 4


@dataclass(frozen=True, slots=True)
class Answer:
    """What stands for an answer, at tokens ``first`` to ``last`` (exclusive), to the item at ``start``."""

    start: int
    first: int
    last: int
    status: Status


class ListAnswers:
    """Reads the answers of lists.

    Args:
        said: for each status the words that answer so, by norms.
    """

    def __init__(self, said: Mapping[Status, Sequence[tuple[str, ...]]]) -> None:
        self._said = {words: status for status, forms in said.items() for words in forms if words}
        self._opening = frozenset(words[0] for words in self._said)

    def apply(self, passage: Passage) -> None:
        """Mark what the lists of ``passage`` answer, and take out the cues that the answers are."""
        words = [token.text for token in passage.tokens]
        opening = [i for i, token in enumerate(passage.tokens) if i and token.norm in self._opening]
        answers = [answer for i in opening if (answer := self._at(passage, words, i))]
        if not answers:
            return
        ground = Ground(passage)
        for answer in answers:
            _mark(ground, answer)
        spans = [(answer.first, answer.last) for answer in answers]
        passage.cues = [c for c in passage.cues if not any(a <= c.first and c.last <= b for a, b in spans)]

    def _at(self, passage: Passage, words: list[str], i: int) -> Answer | None:
        """The answer that begins at ``i``, with the marks before it."""
        if passage.tokens[i].new_line or any(m.first < i < m.last for m in passage.mentions if not m.dropped):
            return None
        for size in range(min(_LONGEST, len(words) - i), 0, -1):
            status = self._said.get(passage.norms(i, i + size))
            if status is not None and _closes(passage, words, i + size):
                return _answer(passage, words, i, i + size, status)
        return None


def _answer(passage: Passage, words: list[str], i: int, last: int, status: Status) -> Answer | None:
    first = i
    while first > 1 and words[first - 1] in _MARKS and not passage.tokens[first].new_line:
        first -= 1
    marked = first < i and not passage.tokens[first].new_line
    if not marked and not (last == i + 1 and words[i] in _BARE and _beside(passage, i)):
        return None
    return Answer(_start(passage, words, first), first, last, status)


def _closes(passage: Passage, words: list[str], last: int) -> bool:
    return last >= len(words) or passage.tokens[last].new_line or words[last] in _ENDS


def _beside(passage: Passage, i: int) -> bool:
    """Whether a sign or a name ends right before ``i``."""
    return any(m.last == i and (m.attribute in signs() or m.attribute in NAMES) for m in passage.live)


def _start(passage: Passage, words: list[str], first: int) -> int:
    """Where the item begins that the answer at ``first`` closes."""
    at = first
    while at > 0 and words[at - 1] not in _ITEM and words[at - 1] != "," and not passage.tokens[at].new_line:
        at -= 1
    return at


def _mark(ground: Ground, answer: Answer) -> None:
    targets = ground.between(answer.start, answer.first)
    asked = [m for target in targets for m in target.mentions if _answerable(m) and not m.fixed]
    for mention in asked:
        _answered(mention, answer.status)
    if not targets and answer.status is Status.ABSENT:
        _of_last_named(ground.passage, answer)


def _of_last_named(passage: Passage, answer: Answer) -> None:
    """As in "ours (Blue Heifer 60): not found": the answer is to what was named last."""
    item = set(passage.words(answer.start, answer.first))
    own = item & _OURS or any(
        m.attribute == "field" and answer.start <= m.first < answer.first for m in passage.live
    )
    named = [m for m in passage.live if m.attribute in NAMES and m.last <= answer.start and m.value != "any"]
    if own and named:
        first = answer.last - 1
        passage.mentions.append(
            Mention(first, answer.last, "problem", named[-1].value, Status.ABSENT, fixed=True)
        )


def _answerable(mention: Mention) -> bool:
    from_words = mention.origin == "words" or mention.attribute in PLACES
    kinds = mention.attribute in signs() or mention.attribute in NAMES | group("weather") | _OF_FIELD
    return from_words and kinds


def _answered(mention: Mention, status: Status) -> None:
    if mention.attribute in NAMES and status is Status.CANNOT_TELL:
        mention.hedged = True
    elif mention.status is Status.ABSENT and status is Status.ABSENT:
        mention.drop("a denial denied")
    elif mention.status is Status.PRESENT:
        mention.status, mention.fixed = status, True
