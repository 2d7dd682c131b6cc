"""What signs mean in their company: the same word is a mark on a leaf and a speck on a stalk.

Applied once every colour has its thing and before the conventions of the contract.
"""

from __future__ import annotations

from assistant.reading.attributes import allowed
from assistant.reading.mention import Mention, Passage
from assistant.reading.near import all_words, drop_all, in_clause, in_sentence, named
from assistant.reading.wordlists import words
from rules.model import Status

_EAR_WORDS = words("guards", "about_ears")
_STALK_WORDS = words("guards", "about_stalks")
_LEAF_WORDS = words("guards", "about_leaves")
#: How far (in tokens) a stalk may stand from the specks on it.
_NEAR = 7
_OF_WHORLS = frozenset({"whorl_water", "insect_feeding", "new_leaves_clean", "weather"})
_EDGES = frozenset({"edge", "edges", "margin", "margins"})
_SPECKS = frozenset({"dot", "dots", "speck", "specks", "black dots", "specks of it"})
_BOUNDS = frozenset({",", ".", ";", "+", "-", "and", "or", "&", "/"})
_MARKS = frozenset({"lesion_form", "lesion_shape", "halo", "raised"})


def make_sense(passage: Passage) -> None:
    """Apply every rule in turn."""
    for rule in _RULES:
        rule(passage)


def _where_mold_began(passage: Passage) -> None:
    """As in "from the tip down": of an ear only where the talk is of ears; else of the leaf."""
    about_ears = bool(all_words(passage) & _EAR_WORDS)
    starts = named(passage, "mold_start")
    if not about_ears:
        drop_all(starts, "no ear is spoken of")
        return
    for zone in named(passage, "leaf_zone"):
        near = {m.attribute for m in in_sentence(passage, zone)}
        if (
            zone.value in ("tip", "base")
            and "mold_colour" in near
            and not near & {"lesion_form", "mold_start"}
        ):
            zone.attribute = "mold_start"
    taken = {at for m in starts for at in range(m.first, m.last)}
    for zone in named(passage, "leaf_zone"):
        if zone.first in taken or (starts and passage.sentence[zone.first] in _sentences_of(passage, starts)):
            zone.drop("of the ear")


def _sentences_of(passage: Passage, mentions: list[Mention]) -> set[int]:
    return {passage.sentence[m.first] for m in mentions}


def _specks_on_stalks(passage: Passage) -> None:
    """As in "black dots on the lower nodes": bodies of a fungus on stalk, pith or husk, no leaf spots."""
    for spot in named(passage, "lesion_form"):
        if spot.form not in _SPECKS:
            continue
        said = set(passage.words(spot.first - _NEAR, spot.last + _NEAR))
        if not said & _STALK_WORDS or said & _LEAF_WORDS:
            continue
        colour = next((m for m in named(passage, "lesion_colour") if 0 <= spot.first - m.last <= 1), None)
        if spot.status is Status.PRESENT and (colour is None or colour.value != "black"):
            continue
        spot.attribute, spot.value, spot.reason = "black_specks", True, "on a stalk or an ear"
        if colour:
            colour.drop("the specks say it")


def _tassel_with_galls(passage: Passage) -> None:
    """As in "galls on the tassel": the part; a "tassel next week" is none and no stage."""
    for tassel in named(passage, "growth_stage"):
        if tassel.form != "tassel":
            continue
        if passage.words(tassel.last, tassel.last + 1) == ("next",):
            tassel.drop("still to come")
        elif passage.words(tassel.first - 2, tassel.first) in (("on", "the"), ("over", "the")) or any(
            m.value in ("gall", "common_smut") for m in in_sentence(passage, tassel)
        ):
            tassel.attribute, tassel.value, tassel.relation = "plant_part", "tassel", None


def _parts_in_passing(passage: Passage) -> None:
    """A whorl of water, worms or new leaves and a midrib with its colour are no parts with marks."""
    for part in named(passage, "plant_part"):
        near = {m.attribute for m in in_sentence(passage, part)}
        whorl = part.value == "whorl" and near & {
            "whorl_water",
            "insect_feeding",
            "new_leaves_clean",
            "weather",
        }
        midrib = part.value == "midrib" and any(
            max(m.first - part.last, part.first - m.last) <= 2 for m in named(passage, "midrib_colour")
        )
        node = part.value == "node" and "stalk_position" in near
        if whorl or midrib or node:
            part.drop("named in passing")


def _edges_of_leaves(passage: Passage) -> None:
    """As in "purple edges" without a mark: the edges of the leaves."""
    for rim in named(passage, "lesion_border_colour"):
        edge = _edge_behind(passage, rim.last)
        if edge is None or any(m.attribute in _MARKS for m in in_sentence(passage, rim)):
            continue
        rim.attribute, rim.reason = "lesion_colour", "no mark has a rim"
        if not any(m.attribute == "leaf_zone" and m.value == "margin" for m in in_clause(passage, rim)):
            passage.mentions.append(
                Mention(edge, edge + 1, "leaf_zone", "margin", rim.status, rim.hedged, when=rim.when)
            )


