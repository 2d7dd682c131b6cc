"""What each kind of scope cue does to the targets that it reaches; :mod:`scope` does the walking."""

from __future__ import annotations

from collections.abc import Callable

from assistant.reading.attributes import group, signs
from assistant.reading.mention import NAMES, PLACES, Cue, Mention, Passage
from assistant.reading.scope import HARD, SOFT_STOPS, Ground, Target
from rules.model import Relation, Status

#: Heads whose denial at a place says that the place is clean ("nothing raised underneath").
_WHOLE_SIGNS = frozenset({"lesion_form", "problem", "raised", "rub", "rubs_off", "fuzz", "any"})
_REACH = 5
_NOT_WORDS = frozenset({"no", "not", "nothing", "never", "none"})
_NOTHING_AT = frozenset({"on", "above", "in", "at", "below", "under"})
_SINCE = frozenset({"since", "than", "from", "like", "as"})
_HAVING = frozenset({"have", "'ve", "ve", "got", "found", "see", "saw", "seen"})
_MONEY = ("_usd_", "yield_", "harvest", "days_", "_days", "population", "row_spacing")


def apply(passage: Passage) -> None:
    """Mark every mention of ``passage`` as its cues say."""
    ground = Ground(passage)
    for cue in passage.cues:
        _ACTS.get(cue.kind, _nothing)(ground, cue)


def _nothing(_ground: Ground, _cue: Cue) -> None:
    """A cue that only keeps a shorter one from being read."""


# ------------------------------------------------------------------ marks


def _each(change: Callable[[Mention], None]) -> Callable[[Target], None]:
    def mark(target: Target) -> None:
        for mention in target.mentions:
            if not mention.fixed:
                change(mention)

    return mark


def _deny(mention: Mention) -> None:
    if mention.origin != "words":
        return
    if mention.attribute == "growth_stage":
        mention.relation = mention.relation or Relation.BEFORE
    elif mention.status is Status.ABSENT:
        mention.drop("a denial denied")
    else:
        mention.status = Status.ABSENT


def _hedge(mention: Mention) -> None:
    mention.hedged = True


def _deny_softly(mention: Mention) -> None:
    _deny(mention)
    mention.hedged = mention.attribute != "growth_stage"


def _when(moment: str) -> Callable[[Mention], None]:
    def change(mention: Mention) -> None:
        mention.when = moment

    return change


def _status(status: Status) -> Callable[[Mention], None]:
    def change(mention: Mention) -> None:
        if mention.attribute in signs() and mention.attribute not in NAMES:
            mention.status, mention.fixed, mention.hedged = status, True, False
        elif mention.attribute in NAMES:
            if status is Status.CANNOT_TELL:
                mention.hedged = True
            else:
                mention.drop("not looked for")

    return change


def _denying(change: Callable[[Mention], None]) -> Callable[[Target], None]:
    """Deny a target; a place behind it is denied too where the whole sign is."""
    whole: list[bool] = []

    def mark(target: Target) -> None:
        if target.kind == "place" and whole and not whole[0]:
            return
        whole.append(bool({m.attribute for m in target.mentions} & (_WHOLE_SIGNS | set(PLACES))))
        _each(change)(target)

    return mark


# ------------------------------------------------------------------ denials and doubts


def _neg_fwd(ground: Ground, cue: Cue) -> None:
    words, first = ground.words, ground.words[cue.first]
    if first == "no" and words[cue.last : cue.last + 1] == ["more"] and "than" in words[cue.last : cue.last + 6]:
        return
    reach = 1 if first in ("stopped", "quit") else _REACH
    skip = first == "none" and words[cue.last : cue.last + 1] == ["of"]
    if first == "none" and not skip and words[cue.last : cue.last + 1] not in (["on"], ["under"], ["underneath"], ["above"]):
        return
    ground.forward(cue.last, reach, _denying(_deny), skip=skip)


def _neg_soft(ground: Ground, cue: Cue) -> None:
    ground.forward(cue.last, _REACH, _denying(_deny_softly))


