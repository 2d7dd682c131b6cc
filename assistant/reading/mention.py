"""A thing that the words name, while it is still being settled how they mean it.

Mentions are the one mutable type of reading: scope, binding and corrections each turn a
dial on them, and what is left becomes facts.  They never leave this package.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.reading.tokens import Found, Token
from rules.model import Relation, Status, Value

#: What a modifier is: it describes a mark and says nothing without one.
MODIFIERS = frozenset(
    {
        "lesion_colour",
        "lesion_shape",
        "lesion_size_like",
        "arrangement",
        "lesion_margin",
        "lesion_border_colour",
    }
)
#: Where on the plant: a place that other mentions can be tied to.
PLACES = ("leaf_surface", "canopy_position", "leaf_from_ear", "plant_part")
NAMES = frozenset({"problem", "suspected_problem"})
STAGES = frozenset({"growth_stage"})


@dataclass(slots=True)
class Mention:
    """What the words at tokens ``first`` to ``last`` (exclusive) say.

    ``when`` is now, past (other years), then (earlier this season), if (may come), plan
    (intended) or elsewhere (somebody else's field); only "now" becomes a plain fact.
    ``reason`` names the last thing that changed the mention, for those who trace a reading.
    """

    first: int
    last: int
    attribute: str
    value: Value
    status: Status = Status.PRESENT
    hedged: bool = False
    approx: bool = False
    derived: bool = False
    unit: str | None = None
    relation: Relation | None = None
    when: str = "now"
    origin: str = "words"
    form: str = ""
    dropped: bool = False
    fixed: bool = False
    reason: str = ""
    where: dict[str, Value] = field(default_factory=dict)

    def drop(self, reason: str) -> None:
        """Take the mention out of the reading."""
        self.dropped, self.reason = True, reason

    @property
    def stated(self) -> bool:
        """Whether it is a plain observation of today's plant that is there."""
        return not self.dropped and self.when == "now" and self.status is Status.PRESENT


def of_found(found: Found, origin: str) -> Mention:
    """A mention of what the number or date reader has found."""
    return Mention(
        first=found.first,
        last=found.last,
        attribute=found.attribute,
        value=found.value,
        status=found.status,
        hedged=found.hedged,
        approx=found.approx,
        derived=found.derived,
        unit=found.unit,
        relation=found.relation,
        origin=origin,
    )


@dataclass(frozen=True, slots=True)
class Cue:
    """Words at tokens ``first`` to ``last`` (exclusive) that change how others are meant."""

    first: int
    last: int
    kind: str


@dataclass(slots=True)
class Passage:
    """One piece of a note on its way through the stages of reading."""

    text: str
    tokens: tuple[Token, ...]
    mentions: list[Mention]
    cues: list[Cue]
    sentence: list[int] = field(default_factory=list)
    clause: list[int] = field(default_factory=list)
    used: set[int] = field(default_factory=set)

    @property
    def live(self) -> list[Mention]:
        """The mentions that have not been taken out, in reading order."""
        return sorted(
            (m for m in self.mentions if not m.dropped), key=lambda m: (m.first, m.last, m.attribute)
        )

    def words(self, first: int, last: int) -> tuple[str, ...]:
        """The spoken words of a stretch of tokens."""
        return tuple(token.text for token in self.tokens[max(0, first) : max(0, last)])

    def sentence_words(self, at: int) -> tuple[str, ...]:
        """The words of the sentence in which token ``at`` stands."""
        number = self.sentence[at]
        return tuple(t.text for t, s in zip(self.tokens, self.sentence, strict=True) if s == number)

    def norms(self, first: int, last: int) -> tuple[str, ...]:
        """The norms of a stretch of tokens, which cues are matched on."""
        return tuple(token.norm for token in self.tokens[first:last])


def sentences(passage: Passage) -> list[list[Mention]]:
    """The live mentions of ``passage``, sentence by sentence."""
    found: dict[int, list[Mention]] = {}
    for mention in passage.live:
        found.setdefault(passage.sentence[mention.first], []).append(mention)
    return list(found.values())
