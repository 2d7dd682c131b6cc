"""Cues of other times and other fields: past, supposed, intended, somebody else's, only compared with."""

from __future__ import annotations

from assistant.reading.attributes import group, signs
from assistant.reading.cue_marks import each, in_time, put
from assistant.reading.mention import NAMES, Cue, Mention
from assistant.reading.scope import SOFT_STOPS, Ground, Target

_REACH = 4
_SUPPOSING = 9
_COUNTIES = frozenset({"county", "counties", "area", "state", "township", "parts"})
_SINCE = frozenset({"since", "than", "from", "like", "as"})
_HAD = frozenset({"had", "saw", "found", "fought", "sprayed", "got"})
_WAS = frozenset({"was", "were", "been"})
_IT = frozenset({"it", "that", "them", "this", "those", "some"})
#: Words that one past thought may take.
_BREATH = 12
_HAVING = frozenset({"have", "'ve", "ve", "got", "found", "see", "saw", "seen"})
_YEARS = frozenset({"last", "in", "years", "two", "historically"})
_OPEN_ENDED = frozenset({"if", "should", "unless", "once", "even", "when", "as", "what"})
_MONEY = ("_usd_", "yield_", "harvest", "days_", "_days", "population", "row_spacing")
_WAYS = frozenset({"mile", "miles", "county", "counties", "state"})
_PERSONS = frozenset({"neighbor", "neighbors", "neighbour", "neighbours", "buddy", "cousin", "coworker"})
_OF_PERSONS = frozenset({"the", "my", "our", "a", "his"})
_LEADING = frozenset(
    {"at", "by", "from", "on", "like", "over", "across", "near", "to", "with", "of", "said", "says", "heard",
     "reported", "and"}
)  # fmt: skip
_STAGED = frozenset({"at", "around", "before", "between", "by", "until", "till"})
_TREATMENT = frozenset(
    [
        "sprayed",
        "spray_method",
        "active_ingredient",
        "active_class",
        "spray_stage",
        "sprayed_on",
        "adjuvant",
        "spreading",
    ]
)


def past_fwd(ground: Ground, cue: Cue) -> None:
    """As in "Used to have gray leaf spot"."""
    ground.forward(cue.last, _REACH, each(in_time("past")))


def past_back(ground: Ground, cue: Cue) -> None:
    """As in "We had tar spot last year"; not what stands long before it in one breath."""
    for target in reversed(ground.between(_past_start(ground, cue), cue.first)):
        if _stopped(ground, target.last, cue.first):
            break
        put(target, "past", _of_sign)
    if ground.words[cue.first] in _YEARS:
        ground.forward(cue.last, _REACH, lambda target: put(target, "past", _of_sign))


def _past_start(ground: Ground, cue: Cue) -> int:
    """Where the stretch begins that a "last year" at its end can speak of: at its verb, or just before."""
    start = ground.sentence_start(cue.first)
    for at in range(cue.first - 1, start - 1, -1):
        word = ground.words[at]
        if word in _WAS:
            return max(start, at - _BREATH)
        if word in _HAD:
            if ground.between(at, cue.first):
                return at
            taken_up = ground.words[at + 1] in _IT if at + 1 < cue.first else False
            return cue.first if taken_up else max(start, at - _REACH)
    return max(start, cue.first - _BREATH)


def belief_past(ground: Ground, cue: Cue) -> None:
    """As in "I thought it was common rust": what was thought once is no fact of today."""
    ground.forward(cue.last, _REACH, each(in_time("then")), chain=False)


def then(ground: Ground, cue: Cue) -> None:
    """As in "Last week it was clean"; but "hail last week" dates the hail alone."""
    if cue.first and ground.words[cue.first - 1] in _SINCE:
        return
    start, end = ground.clause(cue)
    opens = cue.first == ground.sentence_start(cue.first)
    if _has_weather(ground, start, end):
        return
    for target in ground.between(start, ground.sentence_end(cue.last) if opens else end):
        if opens and any(i in ground.stops for i in range(cue.last, target.first)):
            break
        put(target, "then", _of_sign)


def cond_fwd(ground: Ground, cue: Cue) -> None:
    """As in "If it reaches the ear leaf", "watch for tar spot"."""
    open_ended = ground.words[cue.first] in _OPEN_ENDED
    end = ground.sentence_end(cue.last)
    for target in ground.between(cue.last, end if open_ended else min(end, cue.last + _SUPPOSING)):
        if not open_ended and "," in ground.words[cue.last : target.first]:
            return
        if _stopped(ground, cue.last, target.first, but=frozenset({"then", "so"})) or any(
            map(_exempt, target.mentions)
        ):
            return
        put(target, "if", lambda _mention: True)
        if not open_ended and not _listed(ground, target):
            return


def plan_fwd(ground: Ground, cue: Cue) -> None:
    """As in "We'll go with a ground rig", "planning to spray at R1"."""
    for target in ground.between(cue.last, ground.sentence_end(cue.last)):
        if any(
            i in ground.stops and ground.words[i] in ("but", "however") for i in range(cue.last, target.first)
        ):
            return
        lead = set(ground.words[max(0, target.first - 2) : target.first])
        if target.kind == "stage" and lead & _STAGED:
            put(target, "plan", lambda _mention: True)
        put(target, "plan", lambda mention: mention.attribute in _TREATMENT)


