"""What each kind of scope cue does to the targets that it reaches; :mod:`scope` does the walking."""

from __future__ import annotations

from collections.abc import Callable

from assistant.reading import cue_times
from assistant.reading.cue_marks import deny, deny_softly, deny_what_is_there, denying, each, hedge, unsettled
from assistant.reading.mention import NAMES, Cue, Mention, Passage
from assistant.reading.scope import HARD, Ground
from rules.model import Relation, Status

_REACH = 5
_NOT_WORDS = frozenset({"no", "not", "nothing", "never", "none"})
_FIGURES = frozenset(
    {"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
)
_HEARSAY = frozenset({"says", "said", "claims", "told", "figured", "thinks"})
#: Guesses that belong to what precedes whatever follows: "diplodia I bet maybe six percent".
_ALWAYS = frozenset({"if you ask me", "i bet", "i suppose"})
_CLOSES = frozenset(
    {
        ",",
        "or",
        "but",
        "-",
        ")",
        "could",
        "might",
        "may",
        "possibly",
        "not",
        "and",
        "because",
        "from",
        "on",
        "in",
        "with",
        "since",
    }
)


def apply(passage: Passage) -> None:
    """Mark every mention of ``passage`` as its cues say."""
    ground = Ground(passage)
    for cue in passage.cues:
        _ACTS.get(cue.kind, _nothing)(ground, cue)


def _nothing(_ground: Ground, _cue: Cue) -> None:
    """A cue that only keeps a shorter one from being read."""


# ------------------------------------------------------------------ denials and doubts


def _neg_fwd(ground: Ground, cue: Cue) -> None:
    words, first = ground.words, ground.words[cue.first]
    if (
        first == "no"
        and words[cue.last : cue.last + 1] == ["more"]
        and "than" in words[cue.last : cue.last + 6]
    ):
        return
    reach = 1 if first in ("stopped", "quit") else _REACH
    skip = first == "none" and words[cue.last : cue.last + 1] == ["of"]
    if (
        first == "none"
        and not skip
        and words[cue.last : cue.last + 1] not in (["on"], ["under"], ["underneath"], ["above"])
    ):
        return
    if first == "not" and cue.last - cue.first == 1 and _figure(words, cue.last):
        return  # "eight of twenty, not nine": another figure is denied
    change = deny_what_is_there if first in ("nothing", "no", "none") else deny
    ground.forward(cue.last, reach, denying(change), skip=skip)


def _figure(words: list[str], i: int) -> bool:
    return i < len(words) and (words[i].isdigit() or words[i] in _FIGURES)


def _neg_soft(ground: Ground, cue: Cue) -> None:
    ground.forward(cue.last, _REACH, denying(deny_softly))


def _neg_back(ground: Ground, cue: Cue) -> None:
    if ground.words[cue.first] == "ruled" and ground.first_ahead(cue.last, 2):
        return
    ends = cue.last >= len(ground.words) or ground.words[cue.last] in HARD or ground.words[cue.last] == ","
    if ground.words[cue.first] in ("none", "negative", "unlikely", "absent", "0", "zero") and not ends:
        return
    ground.backward(cue.first, 3, each(deny))


def _hedge_fwd(ground: Ground, cue: Cue) -> None:
    start = ground.sentence_start(cue.first)
    if ground.words[cue.first] in ("says", "said") and any(
        m.attribute == "lab_confirmed" and start <= m.first < cue.first for m in ground.passage.live
    ):
        return
    told = bool(_HEARSAY & set(ground.words[cue.first : cue.last]))
    ground.forward(cue.last, 2 * _REACH if told else _REACH + 1, each(hedge))


def _hedge_back(ground: Ground, cue: Cue) -> None:
    words = ground.words
    asked = " ".join(words[cue.first : cue.last]) in _ALWAYS
    closes = asked or cue.last >= len(words) or words[cue.last] in HARD or words[cue.last] in _CLOSES
    if words[cue.first] == "?":
        _question(ground, cue)
    elif closes or cue.last in ground.lines:
        ground.backward(cue.first, 4, each(hedge), over_comma=True)


def _question(ground: Ground, cue: Cue) -> None:
    """A question mark makes a guess of what was named right before it."""
    start = ground.sentence_start(max(0, cue.first - 1))
    for target in ground.between(start, cue.first):
        if any(m.attribute in NAMES for m in target.mentions) or target.last == cue.first:
            each(hedge)(target)


def _doubt_sign(ground: Ground, cue: Cue) -> None:
    """As in "Sort of raised" doubts the sign, "sort of brown" only shades the colour."""
    target = ground.first_ahead(cue.last, 1)
    if target and target.kind == "head":
        each(hedge)(target)


# ------------------------------------------------------------------ stages


def _stage(relation: Relation, reach: int) -> Callable[[Ground, Cue], None]:
    def act(ground: Ground, cue: Cue) -> None:
        target = ground.first_ahead(cue.last, reach)
        parted = target and "," in ground.words[cue.last : target.first]
        if target and target.kind == "stage" and not parted:
            each(lambda mention: setattr(mention, "relation", relation))(target)
        elif _NOT_WORDS & {ground.passage.tokens[i].norm for i in range(cue.first, cue.last)}:
            _neg_fwd(ground, cue)

    return act


def _after_back(ground: Ground, cue: Cue) -> None:
    def over(mention: Mention) -> None:
        if mention.attribute == "growth_stage":
            mention.relation = Relation.AFTER

    ground.backward(cue.first, 3, each(over))


# ------------------------------------------------------------------ not looked at, could not tell


def _reached(status: Status) -> Callable[[Ground, Cue], None]:
    def act(ground: Ground, cue: Cue) -> None:
        ground.forward(cue.last, _REACH + 2, each(unsettled(status)))

    return act


def _reached_back(status: Status) -> Callable[[Ground, Cue], None]:
    def act(ground: Ground, cue: Cue) -> None:
        if ground.first_ahead(cue.last, 3) is None:
            ground.backward(cue.first, 4, each(unsettled(status)), over_comma=True)
        else:
            ground.forward(cue.last, 3, each(unsettled(status)))

    return act


_ACTS: dict[str, Callable[[Ground, Cue], None]] = {
    "neg_fwd": _neg_fwd,
    "neg_soft": _neg_soft,
    "neg_back": _neg_back,
    "hedge_fwd": _hedge_fwd,
    "hedge_back": _hedge_back,
    "doubt_sign": _doubt_sign,
    "near_fwd": _stage(Relation.NEARING, 4),
    "before_fwd": _stage(Relation.BEFORE, 3),
    "after_fwd": _stage(Relation.AFTER, 2),
    "after_back": _after_back,
    "past_fwd": cue_times.past_fwd,
    "past_back": cue_times.past_back,
    "belief_past": cue_times.belief_past,
    "then": cue_times.then,
    "cond_fwd": cue_times.cond_fwd,
    "plan_fwd": cue_times.plan_fwd,
    "plan_back": cue_times.plan_back,
    "elsewhere": cue_times.elsewhere,
    "compare_fwd": cue_times.compare_fwd,
    "unchecked_fwd": _reached(Status.NOT_CHECKED),
    "unchecked_back": _reached_back(Status.NOT_CHECKED),
    "unsure_fwd": _reached(Status.CANNOT_TELL),
    "unsure_back": _reached_back(Status.CANNOT_TELL),
}
