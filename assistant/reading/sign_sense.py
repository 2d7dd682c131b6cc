"""What signs mean in their company: the same word is a mark on a leaf and a speck on a stalk.

Applied once every colour has its thing and before the conventions of the contract.
"""

from __future__ import annotations

from collections.abc import Iterable

from assistant.reading.attributes import allowed, group
from assistant.reading.mention import Mention, Passage, sentences
from assistant.reading.wordlists import words
from rules.model import Relation, Status

_EAR_WORDS = words("guards", "about_ears")
_STALK_WORDS = words("guards", "about_stalks")
_LEAF_WORDS = words("guards", "about_leaves")
#: How far (in tokens) a stalk may stand from the specks on it.
_NEAR = 7
_EDGES = frozenset({"edge", "edges", "margin", "margins"})
_SPECKS = frozenset({"dot", "dots", "speck", "specks", "black dots", "specks of it"})
_BOUNDS = frozenset({",", ".", ";", "+", "-", "and", "or", "&", "/"})
_FIELD_EDGES = frozenset({"edge", "fence"})
_LOOSE_SIZES = frozenset({"small", "large", "tiny"})
_MARKS = frozenset({"lesion_form", "lesion_shape", "halo", "raised"})
_NO_DATED_WEATHER = frozenset(
    {"temperature_f", "temperature_low_f", "temperature_high_f", "temperature_c", "humidity", "whorl_water"}
)
_REACHED = frozenset({"dented", "tasseled", "tasselled", "silked", "denting", "black layered", "pollinated"})
_ON_FINGER = ("my ", "finger", "thumb", "hand")


def make_sense(passage: Passage) -> None:
    """Apply every rule in turn."""
    for rule in _RULES:
        rule(passage)


def _drop(mentions: Iterable[Mention], reason: str) -> None:
    for mention in mentions:
        mention.drop(reason)


def _of(passage: Passage, *attributes: str) -> list[Mention]:
    return [m for m in passage.live if m.attribute in attributes]


def _sentence(passage: Passage, mention: Mention) -> list[Mention]:
    return [m for m in passage.live if passage.sentence[m.first] == passage.sentence[mention.first]]


def _clause(passage: Passage, mention: Mention) -> list[Mention]:
    return [m for m in passage.live if passage.clause[m.first] == passage.clause[mention.first]]


def _said(passage: Passage) -> set[str]:
    return {token.text for token in passage.tokens}


# ------------------------------------------------------------------- ears, stalks and leaves


def _where_mold_began(passage: Passage) -> None:
    """As in "from the tip down": of an ear only where the talk is of ears; else of the leaf."""
    about_ears = bool(_said(passage) & _EAR_WORDS)
    starts = _of(passage, "mold_start")
    if not about_ears:
        _drop(starts, "no ear is spoken of")
        return
    taken = {at for m in starts for at in range(m.first, m.last)}
    for zone in _of(passage, "leaf_zone"):
        if zone.first in taken or (starts and passage.sentence[zone.first] in _sentences_of(passage, starts)):
            zone.drop("of the ear")


def _sentences_of(passage: Passage, mentions: list[Mention]) -> set[int]:
    return {passage.sentence[m.first] for m in mentions}


def _specks_on_stalks(passage: Passage) -> None:
    """As in "black dots on the lower nodes": bodies of a fungus on stalk, pith or husk, no leaf spots."""
    for spot in _of(passage, "lesion_form"):
        if spot.form not in _SPECKS:
            continue
        said = set(passage.words(spot.first - _NEAR, spot.last + _NEAR))
        if not said & _STALK_WORDS or said & _LEAF_WORDS:
            continue
        colour = next((m for m in _of(passage, "lesion_colour") if 0 <= spot.first - m.last <= 1), None)
        if spot.status is Status.PRESENT and (colour is None or colour.value != "black"):
            continue
        spot.attribute, spot.value, spot.reason = "black_specks", True, "on a stalk or an ear"
        if colour:
            colour.drop("the specks say it")


def _specks_said_twice(passage: Passage) -> None:
    """The colour inside "black specks" is no colour of a lesion."""
    for specks in _of(passage, "black_specks"):
        near = [m for m in passage.live if m.first >= specks.first and m.last <= specks.last]
        _drop([m for m in near if m.attribute == "lesion_colour"], "the specks say it")


def _tassel_with_galls(passage: Passage) -> None:
    """As in "galls on the tassel": the part; a "tassel next week" is none and no stage."""
    for tassel in _of(passage, "growth_stage"):
        if tassel.form != "tassel":
            continue
        if passage.words(tassel.last, tassel.last + 1) == ("next",):
            tassel.drop("still to come")
        elif any(m.value in ("gall", "common_smut") for m in _sentence(passage, tassel)):
            tassel.attribute, tassel.value, tassel.relation = "plant_part", "tassel", None