def _edge_behind(passage: Passage, at: int) -> int | None:
    """Where "edges" stands close behind token ``at``."""
    near = range(at, min(at + 3, len(passage.tokens)))
    return next((i for i in near if passage.tokens[i].text in _EDGES), None)


def _green_midribs(passage: Passage) -> None:
    """As in "midribs still green": the colour of the midrib."""
    for part in named(passage, "plant_part"):
        if part.value != "midrib":
            continue
        for tissue in named(passage, "tissue"):
            if tissue.value == "green" and 0 <= tissue.first - part.last <= 1:
                tissue.attribute = "midrib_colour"
                part.drop("its colour says it")


def _green_silks(passage: Passage) -> None:
    """As in "silks just out, still green": no tissue of the leaf."""
    for tissue in named(passage, "tissue"):
        if {"silk", "silks"} & set(passage.words(tissue.first - 4, tissue.first)):
            tissue.drop("of the silks")


def _pith_said_by_clause(passage: Passage) -> None:
    """As in "stalks pink and shredded inside": a colour beside the state of the pith is the pith's."""
    for pith in named(passage, "pith"):
        for colour in in_sentence(passage, pith):
            marked = any(m.attribute == "lesion_form" and m.first == colour.last for m in passage.live)
            if (
                colour.attribute == "lesion_colour"
                and not marked
                and colour.value in (allowed("pith_colour") or ())
                and abs(colour.first - pith.last) <= (6 if colour in in_clause(passage, pith) else 3)
            ):
                colour.attribute, colour.reason = "pith_colour", "beside the state of the pith"


def _colours_of_mold(passage: Passage) -> None:
    """As in "white mold at the butt. No pink": about a moldy ear a colour without a mark is the mold's."""
    moldy = named(passage, "mold_start", "mold_colour") or [
        m for m in passage.live if str(m.value).endswith("ear_rot")
    ]
    if not moldy or not all_words(passage) & _EAR_WORDS:
        return
    for colour in named(passage, "lesion_colour"):
        if colour.form in ("yellow green", "yellowish green"):
            colour.value = "yellow_green"
        marked = any(m.attribute in _MARKS | {"canopy_position"} for m in in_sentence(passage, colour))
        if not marked and colour.value in (allowed("mold_colour") or ()):
            colour.attribute, colour.reason = "mold_colour", "the talk is of mold"
    if named(passage, "mold_colour"):
        said_twice = [
            m for m in named(passage, "fuzz") if m.form in ("mold", "mould", "moldy", "mouldy", "mold growth")
        ]
        drop_all(said_twice, "its colour says it")


def _green_tops(passage: Passage) -> None:
    """As in "the tops are green": the healthy part of the plant, no mark and no place of one."""
    for colour in named(passage, "lesion_colour"):
        being = set(passage.words(colour.first - 2, colour.first)) & {"is", "are", "'s", "stay", "still"}
        places = [m for m in named(passage, "canopy_position") if 0 < colour.first - m.last <= 2]
        if colour.value == "green" and being and places:
            drop_all([colour, *places], "the healthy part")


def _bare_lower(passage: Passage) -> None:
    """A bare "lower" is a place on the plant only where it stands by itself: "tan, brown rim, lower"."""
    for place in (m for m in named(passage, "canopy_position") if m.form == "lower"):
        before, after = passage.words(place.first - 1, place.first), passage.words(place.last, place.last + 1)
        opens = not before or passage.tokens[place.first].new_line or before[0] in _BOUNDS | {"on"}
        closes = not after or passage.tokens[place.last].new_line or after[0] in _BOUNDS
        if not (opens and closes):
            place.drop("lower than what is not said")


def _unseen_alternatives(passage: Passage) -> None:
    """As in "didn't look whether it starts at the tip or is just scattered": neither was looked for."""
    live = passage.live
    for other in live:
        lead = passage.words(other.first - 3, other.first)
        if "or" not in lead or other.status is not Status.PRESENT:
            continue
        one = next(
            (m for m in live if m.attribute == other.attribute and 0 < other.first - m.last <= 4), None
        )
        if one and one.status in (Status.NOT_CHECKED, Status.CANNOT_TELL):
            other.status = one.status


def _black_bumps(passage: Passage) -> None:
    """As in "black bumps": raised, and no pustules of rust."""
    for bump in named(passage, "lesion_form"):
        black = [
            m for m in named(passage, "lesion_colour") if m.value == "black" and 0 <= bump.first - m.last <= 2
        ]
        if bump.value == "pustule" and "bump" in bump.form and black:
            bump.drop("a black bump is no pustule")


_RULES = (
    _bare_lower,
    _green_tops,
    _colours_of_mold,
    _unseen_alternatives,
    _black_bumps,
    _where_mold_began,
    _specks_on_stalks,
    _tassel_with_galls,
    _pith_said_by_clause,
    _parts_in_passing,
    _edges_of_leaves,
    _green_midribs,
    _green_silks,
)
