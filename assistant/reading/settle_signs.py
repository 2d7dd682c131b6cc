"""Conventions of the contract about what is seen: clean places, rubbing, words that say one thing twice."""

from __future__ import annotations

from itertools import pairwise

from assistant.reading.mention import Mention, Passage, sentences
from rules.model import Status

_LOOKED = frozenset({"checked", "looked", "flipped", "check", "look", "inspected", "turned"})
_SIGNS_OF_CLEAN = frozenset({"lesion_form", "problem", "suspected_problem", "raised", "rubs_off"})
_INTO = frozenset({"on", "in", "at", "the", "from", "up", "down"})
_LED = (("on",), ("in",), ("to",), ("up",), ("at",))
_BEING = frozenset(
    {"is", "'s", "are", "was", "were", "still", "looks", "look", "all", "both", "stays", "and", "just",
     "real", "pretty", "looked", "perfectly", ":", "as"}
)  # fmt: skip
_LIGHTS = frozenset({"light", "sun", "sky", "window", "sunlight"})
_HELD = frozenset({"hold", "held", "holding", "put", "against", "through", "holds"})
_FLIPPED = frozenset({"flipped", "flip", "flipping", "turned"})
_LONG = frozenset({"lesion_shape", "lesion_length_in", "lesion_size_in", "lesion_size_mm"})


def _clean_places(passage: Passage) -> None:
    """As in "Clean underneath", "ear leaf is clean": the place is clean, not the whole field."""
    for clean in [
        m for m in passage.live if m.attribute == "problem" and m.value == "any" and _says_clean(m)
    ]:
        if _places_beside(passage, clean):
            continue
        clause = [m for m in passage.live if passage.clause[m.first] == passage.clause[clean.first]]
        others = [m for m in clause if m is not clean]
        places = [
            m
            for m in others
            if m.attribute in ("leaf_surface", "canopy_position") and _near(clean, m, passage)
        ]
        if places and not any(m.attribute in _SIGNS_OF_CLEAN and m.stated for m in others):
            for place in places:
                place.status, place.hedged = Status.ABSENT, clean.hedged
            clean.drop("a place is clean, not all")


def _places_beside(passage: Passage, clean: Mention) -> bool:
    """Deny the place that stands right at "clean": "ear leaf clean", "clean underneath"."""
    places = [m for m in passage.live if m.attribute in ("leaf_surface", "canopy_position", "leaf_from_ear")]
    if any((m.first, m.last) == (clean.first, clean.last) for m in places):
        return True
    ahead = [m for m in places if 0 <= m.first - clean.last <= 2]
    ahead = [m for m in ahead if set(passage.words(clean.last, m.first)) <= _INTO and m.stated]
    behind = [m for m in places if 0 <= clean.first - m.last <= 3 and m.stated]
    behind = [m for m in behind if set(passage.words(m.last, clean.first)) <= _BEING]
    told = [m for m in behind if m.last < clean.first or passage.words(m.first - 1, m.first)[-1:] not in _LED]
    told = [m for m in told if not _bears_sign(passage, m)] or ahead
    for place in told:
        place.status, place.hedged = Status.ABSENT, clean.hedged
        if clean.first < place.first:
            break
    if told:
        clean.drop("a place is clean, not all")
    return bool(told)


def _bears_sign(passage: Passage, place: Mention) -> bool:
    """Whether a sign is led to the place: "rust on the ear leaf clean underneath"."""
    led = passage.words(place.first, place.first + 1)
    return led in _LED and any(m.last == place.first and m.attribute in _SIGNS_OF_CLEAN for m in passage.live)


def _says_clean(mention: Mention) -> bool:
    return mention.status is Status.ABSENT and mention.origin == "words" and mention.when == "now"


def _near(clean: Mention, place: Mention, passage: Passage) -> bool:
    gap = max(place.first - clean.last, clean.first - place.last)
    between = passage.words(min(clean.last, place.last), max(clean.first, place.first))
    return gap <= 4 and "but" not in between


def _surfaces_without_leaf(passage: Passage) -> None:
    """A place that was denied with its sign stays denied for the leaf side alone ("both" never is)."""
    for mention in passage.live:
        if (
            mention.attribute == "leaf_surface"
            and mention.value == "both"
            and mention.status is Status.ABSENT
        ):
            mention.drop("neither side was told apart")