def _parts_in_passing(passage: Passage) -> None:
    """A whorl of water, worms or new leaves and a midrib with its colour are no parts with marks."""
    for part in _of(passage, "plant_part"):
        near = {m.attribute for m in _sentence(passage, part)}
        whorl = part.value == "whorl" and near & {"whorl_water", "insect_feeding", "new_leaves_clean", "weather"}
        midrib = part.value == "midrib" and any(
            max(m.first - part.last, part.first - m.last) <= 2 for m in _of(passage, "midrib_colour")
        )
        node = part.value == "node" and "stalk_position" in near
        if whorl or midrib or node:
            part.drop("named in passing")


def _edges_of_leaves(passage: Passage) -> None:
    """As in "purple edges" without a mark: the edges of the leaves."""
    for rim in _of(passage, "lesion_border_colour"):
        edge = next((i for i in range(rim.last, rim.last + 3) if passage.words(i, i + 1) and _EDGES & set(passage.words(i, i + 1))), None)
        if edge is None or any(m.attribute in _MARKS for m in _sentence(passage, rim)):
            continue
        rim.attribute, rim.reason = "lesion_colour", "no mark has a rim"
        if not any(m.attribute == "leaf_zone" and m.value == "margin" for m in _clause(passage, rim)):
            passage.mentions.append(
                Mention(edge, edge + 1, "leaf_zone", "margin", rim.status, rim.hedged, when=rim.when)
            )


def _green_silks(passage: Passage) -> None:
    """As in "silks just out, still green": no tissue of the leaf."""
    for tissue in _of(passage, "tissue"):
        if {"silk", "silks"} & set(passage.words(tissue.first - 4, tissue.first)):
            tissue.drop("of the silks")


# ------------------------------------------------------------------- said twice


def _loose_sizes(passage: Passage) -> None:
    """As in "big gray cigars, four inches": the measure says it."""
    for mentions in sentences(passage):
        sizes = [m for m in mentions if m.attribute.startswith("lesion_") and m.attribute in group("seen")]
        exact = [
            m
            for m in sizes
            if m.attribute in ("lesion_size_in", "lesion_length_in", "lesion_size_mm", "lesion_width_in")
            or (m.attribute == "lesion_size_like" and m.value not in _LOOSE_SIZES)
        ]
        if exact:
            _drop([m for m in sizes if m.value in _LOOSE_SIZES], "said more closely")


def _general_with_kind(passage: Passage) -> None:
    """As in "irrigated by sprinkler", "wind from the north": the closer word says it."""
    kinds = _of(passage, "irrigation")
    if any(m.value != "yes" and m.stated for m in kinds):
        _drop([m for m in kinds if m.value == "yes" and m.stated], "said more closely")
    if _of(passage, "wind_dir", "wind_speed_mph"):
        _drop([m for m in _of(passage, "weather") if m.value in ("wind", "windy")], "said more closely")
    patterns = _of(passage, "yellowing_pattern")
    if any(m.value != "general" and m.stated for m in patterns):
        _drop([m for m in patterns if m.value == "general" and m.stated], "said more closely")
    crops = _of(passage, "crop_type")
    if any(m.stated for m in crops):
        _drop([m for m in crops if m.status is Status.ABSENT], "another crop is named")
    covers = _of(passage, "cover_crop")
    if any(m.value != "yes" for m in covers):
        _drop([m for m in covers if m.value == "yes"], "said more closely")


def _hairs_stick_up(passage: Passage) -> None:
    """As in "black hairs sticking up": the hairs, not the mark."""
    for mentions in sentences(passage):
        if any(m.attribute == "black_hairs" and m.stated for m in mentions):
            _drop([m for m in mentions if m.attribute == "raised" and "stick" in m.form], "of the hairs")


def _fingers_without_colour(passage: Passage) -> None:
    """As in "my fingers are like rawhide": nothing came off that has no colour."""
    for rub in _of(passage, "rubs_off"):
        led = rub.form.startswith(_ON_FINGER) and not rub.form.endswith(("off", "clean"))
        if led and not any(m.attribute.endswith("colour") for m in _clause(passage, rub)):
            rub.drop("no colour on the finger")


def _silking_dated(passage: Passage) -> None:
    """As in "silked July eighth": the day of silking, not today's stage."""
    if _of(passage, "silked_on"):
        _drop([m for m in _of(passage, "growth_stage") if m.form == "silked"], "its date says it")


def _dates_of_warmth(passage: Passage) -> None:
    """As in "58 last night": the day of a temperature is no date of an event."""
    for day in _of(passage, "date"):
        near = {m.attribute for m in _clause(passage, day)}
        if near & _NO_DATED_WEATHER and not near & ({"weather", "sprayed", "rain_in", "rain_mm"}):
            day.drop("a date of nothing that is dated")


def _rained(passage: Passage) -> None:
    """Where rain was measured, it rained; and the day of it is the day of rain."""
    for amount in _of(passage, "rain_in", "rain_mm"):
        if not any(m.attribute == "weather" and m.value == "rain" for m in _sentence(passage, amount)):
            rain = Mention(amount.first, amount.last, "weather", "rain", amount.status, amount.hedged)
            rain.when = amount.when
            passage.mentions.append(rain)
    for day in _of(passage, "weather_on"):
        events = [m for m in _clause(passage, day) if m.attribute == "weather"]
        if events and all(m.value == "rain" for m in events):
            day.attribute = "rain_on"


