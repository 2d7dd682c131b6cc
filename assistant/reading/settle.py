"""The conventions of the contract (section 4), applied once it is clear how everything is meant."""

from __future__ import annotations

from itertools import pairwise

from assistant.reading.attributes import group
from assistant.reading.mention import NAMES, Mention, Passage, sentences
from assistant.reading.settle_signs import SIGNS
from rules.model import Relation, Status

_EVENTS = frozenset({"hail", "storm", "windstorm", "flooding", "frost"})
_FLIPPING = frozenset({"flipped", "flip", "flipping", "turned"})
#: Of the words with two readings, those that are asked back when nothing settles them.
_ASKED = frozenset(
    {"upper", "the upper", "on the upper", "uppers", "on the uppers", "on top", "on the top", "upper only"}
)
_TOP_WORDS = frozenset({"on top", "on the top", "bottom", "on the bottom", "the bottom", "top"})
_WAS = frozenset({"was", "were"})
_STALKS = frozenset({"stalk", "stalks", "pith", "node", "nodes", "push", "pushed"})
_EARS = frozenset({"ear", "ears", "kernel", "kernels", "husk", "husks", "cob"})
_ROTS_OF_STALK = {
    "gibberella_ear_rot": "gibberella_stalk_rot",
    "fusarium_ear_rot": "fusarium_stalk_rot",
    "diplodia_ear_rot": "diplodia_stalk_rot",
}
_LIKENESS = frozenset({"looking", "like", "type", "ish", "lookin"})
_AT_STAGE = frozenset({"at", "around", "about", "during", "when", "in", "right", "back", "by", "before"})
_SPRAY_AT = frozenset(
    {"at", "around", "right", "during", "before", "after", "post", "about", "near", "just", "on"}
)
_BEING = frozenset({"is", "'s", "was", "has", "are"})
_NAMES_OF_WHOLE = frozenset({"any", "leaf_disease"})


def _two_readings(passage: Passage) -> None:
    """A bare "upper" is the leaf's or the plant's as its sentence says; else it is asked back."""
    for mentions in sentences(passage):
        said = {m.attribute for m in mentions}
        flipped = bool(_FLIPPING & set(passage.sentence_words(mentions[0].first)))
        for mention in (m for m in mentions if m.attribute == "ask_back"):
            side_before = mention.form in _TOP_WORDS and _side_before(passage, mention)
            if flipped or side_before or "leaf_surface" in said or "canopy_position" in said:
                side = flipped or side_before or "leaf_surface" in said
                mention.attribute = "leaf_surface" if side else "canopy_position"
                mention.value = "lower" if "bottom" in mention.form else "upper"
            elif mention.form not in _ASKED:
                mention.drop("mere grammar")
            else:
                mention.drop("asked back")


def _side_before(passage: Passage, mention: Mention) -> bool:
    """As in "Couldn't tell about the underside. On top they are orange": the sentence before is of sides."""
    before = {
        m.attribute for m in passage.live if passage.sentence[m.first] == passage.sentence[mention.first] - 1
    }
    return "leaf_surface" in before and "canopy_position" not in before


def _dates(passage: Passage) -> None:
    """A date of nothing named is of the weather or the spray in its clause, else of nothing."""
    for mention in (m for m in passage.live if m.attribute == "date"):
        near = {m.attribute for m in passage.live if passage.clause[m.first] == passage.clause[mention.first]}
        events = near & group("weather") - {"humidity", "temperature_f"}
        if "sprayed" in near:
            mention.attribute = "sprayed_on"
        elif "rain_in" in near or "rain_mm" in near:
            mention.attribute = "rain_on"
        elif events:
            mention.attribute = "weather_on"
        elif "scouted" in near:
            mention.attribute = "observed_on"
        else:
            mention.drop("a date of nothing named")


def _out_of_bounds(passage: Passage) -> None:
    for mention in passage.live:
        if mention.attribute == "out_of_bounds":
            mention.drop("out of its range")


def _percents(passage: Passage) -> None:
    """A percentage of nothing named is leaf area where the note tells of marks; else it stays unread."""
    told = any(m.attribute in group("seen") | NAMES or m.attribute == "canopy_position" for m in passage.live)
    for mention in passage.live:
        if mention.attribute == "percent":
            if told:
                mention.attribute = "severity_pct"
            else:
                mention.drop("a percentage of nothing named")


def _stages_of_events(passage: Passage) -> None:
    """As in "Hail came at V7": the stage is the hail's, not today's."""
    for mentions in sentences(passage):
        events = [
            m
            for m in mentions
            if (m.attribute == "weather" and m.value in _EVENTS) or m.attribute == "whorl_water"
        ]
        for stage in (m for m in mentions if m.attribute == "growth_stage"):
            clause = passage.clause[stage.first]
            near = [m for m in events if passage.clause[m.first] == clause or abs(m.last - stage.first) <= 3]
            if near and (
                _before(passage, stage, 2) & _AT_STAGE
                or passage.words(stage.last, stage.last + 1) == ("when",)
            ):
                stage.drop("the stage of an event")


