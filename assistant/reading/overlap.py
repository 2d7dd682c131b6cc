"""Which reading of overlapping words stands: a quantity before a date before the lexicon, then the longest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.reading.engine import Engine
from assistant.reading.mention import Cue, Mention, of_found
from assistant.reading.tokens import Found, Token
from assistant.reading.vocabulary import Vocabulary

_RANK = {"field": 0, "quantity": 1, "date": 2, "words": 3, "decoy": 3}


def standing(mentions: Iterable[Mention]) -> list[Mention]:
    """The mentions whose words no better reading has taken; those with equal words stand together."""
    taken: dict[int, tuple[int, int, str]] = {}
    kept = []
    for mention in sorted(mentions, key=lambda m: (_RANK[m.origin], m.first - m.last, m.first)):
        span = (mention.first, mention.last, mention.origin)
        if all(taken.get(i, span) == span for i in range(mention.first, mention.last)):
            taken.update(dict.fromkeys(range(mention.first, mention.last), span))
            kept.append(mention)
    return sorted(kept, key=lambda m: (m.first, m.last))


def from_quantities(found: Sequence[Found]) -> list[Mention]:
    """Mentions of quantities; readings of one figure that differ in their words share the widest."""
    return [of_found(one, "quantity") for one in found]


def from_words(rows: Sequence[Token], engine: Engine, vocabulary: Vocabulary) -> list[Mention]:
    """Mentions of the lexicon's forms, and of decoys that keep words from being read as such."""
    mentions = []
    for first, last, form in engine.forms_in(rows):
        if form in vocabulary.decoys:
            mentions.append(Mention(first, last, "", "", origin="decoy", form=form))
        for meaning in vocabulary.forms.get(form, ()):
            mentions.append(
                Mention(
                    first,
                    last,
                    meaning.attribute,
                    meaning.value,
                    meaning.status,
                    meaning.hedged,
                    form=form,
                )
            )
    return mentions


def cues_between(
    rows: Sequence[Token], engine: Engine, kinds: dict[str, tuple[str, ...]], mentions: Iterable[Mention]
) -> list[Cue]:
    """The scope cues outside the mentions, the longest at each place."""
    inside = [(m.first, m.last) for m in mentions]
    found = sorted(engine.cues_in(rows), key=lambda cue: (cue[0] - cue[1], cue[0]))
    taken: set[int] = set()
    kept = []
    for first, last, cue in found:
        if any(s <= first and last <= e for s, e in inside) or taken & set(range(first, last)):
            continue
        taken |= set(range(first, last))
        kept += [Cue(first, last, kind) for kind in kinds[cue]]
    return sorted(kept, key=lambda cue: (cue.first, cue.last, cue.kind))