def _rubbing(passage: Passage) -> None:
    """Something that does not come off has no manner and no colour of coming off."""
    for mention in passage.live:
        if mention.attribute == "rub_colour" and mention.status is Status.ABSENT:
            mention.drop("nothing came off")
        if mention.attribute == "rub" and mention.status is Status.ABSENT and mention.value != "powder":
            mention.drop("nothing came off")


def _long_with_shape(passage: Passage) -> None:
    """As in "Long cigars", "two inches long": the shape or the length says it."""
    for mentions in sentences(passage):
        said = {m.attribute for m in mentions if m.form not in ("long", "narrow", "line", "lines")}
        for mention in mentions:
            if mention.attribute == "lesion_shape" and mention.form == "long" and said & _LONG:
                mention.drop("said more closely")


def _shredded_with_loss(passage: Passage) -> None:
    """As in "Leaves shredded, forty percent gone": the share of leaf lost says it."""
    if any(m.attribute == "defoliation_pct" for m in passage.live):
        for mention in passage.live:
            if mention.attribute == "shredded":
                mention.drop("the share lost says it")


def _shredded_pith(passage: Passage) -> None:
    """As in "Pith is pink and shredded" is of the pith, not of the leaves."""
    for mention in passage.live:
        if mention.attribute == "shredded":
            sentence = passage.sentence[mention.first]
            words = {t.text for t, s in zip(passage.tokens, passage.sentence, strict=True) if s == sentence}
            if words & {"pith", "inside", "stalk", "stalks"}:
                mention.attribute, mention.value = "pith", "shredded"


def _looked_at(passage: Passage) -> None:
    """As in "Checked the underside, no bumps": the next words say whether the side is clean."""
    live = passage.live
    for i, place in enumerate(live):
        if place.attribute not in ("leaf_surface", "canopy_position") or not place.stated:
            continue
        if not _LOOKED & set(passage.words(place.first - 3, place.first)):
            continue
        if any(other.first == place.first and other.status is Status.ABSENT for other in live[:i]):
            place.status = Status.ABSENT  # the second place of "ear leaf and above"
            continue
        behind = [m for m in live[i + 1 :] if passage.sentence[m.first] == passage.sentence[place.first]]
        told = next((m for m in behind if m.attribute in _SIGNS_OF_CLEAN), None)
        if told and told.status is Status.ABSENT:
            place.status = Status.ABSENT
            if told.value == "any":
                told.drop("a place is clean, not all")
        elif told is None:
            place.drop("looked at, nothing said")


def _backlit(passage: Passage) -> None:
    """A halo seen against the light is the backlit one."""
    for mentions in sentences(passage):
        words = set(passage.sentence_words(mentions[0].first))
        lit = "backlit" in words or (words & _LIGHTS and words & _HELD)
        glows = any(m.attribute == "backlit_halo" for m in mentions)
        for mention in mentions:
            if lit and not glows and mention.attribute == "halo":
                mention.attribute = "backlit_halo"


def _flipped(passage: Passage) -> None:
    """As in "flipped it over, nothing": the lower side is clean."""
    for mentions in sentences(passage):
        words = passage.sentence_words(mentions[0].first)
        places = [m for m in mentions if m.attribute == "leaf_surface"]
        if not set(words) & _FLIPPED or any(m.value != "upper" for m in places):
            continue
        for mention in mentions:
            if mention.attribute == "problem" and mention.value == "any" and _says_clean(mention):
                mention.attribute, mention.value = "leaf_surface", "lower"


def _halo_absent(passage: Passage) -> None:
    """No colour of a halo that is not there."""
    for one, other in pairwise(passage.live):
        pair = {one.attribute: one, other.attribute: other}
        if set(pair) == {"halo", "halo_colour"} and pair["halo"].status is Status.ABSENT:
            pair["halo_colour"].drop("no halo")


#: In the order in which they are applied.
SIGNS = (
    _flipped,
    _clean_places,
    _surfaces_without_leaf,
    _rubbing,
    _long_with_shape,
    _shredded_pith,
    _shredded_with_loss,
    _looked_at,
    _halo_absent,
    _backlit,
)
