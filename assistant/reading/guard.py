"""Takes out what only looks like a finding: ordinary talk, decoys, forms that stand without company."""

from __future__ import annotations

from assistant.reading.mention import MODIFIERS, Mention, Passage
from assistant.reading.word_tables import Vocabulary
from rules.model import Status

_AFTER_HALF = frozenset({"on", "showing", "coming", "moving", "down", "up", "low", "lesions", ",", "."})
#: What a green beside it is the colour of.
_GREEN_THINGS = frozenset(
    {"mold", "mould", "midrib", "midribs", "pith", "powder", "dust", "fuzz", "ears", "pink"}
)
_BEHIND = 4
#: What makes a note one about the crop, so that a modifier or a doubtful word counts.
_COMPANY_GROUPS = ("seen", "place", "named", "stage")


def decoys(passage: Passage, vocabulary: Vocabulary) -> None:
    """Drop sayings that hold a form but not its meaning, before cues are read."""
    for mention in passage.live:
        if mention.origin == "decoy":
            passage.used.update(range(mention.first, mention.last))
            mention.drop("a saying")
        elif mention.origin == "words" and (
            _describes_a_thing(passage, mention, vocabulary) or _of_a_thing(passage, mention, vocabulary)
        ):
            mention.drop("of a thing that is no plant")


def _describes_a_thing(passage: Passage, mention: Mention, vocabulary: Vocabulary) -> bool:
    """As in "small truck"."""
    if mention.attribute == "lesion_colour" and _of_the_plant(passage, mention, vocabulary):
        return True
    describing = mention.attribute in ("lesion_colour", "lesion_size_like", "lesion_shape")
    return describing and bool(set(passage.words(mention.last, mention.last + 1)) & vocabulary.decoy_nouns)


def _of_the_plant(passage: Passage, mention: Mention, vocabulary: Vocabulary) -> bool:
    """As in "brown leaves", "still green": the colour of the plant, no mark."""
    behind = passage.words(mention.last, mention.last + 1)
    marks = any(
        m.attribute == "lesion_form" and mention.last <= m.first <= mention.last + 2 for m in passage.live
    )
    near = set(passage.words(mention.first - 3, mention.last + 2))
    green = mention.value == "green" and not marks and not near & _GREEN_THINGS
    return bool(set(behind) & vocabulary.plant_nouns) or green


def _of_a_thing(passage: Passage, mention: Mention, vocabulary: Vocabulary) -> bool:
    """As in "rust on the old pickup"."""
    behind = passage.words(mention.last, mention.last + _BEHIND)
    return behind[:1] in (("on",), ("in",)) and bool(set(behind) & vocabulary.things)


def denied_only(passage: Passage, vocabulary: Vocabulary) -> None:
    """Drop forms that state something only under a denial ("anything", "problems")."""
    for mention in passage.live:
        if mention.form in vocabulary.only_denied and mention.status is Status.PRESENT:
            mention.drop("says nothing unless denied")
        elif mention.form in vocabulary.only_doubted and _half_a_name(passage, mention):
            mention.drop("half a name")
        elif mention.form in vocabulary.only_of_spray and not _of_spray(passage, mention, vocabulary):
            mention.drop("of no spray")


def _half_a_name(passage: Passage, mention: Mention) -> bool:
    """As in "common on the lower leaves"; "northern on the lower leaves" is a name."""
    if mention.status is not Status.PRESENT or mention.hedged:
        return False
    behind = passage.words(mention.last, mention.last + 1)
    return mention.form == "common" or bool(behind and behind[0] not in _AFTER_HALF)


def _of_spray(passage: Passage, mention: Mention, vocabulary: Vocabulary) -> bool:
    sentence = passage.sentence[mention.first]
    words = {t.text for t, s in zip(passage.tokens, passage.sentence, strict=True) if s == sentence}
    beside = {m.attribute for m in passage.live if passage.sentence[m.first] == sentence}
    return bool(
        words & vocabulary.spray_words or beside & {"active_ingredient", "active_class", "spray_method"}
    )


def company(mentions: list[Mention], vocabulary: Vocabulary) -> None:
    """Drop modifiers and doubtful words of a note that says nothing of the crop besides."""
    live = [m for m in mentions if not m.dropped]
    if any(_sure(m, vocabulary) for m in live) or any(m.reason == "asked back" for m in mentions):
        return
    doubtful = [m for m in live if _doubtful(m, vocabulary)]
    if len({m.attribute for m in doubtful}) >= 2 and any(m.attribute not in MODIFIERS for m in doubtful):
        return
    for mention in doubtful:
        if mention.form not in _ALONE:
            mention.drop("without company")


#: Doubtful words that are a whole note in themselves.
_ALONE = frozenset(
    {
        "clean",
        "milk",
        "dent",
        "blister",
        "tassel",
        "rust",
        "looks good",
        "looks fine",
        "healthy",
        "dry",
        "wet",
        "hot",
        "cool",
    }
)


def _doubtful(mention: Mention, vocabulary: Vocabulary) -> bool:
    return mention.origin == "words" and (
        mention.form in vocabulary.company or mention.attribute in MODIFIERS
    )


def _sure(mention: Mention, vocabulary: Vocabulary) -> bool:
    if mention.attribute in ("", "field", "date", "percent", "out_of_bounds"):
        return mention.attribute == "field"
    return not _doubtful(mention, vocabulary)