def _neg_back(ground: Ground, cue: Cue) -> None:
    if ground.words[cue.first] == "ruled" and ground.first_ahead(cue.last, 2):
        return
    ends = cue.last >= len(ground.words) or ground.words[cue.last] in HARD or ground.words[cue.last] == ","
    if ground.words[cue.first] in ("none", "negative", "unlikely", "absent") and not ends:
        return
    ground.backward(cue.first, 3, _each(_deny))


def _hedge_fwd(ground: Ground, cue: Cue) -> None:
    ground.forward(cue.last, _REACH + 1, _each(_hedge))


def _hedge_back(ground: Ground, cue: Cue) -> None:
    words = ground.words
    closes = cue.last >= len(words) or words[cue.last] in HARD or words[cue.last] in (",", "or", "but")
    if words[cue.first] == "?":
        _question(ground, cue)
    elif closes or cue.last in ground.lines:
        ground.backward(cue.first, 4, _each(_hedge), over_comma=True)


def _question(ground: Ground, cue: Cue) -> None:
    """A question mark makes a guess of what was named right before it."""
    start = ground.sentence_start(max(0, cue.first - 1))
    for target in ground.between(start, cue.first):
        if any(m.attribute in NAMES for m in target.mentions) or target.last == cue.first:
            _each(_hedge)(target)


def _doubt_sign(ground: Ground, cue: Cue) -> None:
    """ "Sort of raised" doubts the sign, "sort of brown" only shades the colour."""
    target = ground.first_ahead(cue.last, 1)
    if target and target.kind == "head":
        _each(_hedge)(target)


# ------------------------------------------------------------------ stages


def _stage(relation: Relation, reach: int) -> Callable[[Ground, Cue], None]:
    def act(ground: Ground, cue: Cue) -> None:
        target = ground.first_ahead(cue.last, reach)
        if target and target.kind == "stage":
            _each(lambda mention: setattr(mention, "relation", relation))(target)
        elif _NOT_WORDS & {ground.passage.tokens[i].norm for i in range(cue.first, cue.last)}:
            _neg_fwd(ground, cue)

    return act


def _after_back(ground: Ground, cue: Cue) -> None:
    def over(mention: Mention) -> None:
        if mention.attribute == "growth_stage":
            mention.relation = Relation.AFTER

    ground.backward(cue.first, 3, _each(over))


# ------------------------------------------------------------------ other times, other fields


def _of_sign(mention: Mention) -> bool:
    return mention.attribute in signs() or mention.attribute in ("growth_stage", "scouted", "humidity")


def _past_fwd(ground: Ground, cue: Cue) -> None:
    ground.forward(cue.last, 4, _each(_when("past")))


def _past_back(ground: Ground, cue: Cue) -> None:
    for target in reversed(ground.between(ground.sentence_start(cue.first), cue.first)):
        if any(i in ground.stops and ground.words[i] not in SOFT_STOPS for i in range(target.last, cue.first)):
            break
        _each(lambda mention: setattr(mention, "when", "past") if _of_sign(mention) else None)(target)
    if ground.words[cue.first] in ("last", "in", "years", "two", "historically"):
        ground.forward(cue.last, 4, _each(lambda m: setattr(m, "when", "past") if _of_sign(m) else None))


def _belief_past(ground: Ground, cue: Cue) -> None:
    ground.forward(cue.last, 4, _each(_when("then")), chain=False)


def _then(ground: Ground, cue: Cue) -> None:
    if cue.first and ground.words[cue.first - 1] in _SINCE:
        return
    start, end = ground.clause(cue)
    opens = cue.first == ground.sentence_start(cue.first)
    for target in ground.between(start, ground.sentence_end(cue.last) if opens else end):
        if opens and any(i in ground.stops for i in range(cue.last, target.first)):
            break
        _each(lambda m: setattr(m, "when", "then") if _of_sign(m) and _weatherless(ground, start, end) else None)(target)


