"""The conventions of the contract (section 4), applied once it is clear how everything is meant."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from assistant.reading.attributes import group, signs
from assistant.reading.mention import NAMES, PLACES, Mention, Passage
from rules.model import Status

_EVENTS = frozenset({"hail", "storm", "windstorm", "flooding", "frost"})
_AT_STAGE = frozenset({"at", "around", "about", "during", "when", "in", "right", "back", "by"})
_SPRAY_AT = frozenset({"at", "around", "right", "during", "before", "after", "post", "about", "near", "just", "on"})
_NAMES_OF_WHOLE = frozenset({"any", "leaf_disease"})
_SIGNS_OF_CLEAN = frozenset({"lesion_form", "problem", "suspected_problem", "raised", "rubs_off"})


def settle(passage: Passage) -> None:
    """Apply every convention in turn."""
    for step in (
        _two_readings,
        _dates,
        _out_of_bounds,
        _percents,
        _stages_of_events,
        _stages_of_sprays,
        _clean_places,
        _surfaces_without_leaf,
        _rubbing,
        _long_with_shape,
        _shredded_with_loss,
        _halo_absent,
        _names,
        _laboratory,
    ):
        step(passage)


def _sentences(passage: Passage) -> Iterator[list[Mention]]:
    found: dict[int, list[Mention]] = {}
    for mention in passage.live:
        found.setdefault(passage.sentence[mention.first], []).append(mention)
    yield from found.values()


def _two_readings(passage: Passage) -> None:
    """A bare "upper" is the leaf's or the plant's as its sentence says; else it is asked back."""
    for mentions in _sentences(passage):
        said = {m.attribute for m in mentions}
        for mention in (m for m in mentions if m.attribute == "ask_back"):
            if "leaf_surface" in said or "canopy_position" in said:
                mention.attribute = "leaf_surface" if "leaf_surface" in said else "canopy_position"
                mention.value = "upper"
            elif mention.form == "top":
                mention.drop("mere grammar")
            else:
                mention.drop("asked back")


def _dates(passage: Passage) -> None:
    """A date of nothing named is that of the weather or the spray in its clause, else understood and no fact."""
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
    """ "Hail came at V7": the stage is the hail's, not today's."""
    for mentions in _sentences(passage):
        events = [m for m in mentions if (m.attribute == "weather" and m.value in _EVENTS) or m.attribute == "whorl_water"]
        for stage in (m for m in mentions if m.attribute == "growth_stage"):
            clause = passage.clause[stage.first]
            near = [m for m in events if passage.clause[m.first] == clause or abs(m.last - stage.first) <= 3]
            if near and _before(passage, stage, 2) & _AT_STAGE | {"before"} & _before(passage, stage, 2):
                stage.drop("the stage of an event")


def _stages_of_sprays(passage: Passage) -> None:
    """ "Sprayed it at tassel" is the stage of the spray."""
    for mentions in _sentences(passage):
        sprays = [m for m in mentions if m.attribute in ("sprayed", "active_ingredient", "active_class", "sprayed_on")]
        for stage in (m for m in mentions if m.attribute == "growth_stage" and m.when == "now"):
            earlier = [m for m in sprays if m.first < stage.first and m.when == "now"]
            lead = _before(passage, stage, 2)
            if earlier and lead & _SPRAY_AT and "now" not in passage.words(stage.first - 3, stage.last + 2):
                stage.attribute, stage.relation = "spray_stage", None


def _before(passage: Passage, mention: Mention, count: int) -> set[str]:
    return set(passage.words(mention.first - count, mention.first))


def _clean_places(passage: Passage) -> None:
    """ "Clean underneath", "ear leaf is clean": the place is clean, not the whole field."""
    for clean in [m for m in passage.live if m.attribute == "problem" and m.value == "any" and _says_clean(m)]:
        clause = [m for m in passage.live if passage.clause[m.first] == passage.clause[clean.first]]
        others = [m for m in clause if m is not clean]
        places = [m for m in others if m.attribute in ("leaf_surface", "canopy_position") and _near(clean, m, passage)]
        if places and not any(m.attribute in _SIGNS_OF_CLEAN and m.stated for m in others):
            for place in places:
                place.status, place.hedged = Status.ABSENT, clean.hedged
            clean.drop("a place is clean, not all")


def _says_clean(mention: Mention) -> bool:
    return mention.status is Status.ABSENT and mention.origin == "words" and mention.when == "now"


def _near(clean: Mention, place: Mention, passage: Passage) -> bool:
    gap = max(place.first - clean.last, clean.first - place.last)
    between = passage.words(min(clean.last, place.last), max(clean.first, place.first))
    return gap <= 4 and "but" not in between


def _surfaces_without_leaf(passage: Passage) -> None:
    """A place that was denied with its sign stays denied for the leaf side alone ("both" never is)."""
    for mention in passage.live:
        if mention.attribute == "leaf_surface" and mention.value == "both" and mention.status is Status.ABSENT:
            mention.drop("neither side was told apart")


def _rubbing(passage: Passage) -> None:
    """Something that does not come off has no manner and no colour of coming off."""
    for mention in passage.live:
        if mention.attribute == "rub_colour" and mention.status is Status.ABSENT:
            mention.drop("nothing came off")
        if mention.attribute == "rub" and mention.status is Status.ABSENT and mention.value != "powder":
            mention.drop("nothing came off")


def _long_with_shape(passage: Passage) -> None:
    """ "Long cigars", "two inches long": the shape or the length says it."""
    for mentions in _sentences(passage):
        said = {m.attribute for m in mentions if m.form not in ("long", "narrow", "line", "lines")}
        for mention in mentions:
            if mention.attribute == "lesion_shape" and mention.form == "long":
                if said & {"lesion_shape", "lesion_length_in", "lesion_size_in", "lesion_size_mm"}:
                    mention.drop("said more closely")


def _shredded_with_loss(passage: Passage) -> None:
    """ "Leaves shredded, forty percent gone": the share of leaf lost says it."""
    if any(m.attribute == "defoliation_pct" for m in passage.live):
        for mention in passage.live:
            if mention.attribute == "shredded":
                mention.drop("the share lost says it")


def _halo_absent(passage: Passage) -> None:
    """No colour of a halo that is not there."""
    for one, other in pairwise(passage.live):
        pair = {one.attribute: one, other.attribute: other}
        if set(pair) == {"halo", "halo_colour"} and pair["halo"].status is Status.ABSENT:
            pair["halo_colour"].drop("no halo")


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


def other_times(mentions: list[Mention]) -> None:
    """What is not of today's field: years gone by, other people's fields, suppositions, plans."""
    for mention in [m for m in mentions if not m.dropped]:
        present = mention.status is Status.PRESENT
        if mention.when == "now":
            continue
        if mention.when == "past" and mention.attribute in NAMES and present and _nameable(mention):
            mention.attribute, mention.when, mention.hedged = "field_history", "now", False
        elif mention.when == "elsewhere" and mention.attribute in NAMES and present and _nameable(mention):
            mention.attribute, mention.when, mention.hedged = "nearby_find", "now", False
        elif mention.when == "elsewhere" and mention.attribute == "sprayed_on":
            mention.attribute, mention.when = "neighbour_sprayed_on", "now"
        elif mention.when in ("past", "elsewhere") and mention.attribute not in signs() | group("stage") and mention.when == "past":
            mention.when = "now"
        else:
            mention.drop(f"not of today's field: {mention.when}")


def _nameable(mention: Mention) -> bool:
    return mention.value not in ("any", "leaf_disease", "stalk_rot", "ear_rot")


def place_of(mention: Mention) -> bool:
    """Whether the mention is a place on the plant."""
    return mention.attribute in PLACES