def _reached_ago(passage: Passage) -> None:
    """As in "dented a week ago": the crop has reached the stage and stands at it or beyond."""
    for stage in (m for m in passage.mentions if m.attribute == "growth_stage" and m.form in _REACHED):
        ago = set(passage.words(stage.last, stage.last + 5)) & {"ago", "back"}
        if ago and not stage.dropped and stage.when in ("past", "then"):
            stage.when = "now"
            stage.relation = None if stage.value == "R5" else Relation.AFTER


def _pith_said_by_clause(passage: Passage) -> None:
    """As in "stalks pink and shredded inside": a colour beside the state of the pith is the pith's."""
    for pith in _of(passage, "pith"):
        for colour in _sentence(passage, pith):
            marked = any(m.attribute == "lesion_form" and m.first == colour.last for m in passage.live)
            if (
                colour.attribute == "lesion_colour"
                and not marked
                and colour.value in (allowed("pith_colour") or ())
                and abs(colour.first - pith.last) <= (6 if colour in _clause(passage, pith) else 3)
            ):
                colour.attribute, colour.reason = "pith_colour", "beside the state of the pith"


def _colours_of_mold(passage: Passage) -> None:
    """As in "white mold at the butt. No pink": about a moldy ear a colour without a mark is the mold's."""
    moldy = _of(passage, "mold_start", "mold_colour") or [
        m for m in passage.live if str(m.value).endswith("ear_rot")
    ]
    if not moldy or not _said(passage) & _EAR_WORDS:
        return
    for colour in _of(passage, "lesion_colour"):
        marked = any(m.attribute in _MARKS | {"canopy_position"} for m in _sentence(passage, colour))
        if not marked and colour.value in (allowed("mold_colour") or ()):
            colour.attribute, colour.reason = "mold_colour", "the talk is of mold"
    if _of(passage, "mold_colour"):
        said_twice = [m for m in _of(passage, "fuzz") if m.form in ("mold", "mould", "moldy", "mouldy", "mold growth")]
        _drop(said_twice, "its colour says it")


def _green_tops(passage: Passage) -> None:
    """As in "the tops are green": the healthy part of the plant, no mark and no place of one."""
    for colour in _of(passage, "lesion_colour"):
        being = set(passage.words(colour.first - 2, colour.first)) & {"is", "are", "'s", "stay", "still"}
        places = [m for m in _of(passage, "canopy_position") if 0 < colour.first - m.last <= 2]
        if colour.value == "green" and being and places:
            _drop([colour, *places], "the healthy part")


def _bare_lower(passage: Passage) -> None:
    """A bare "lower" is a place on the plant only where it stands by itself: "tan, brown rim, lower"."""
    for place in (m for m in _of(passage, "canopy_position") if m.form == "lower"):
        before, after = passage.words(place.first - 1, place.first), passage.words(place.last, place.last + 1)
        opens = not before or passage.tokens[place.first].new_line or before[0] in _BOUNDS | {"on"}
        closes = not after or passage.tokens[place.last].new_line or after[0] in _BOUNDS
        if not (opens and closes):
            place.drop("lower than what is not said")


def _worst_at_the_edge(passage: Passage) -> None:
    """As in "worst along the fence": the edge of the field is a place of its own."""
    for gradient in _of(passage, "gradient_from_edge"):
        edge = set(gradient.form.split()) & _FIELD_EDGES and "distance" not in gradient.form
        if edge and gradient.stated and not any(m.value in ("edge", "end_rows") for m in passage.live):
            passage.mentions.append(Mention(gradient.first, gradient.last, "distribution", "edge"))


def _dusty_rust(passage: Passage) -> None:
    """A "dusty" road or day is no powder of rust."""
    rusty = any(m.value in ("pustule", "rust") or str(m.value).endswith("_rust") for m in passage.live)
    if not rusty:
        _drop([m for m in _of(passage, "rub") if m.form == "dusty"], "no rust is spoken of")


def _colour_came_off(passage: Passage) -> None:
    """As in "rub: brown powder": what has a colour on the finger came off."""
    for colour in _of(passage, "rub_colour"):
        if colour.stated and not _of(passage, "rubs_off"):
            passage.mentions.append(Mention(colour.first, colour.last, "rubs_off", True, hedged=colour.hedged))


_RULES = (
    _bare_lower,
    _green_tops,
    _colours_of_mold,
    _worst_at_the_edge,
    _colour_came_off,
    _dusty_rust,
    _rained,
    _reached_ago,
    _where_mold_began,
    _specks_on_stalks,
    _specks_said_twice,
    _tassel_with_galls,
    _pith_said_by_clause,
    _parts_in_passing,
    _edges_of_leaves,
    _green_silks,
    _loose_sizes,
    _general_with_kind,
    _hairs_stick_up,
    _fingers_without_colour,
    _silking_dated,
    _dates_of_warmth,
)