def _stages_of_sprays(passage: Passage) -> None:
    """As in "Sprayed it at tassel" is the stage of the spray."""
    for mentions in sentences(passage):
        sprays = [
            m
            for m in mentions
            if m.attribute in ("sprayed", "active_ingredient", "active_class", "sprayed_on")
        ]
        for stage in (m for m in mentions if m.attribute == "growth_stage" and m.when == "now"):
            earlier = [m for m in sprays if m.first < stage.first and m.when == "now"]
            lead = _before(passage, stage, 2)
            if earlier and lead & _SPRAY_AT and "now" not in passage.words(stage.first - 3, stage.last + 2):
                stage.attribute, stage.relation = "spray_stage", None


def _before(passage: Passage, mention: Mention, count: int) -> set[str]:
    return set(passage.words(mention.first - count, mention.first))


def _ratings(passage: Passage) -> None:
    """As in "Rated a 4 on gray leaf spot", "susceptible to it": the name is what the score is for."""
    live = passage.live
    for one, other in pairwise(live):
        if (
            one.attribute in ("hybrid_rating", "rating_value", "rating_best_end", "rating_for")
            and other.attribute in NAMES
        ) and (
            set(passage.words(one.last, other.first)) & {"to", "on", "for", "against", "and"}
            and other.first - one.last <= 3
            and not set(passage.words(other.last, other.last + 1)) & _BEING
        ):
            other.attribute, other.hedged, other.status = "rating_for", False, Status.PRESENT


def _general_with_name(passage: Passage) -> None:
    """As in "Leaf disease is light, some gray leaf spot": the name says it."""
    for mentions in sentences(passage):
        named = any(m.attribute in NAMES and m.value not in _NAMES_OF_WHOLE and m.stated for m in mentions)
        for mention in mentions:
            if named and mention.attribute in NAMES and mention.value == "leaf_disease" and mention.stated:
                mention.drop("the name says it")


def _alternatives(passage: Passage) -> None:
    """As in "gray leaf spot or northern", "rust looking spots": neither is stated as so."""
    names = [m for m in passage.live if m.attribute in NAMES]
    for one, other in pairwise(names):
        between = passage.words(one.last, other.first)
        if between in (("or",), ("or", "maybe"), ("vs",), ("versus",)) and one.stated and other.stated:
            one.hedged = other.hedged = True
    for name in names:
        if set(passage.words(name.last, name.last + 1)) & _LIKENESS and name.stated:
            name.hedged = True


def _names(passage: Passage) -> None:
    """Stated as so is ``problem``; guessed, claimed, heard or doubted is ``suspected_problem``."""
    for mention in passage.live:
        if mention.attribute not in NAMES:
            continue
        if mention.value == "leaf_disease" and mention.status is Status.ABSENT:
            mention.value = "any"
        if mention.hedged and mention.value not in _NAMES_OF_WHOLE:
            mention.attribute = "suspected_problem"


def _laboratory(passage: Passage) -> None:
    """A laboratory that found nothing has confirmed nothing."""
    names = [m for m in passage.live if m.attribute in NAMES]
    for mention in passage.live:
        if mention.attribute in ("confirmed", "lab_confirmed"):
            near = [m for m in names if passage.sentence[m.first] == passage.sentence[mention.first]]
            if near and all(m.status is Status.ABSENT or m.when != "now" for m in near):
                mention.drop("nothing was confirmed")


def _none_of_those_looked_at(passage: Passage) -> None:
    """As in "tar spot now: 0 of 50 plants": what no plant shows is not there."""
    for count in passage.live:
        if count.attribute in ("plants_affected", "incidence_pct") and count.value == 0:
            clause = [m for m in passage.live if passage.clause[m.first] == passage.clause[count.first]]
            for name in (m for m in clause if m.attribute in NAMES and m.stated):
                name.status = Status.ABSENT


def _stage_then(passage: Passage) -> None:
    """As in "She was V13 then": the stage of that day."""
    for stage in passage.live:
        behind = passage.words(stage.last, stage.last + 2)
        told = stage.attribute == "growth_stage" and behind in (("then",), ("then", "."))
        if told and _before(passage, stage, 6) & _WAS:
            stage.drop("the stage of another day")


def _coming(passage: Passage) -> None:
    """As in "tassels just coming": close, and not there yet."""
    for stage in passage.live:
        if stage.value == "VT" and stage.relation is None and "coming" in stage.form.split():
            stage.relation = Relation.NEARING


def _stalk_or_ear(passage: Passage) -> None:
    """As in "stalk rot: gibberella? fusarium?": of the stalk where the sentence speaks of stalks alone."""
    for mentions in sentences(passage):
        words = set(passage.sentence_words(mentions[0].first))
        if not words & _STALKS or words & _EARS:
            continue
        named = [m for m in mentions if m.attribute in NAMES and m.value in _ROTS_OF_STALK]
        for name in named:
            name.value = _ROTS_OF_STALK[str(name.value)]
        for general in mentions if named else ():
            if general.attribute in NAMES and general.value == "stalk_rot":
                general.drop("the name says it")


_FIRST = (_two_readings, _dates, _out_of_bounds, _percents, _stages_of_events, _stages_of_sprays)
_LAST = (
    _ratings,
    _none_of_those_looked_at,
    _stage_then,
    _coming,
    _stalk_or_ear,
    _general_with_name,
    _alternatives,
    _names,
    _laboratory,
)


def settle(passage: Passage) -> None:
    """Apply every convention in turn."""
    for step in (*_FIRST, *SIGNS, *_LAST):
        step(passage)
