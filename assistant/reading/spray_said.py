"""Sprays that are told without the word: "we put a triazole on at tassel ten days ago"."""

from __future__ import annotations

from itertools import pairwise

from assistant.reading.attributes import group
from assistant.reading.mention import Mention, Passage, sentences
from rules.model import Status

_ACTIVES = frozenset({"active_ingredient", "active_class"})
_AT = frozenset({"at", "around", "before", "after", "near"})
_NOW = frozenset({"now", "today"})
_MONEY = frozenset({"product_cost_usd_ac", "corn_price_usd_bu", "application_cost_usd_ac"})


def sprays(passage: Passage) -> None:
    """State the spray that a product and a day or a stage behind it tell of; give it its stage."""
    for mentions in sentences(passage):
        _told_by_product(passage, mentions)
    _stage_among_others(passage)
    _stage_on_its_own(passage)
    _classes_at_a_price(passage)


def _told_by_product(passage: Passage, mentions: list[Mention]) -> None:
    """As in "azoxystrobin on the tenth at tassel": what has a day in the past was done."""
    actives = [m for m in mentions if m.attribute in _ACTIVES and m.stated]
    days = [m for m in mentions if m.attribute == "date" and m.when == "now"]
    sprayed = [m for m in mentions if m.attribute == "sprayed"]
    if not actives or not days or any(m.status is not Status.PRESENT or m.when != "now" for m in sprayed):
        return
    for day in days:
        day.attribute = "sprayed_on"
    for stage in (m for m in mentions if m.attribute == "growth_stage" and m.when in ("now", "then")):
        if actives[0].first < stage.first and _AT & set(passage.words(stage.first - 1, stage.first)):
            stage.attribute, stage.relation, stage.when = "spray_stage", None, "now"
    if not any(m.attribute == "sprayed" for m in passage.live):
        first = actives[0]
        passage.mentions.append(Mention(first.first, first.last, "sprayed", True, hedged=first.hedged))


def _stage_among_others(passage: Passage) -> None:
    """As in "sprayed 7/12, VT. Now R3": of two stages, the one beside the spray is the spray's."""
    stages = [m for m in passage.live if m.attribute == "growth_stage" and m.when == "now"]
    if len({m.value for m in stages}) < 2:
        return
    for stage in stages:
        number = passage.sentence[stage.first]
        near = [m for m in passage.live if passage.sentence[m.first] == number]
        dated = any(m.attribute in ("sprayed_on", "spray_method") for m in near)
        other = any(passage.sentence[m.first] != number and m.first > stage.first for m in stages)
        words = set(passage.sentence_words(stage.first))
        if dated and other and not words & _NOW and any(m.attribute == "sprayed" and m.stated for m in near):
            stage.attribute, stage.relation = "spray_stage", None


def _stage_on_its_own(passage: Passage) -> None:
    """As in a list "sprayed 7/19 / 15 gal/ac / at VT": the stage stands among the lines of the spray."""
    live = passage.live
    for before, stage in pairwise(live):
        if stage.attribute != "growth_stage" or stage.when != "now":
            continue
        lead = passage.words(stage.first - 1, stage.first)
        opens = not lead or passage.sentence[stage.first - 2 : stage.first - 1] != [
            passage.sentence[stage.first]
        ]
        opens = opens or passage.words(stage.first - 2, stage.first - 1) == ("-",)
        told = any(m.attribute == "sprayed" and m.stated for m in live)
        was = passage.words(stage.first - 2, stage.first) == ("was", "at") and before.attribute in group(
            "treatment"
        )
        if was and told:
            stage.attribute, stage.relation = "spray_stage", None
            continue
        if lead == ("at",) and opens and told and before.attribute in group("treatment"):
            stage.attribute, stage.relation = "spray_stage", None


def _classes_at_a_price(passage: Passage) -> None:
    """As in "a three way is nineteen": a product that is priced was not therefore used."""
    if any(m.attribute in ("sprayed", "sprayed_on") for m in passage.live):
        return
    if any(m.attribute in _MONEY for m in passage.live):
        for mention in passage.live:
            if mention.attribute == "active_class" and mention.form.startswith(("two way", "three way")):
                mention.drop("priced, not used")