def plan_back(ground: Ground, cue: Cue) -> None:
    """As in "flutriafol on hand"."""
    ground.backward(
        cue.first, _REACH, lambda target: put(target, "plan", lambda m: m.attribute in _TREATMENT)
    )


def elsewhere(ground: Ground, cue: Cue) -> None:
    """Names and signs of the cue's clause, and names up to where the speaker's own field comes back."""
    if not _far_away(ground, cue):
        return
    start, end = ground.clause(cue)
    if _owned_by_us(ground, cue):
        return
    if _measures_the_way(ground, cue) and not _names_between(ground, start, end):
        start = max(ground.sentence_start(cue.first), _last_of_ours(ground, cue))
    first = cue.last if _mine_before(ground, cue, start) else start
    if _is_subject(ground, cue):
        first = max(first, cue.first)
    for target in ground.between(first, _back_home(ground, cue)):
        put(target, "elsewhere", _others_near if target.first < end else _others_far)


def _owned_by_us(ground: Ground, cue: Cue) -> bool:
    """As in "the Marchetti farm, which my brother in law planted": the field stays the one that was named."""
    return bool({"which", "that"} & set(ground.words[max(0, cue.first - 2) : cue.first]))


def _measures_the_way(ground: Ground, cue: Cue) -> bool:
    """As in "they got southern rust down in Cass, sixty miles south": the way is told behind a comma."""
    return bool(_WAYS & set(ground.words[cue.first : cue.last]))


def _names_between(ground: Ground, first: int, last: int) -> bool:
    return any(m.attribute in NAMES for target in ground.between(first, last) for m in target.mentions)


def _last_of_ours(ground: Ground, cue: Cue) -> int:
    return max((c.last for c in ground.passage.cues if c.kind == "here" and c.first < cue.first), default=0)


def _is_subject(ground: Ground, cue: Cue) -> bool:
    """As in "... as you walk in neighbor sprayed his beans": what stands before is not the neighbor's."""
    if ground.words[cue.first] not in _PERSONS:
        return False
    before = [w for w in ground.words[max(0, cue.first - 3) : cue.first] if w not in _OF_PERSONS]
    return before[-1:] != [] and before[-1] not in _LEADING


def compare_fwd(ground: Ground, cue: Cue) -> None:
    """As in "Darker than rust" names no rust."""
    ground.forward(cue.last, _REACH, each(lambda mention: mention.drop("only compared with")))


# ------------------------------------------------------------------ what is touched, how far


def _of_sign(mention: Mention) -> bool:
    return mention.attribute in signs() or mention.attribute in ("growth_stage", "scouted", "humidity")


def _exempt(mention: Mention) -> bool:
    """Money, harvest and the crop stand outside of suppositions and plans."""
    return any(part in mention.attribute for part in _MONEY) or mention.attribute in group("crop")


def _others_far(mention: Mention) -> bool:
    return mention.attribute in NAMES | {"sprayed", "sprayed_on", "confirmed", "lab_confirmed", "state"}


def _others_near(mention: Mention) -> bool:
    more = ("date", "spray_method", "observed_on")
    return _others_far(mention) or _of_sign(mention) or mention.attribute in more


def _stopped(ground: Ground, first: int, last: int, but: frozenset[str] = frozenset()) -> bool:
    """Whether a stop stands between two tokens."""
    return any(i in ground.stops and ground.words[i] not in SOFT_STOPS | but for i in range(first, last))


def _has_weather(ground: Ground, start: int, end: int) -> bool:
    taken = group("weather") | {"sprayed", "sprayed_on"}
    return any(m.attribute in taken for target in ground.between(start, end) for m in target.mentions)


def _listed(ground: Ground, target: Target) -> bool:
    following = ground.words[target.last : target.last + 1]
    joined = following in (["or"], ["and"], ["on"], ["in"], ["at"])
    return target.kind == "modifier" or joined or target.last in ground.at


def _far_away(ground: Ground, cue: Cue) -> bool:
    """As in "Found in Nebraska" is elsewhere, "found in the west section" is not."""
    ahead = [m.attribute for m in ground.passage.live if cue.last <= m.first < cue.last + _REACH]
    if "field" in ahead:
        return False
    words = set(ground.words[cue.last : cue.last + _REACH + 1])
    return ground.words[cue.last - 1] != "in" or "state" in ahead or bool(words & _COUNTIES)


def _mine_before(ground: Ground, cue: Cue, start: int) -> bool:
    """As in "We have rust like the neighbor": what stands before the cue is the speaker's own."""
    own = [c for c in ground.passage.cues if c.kind == "here" and start <= c.first < cue.first]
    return any(ground.words[c.last] in _HAVING for c in own if c.last < len(ground.words))


def _back_home(ground: Ground, cue: Cue) -> int:
    """Where the speaker's own field comes back, at the latest the end of the sentence."""
    cues = [c for c in ground.passage.cues if c.first > cue.last]
    turns = [c.first for c in cues if c.kind == "here"]
    turns += [c.first for c in cues if c.kind == "stop" and ground.words[c.first] in ("but", "however")]
    back = [
        m.first for m in ground.passage.live if m.attribute in ("pointing", "field") and m.first >= cue.last
    ]
    return min([ground.sentence_end(cue.last), *turns, *back])
