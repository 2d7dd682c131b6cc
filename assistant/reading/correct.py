"""Corrections within a note: what is said after "no wait" takes the place of its like before it."""

from __future__ import annotations

from assistant.reading.mention import Cue, Mention, Passage

#: Attributes that a correction may confuse: the new word takes over the role of the old one.
FAMILIES = tuple(
    frozenset(family.split())
    for family in (
        "lesion_colour rub_colour halo_colour lesion_border_colour midrib_colour pith_colour mold_colour "
        "stalk_colour vascular_colour",
        "percent incidence_pct severity_pct defoliation_pct humidity_pct",
        "canopy_position leaf_from_ear",
        "lesion_size_in lesion_size_mm lesion_length_in lesion_width_in lesion_size_like",
        "problem suspected_problem",
        "temperature_f temperature_c temperature_high_f temperature_low_f",
        "product_cost_usd_ac application_cost_usd_ac total_cost_usd_ac corn_price_usd_bu",
    )
)
_AHEAD = 7
#: How far a stage may be corrected: "Silks were brown. No, let me be straight, I looked again, it's silking."
_FAR = 14
_NO_IN_COMMAS = 3
#: What a "no" right between two values takes back, with commas round it and without.
_SAID_ON = frozenset({"growth_stage", "plant_height"})
_CORRECTED = _SAID_ON | FAMILIES[0] | {"leaf_from_ear", "lesion_size_like", "weather"}


def correct(passage: Passage) -> None:
    """Drop what is taken back, and give the new word the old one's role."""
    for cue in passage.cues:
        if cue.kind == "correct":
            _one(passage, cue)


def as_corrections(passage: Passage) -> None:
    """Take a bare "no" between two of a kind for a correction: "brown, no, orange", "blister no milk"."""
    passage.cues = [_as_correction(passage, cue) for cue in passage.cues]


def _as_correction(passage: Passage, cue: Cue) -> Cue:
    if cue.kind != "neg_fwd" or passage.words(cue.first, cue.last) != ("no",):
        return cue
    words = passage.words(cue.first - 1, cue.last + 1)
    parted = words[0] in (",", ".") and words[-1] == "," and len(words) == _NO_IN_COMMAS
    before = [m for m in passage.live if m.last <= cue.first - parted][-1:]
    if not before or before[0].attribute not in (_CORRECTED if parted else _SAID_ON):
        return cue
    old = before[0]
    near = cue.first - old.last <= parted
    ahead = [m for m in passage.live if m.first >= cue.last and _alike(old, m) and m.value != old.value]
    reach = _FAR if parted and words[0] == "." else _AHEAD
    following = next((m for m in passage.live if m.first >= cue.last), None)
    at_once = parted or (following is not None and bool(ahead) and following.first == ahead[0].first)
    if ahead and at_once and ahead[0].first - cue.last <= reach and (near or words[0] == "."):
        return Cue(cue.first, cue.last, "correct")
    return cue


def _one(passage: Passage, cue: Cue) -> None:
    reach = _FAR if passage.words(cue.first, cue.last) == ("no",) else _AHEAD
    after = [m for m in passage.live if cue.last <= m.first < cue.last + reach]
    if not after:
        return
    new = [m for m in after if (m.first, m.last) == (after[0].first, after[0].last)]
    before = [m for m in passage.live if m.last <= cue.first and m.attribute != "field"]
    for mention in new:
        old = next((m for m in reversed(before) if _alike(m, mention)), None)
        if old is None:
            continue
        if old.attribute != mention.attribute and mention.attribute in ("lesion_colour", "percent"):
            mention.attribute = old.attribute
        _drop_with_kin(before, old, new)


def _alike(old: Mention, new: Mention) -> bool:
    return old.attribute == new.attribute or any(
        {old.attribute, new.attribute} <= family for family in FAMILIES
    )


def _drop_with_kin(before: list[Mention], old: Mention, new: list[Mention]) -> None:
    """Drop the old mention and what the same words state besides, unless the new words leave it standing."""
    for mention in before:
        same_words = (mention.first, mention.last) == (old.first, old.last)
        if mention is old or (same_words and (mention.derived or any(_alike(mention, m) for m in new))):
            mention.drop("corrected")