def _weatherless(ground: Ground, start: int, end: int) -> bool:
    """ "Hail last week, freckles": the time is that of the weather or the spray, not of the signs."""
    taken = group("weather") | {"sprayed", "sprayed_on"}
    return not any(m.attribute in taken for t in ground.between(start, end) for m in t.mentions)


def _cond_fwd(ground: Ground, cue: Cue) -> None:
    open_ended = ground.words[cue.first] in ("if", "should", "unless", "once", "even", "when", "as", "what")
    end = ground.sentence_end(cue.last) if open_ended else min(len(ground.words), cue.last + _REACH + 4)
    for target in ground.between(cue.last, min(end, ground.sentence_end(cue.last))):
        if any(i in ground.stops and ground.words[i] not in SOFT_STOPS | {"then", "so"} for i in range(cue.last, target.first)):
            return
        if any(_exempt(mention) for mention in target.mentions):
            return
        _each(_when("if"))(target)
        if not open_ended and not _listed(ground, target):
            return


def _listed(ground: Ground, target: Target) -> bool:
    following = ground.words[target.last : target.last + 1]
    return target.kind == "modifier" or following in (["or"], ["and"], ["on"], ["in"], ["at"]) or target.last in ground.at


def _exempt(mention: Mention) -> bool:
    """Money, harvest and the crop stand outside of suppositions and plans."""
    return any(part in mention.attribute for part in _MONEY) or mention.attribute in group("crop")


def _plan_fwd(ground: Ground, cue: Cue) -> None:
    touched = {"sprayed", "spray_method", "active_ingredient", "active_class", "spray_stage", "sprayed_on", "spreading"}
    for target in ground.between(cue.last, ground.sentence_end(cue.last)):
        if any(i in ground.stops and ground.words[i] in ("but", "however") for i in range(cue.last, target.first)):
            return
        _each(lambda m: setattr(m, "when", "plan") if m.attribute in touched | {"adjuvant"} else None)(target)


def _elsewhere(ground: Ground, cue: Cue) -> None:
    start, _end = ground.clause(cue)
    here = [c for c in ground.passage.cues if c.kind == "here"]
    mine = any(start <= c.first < cue.first and ground.words[c.last : c.last + 1] and ground.words[c.last] in _HAVING for c in here)
    first = cue.last if mine else start
    turns = [c.first for c in here if c.first >= cue.last and c.first > cue.last]
    turns += [c.first for c in ground.passage.cues if c.kind == "stop" and c.first > cue.last and ground.words[c.first] in ("but", "however")]
    for target in ground.between(first, min([ground.sentence_end(cue.last), *turns])):
        _each(_when("elsewhere"))(target)


def _compare_fwd(ground: Ground, cue: Cue) -> None:
    ground.forward(cue.last, 4, _each(lambda mention: mention.drop("only compared with")))


# ------------------------------------------------------------------ not looked at, could not tell


def _reached(status: Status) -> Callable[[Ground, Cue], None]:
    def act(ground: Ground, cue: Cue) -> None:
        ground.forward(cue.last, _REACH + 2, _each(_status(status)))

    return act


def _reached_back(status: Status) -> Callable[[Ground, Cue], None]:
    def act(ground: Ground, cue: Cue) -> None:
        if ground.first_ahead(cue.last, 3) is None:
            ground.backward(cue.first, 4, _each(_status(status)), over_comma=True)

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
    "past_fwd": _past_fwd,
    "past_back": _past_back,
    "belief_past": _belief_past,
    "then": _then,
    "cond_fwd": _cond_fwd,
    "plan_fwd": _plan_fwd,
    "elsewhere": _elsewhere,
    "compare_fwd": _compare_fwd,
    "unchecked_fwd": _reached(Status.NOT_CHECKED),
    "unchecked_back": _reached_back(Status.NOT_CHECKED),
    "unsure_fwd": _reached(Status.CANNOT_TELL),
    "unsure_back": _reached_back(Status.CANNOT_TELL),
}
