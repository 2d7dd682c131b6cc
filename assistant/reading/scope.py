"""How what is named is meant: denied, doubted, past, supposed, intended, someone else's, not looked at.

A cue reaches a few words on (or back), to the first group of findings; a joiner carries it
further ("no A, B or C").  The next cue, a stop word or the end of the sentence ends it.
The plan is that of NegEx and ConText (Chapman 2001; Harkema 2009), with reach counted in
words because dictation comes without punctuation.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from assistant.reading.mention import MODIFIERS, NAMES, PLACES, Cue, Mention, Passage

JOINERS = frozenset(
    {"or", "nor", "vs", "versus", "and", ",", "/", "a", "an", "any", "the", "of", "even", "either"}
)
INTO_PLACE = frozenset(
    {"on", "in", "at", "the", "its", "any", "of", "my", "their", "to", "up", "down", "over", "it", "them"}
)
#: Between two names: "cannot tell common rust from southern".
PARTING = frozenset({"from", "apart", "a", "the"})
HARD = frozenset({".", ";", "!", "?"})
SOFT_STOPS = frozenset(
    [
        "it",
        "'s",
        "is",
        "are",
        "'re",
        "this",
        "that",
        "these",
        "just",
        "still",
        "yet",
        "there",
        "seeing",
        "found",
        "saw",
        "finding",
        "they",
    ]
)
DENIALS = frozenset({"neg_fwd", "neg_soft"})


@dataclass(slots=True)
class Target:
    """The mentions of one stretch of words, which a cue reaches together."""

    first: int
    last: int
    mentions: list[Mention] = field(default_factory=list)

    @property
    def kind(self) -> str:
        """What the stretch is: place, stage, modifier, number, or head."""
        attributes = {m.attribute for m in self.mentions}
        if attributes & set(PLACES):
            return "place"
        if "growth_stage" in attributes:
            return "stage"
        if attributes <= MODIFIERS:
            return "modifier"
        return "number" if any(m.origin != "words" for m in self.mentions) else "head"

    @property
    def names(self) -> bool:
        """Whether a problem is named here."""
        return any(m.attribute in NAMES for m in self.mentions)


class Ground:
    """The words of a passage with the targets on them; walks from cues to targets.

    Args:
        passage: the passage; its mentions are what is marked.
    """

    def __init__(self, passage: Passage) -> None:
        self.passage = passage
        self.words = [token.text for token in passage.tokens]
        self.lines = {i for i, token in enumerate(passage.tokens) if token.new_line and i}
        self.targets = _targets(passage)
        self.at = {target.first: target for target in self.targets}
        self.last = {target.last - 1: target for target in self.targets}
        self.stops = {i for cue in passage.cues if cue.kind == "stop" for i in range(cue.first, cue.last)}
        self.denials = {cue.first for cue in passage.cues if cue.kind in DENIALS}

    def hard(self, i: int) -> bool:
        """Whether the sentence ends at token ``i``."""
        return self.words[i] in HARD

    def sentence_end(self, i: int) -> int:
        """The token after the last of the sentence that token ``i`` stands in."""
        while i < len(self.words) and not self.hard(i):
            i += 1
        return i

    def sentence_start(self, i: int) -> int:
        """The first token of the sentence that token ``i`` stands in."""
        while i > 0 and not self.hard(i - 1) and i not in self.lines:
            i -= 1
        return i

    def between(self, first: int, last: int) -> list[Target]:
        """The targets that begin at tokens ``first`` to ``last`` (exclusive)."""
        return [target for target in self.targets if first <= target.first < last]

    def list_goes_on(self, i: int) -> bool:
        """Whether the list that stands at ``i`` comes to "or" or "nor": "no A, B or C"."""
        while i < len(self.words):
            if self.words[i] in ("or", "nor"):
                return True
            if i in self.at:
                i = self.at[i].last
            elif self.words[i] in (",", "any", "a", "the"):
                i += 1
            else:
                return False
        return False

    def forward(
        self, i: int, reach: int, mark: Callable[[Target], object], *, chain: bool = True, skip: bool = False
    ) -> None:
        """Mark the first group of targets within ``reach`` words after ``i``."""
        gap, previous, between = 0, None, set[str]()
        while i < len(self.words) and not self.hard(i) and not (i in self.lines and (gap or previous)):
            target = self.at.get(i)
            if target:
                if skip:
                    skip, i = False, target.last
                    continue
                if previous and not self._carries_on(previous, between, target):
                    return
                mark(target)
                gap, previous, between, i = 0, target, set(), target.last
                if not chain:
                    return
                continue
            word = self.words[i]
            if (i in self.stops and (previous or word not in SOFT_STOPS)) or i in self.denials:
                return
            if word == "," and not previous:
                return
            if previous:
                between.add(word)
            gap += 1
            i += 1
            if gap > reach:
                return

    def _carries_on(self, previous: Target, between: set[str], target: Target) -> bool:
        if target.kind == "place" and previous.kind != "place" and between <= INTO_PLACE:
            return True
        if not between:
            return previous.kind == "modifier" or target.kind == previous.kind == "place"
        if "from" in between and between <= PARTING:
            return previous.names and target.names
        if not between <= JOINERS:
            return False
        if between & {"or", "nor", "vs", "versus"}:
            return True
        if "," in between:
            return self.list_goes_on(target.last)
        alike = {m.attribute for m in previous.mentions} & {m.attribute for m in target.mentions}
        return bool(between & {"and", "/"} and (alike or previous.kind == target.kind == "modifier"))

    def backward(
        self, i: int, reach: int, mark: Callable[[Target], object], *, over_comma: bool = False
    ) -> None:
        """Mark the nearest target within ``reach`` words before ``i``."""
        for j in range(i - 1, max(-1, i - 2 - reach), -1):
            if self.hard(j):
                return
            if j in self.last:
                mark(self.last[j])
                return
            if self.words[j] == "," and not over_comma:
                return

    def first_ahead(self, i: int, reach: int) -> Target | None:
        """The first target within ``reach`` words after ``i`` in the same sentence."""
        for j in range(i, min(len(self.words), i + reach + 1)):
            if self.hard(j):
                return None
            if j in self.at:
                return self.at[j]
        return None

    def clause(self, cue: Cue) -> tuple[int, int]:
        """Where the clause of a cue begins and ends: at commas, stops and sentence ends."""
        first, last = cue.first, cue.last
        while first > 0 and not self._breaks(first - 1) and first not in self.lines:
            first -= 1
        while last < len(self.words) and not self._breaks(last) and last not in self.lines:
            last += 1
        return first, last

    def _breaks(self, i: int) -> bool:
        return self.hard(i) or self.words[i] == "," or (i in self.stops and self.words[i] not in SOFT_STOPS)


def _targets(passage: Passage) -> list[Target]:
    spans: dict[tuple[int, int], Target] = {}
    for mention in passage.live:
        if mention.attribute in ("", "field"):
            continue
        key = (mention.first, mention.last)
        spans.setdefault(key, Target(*key)).mentions.append(mention)
    return [spans[key] for key in sorted(spans)]
