"""Which reading of overlapping words stands: quantity, then date, then lexicon; the longest of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.reading.engine import Engine
from assistant.reading.mention import Cue, Mention
from assistant.reading.tokens import Token
from assistant.reading.word_tables import Vocabulary
from rules.model import Status

#: Kinds that only keep a denial from being read: they come first.
_PSEUDO = frozenset({"sure", "keep"})
_ENDS = frozenset({".", ",", "!", ";"})
_NOT_BEFORE = frozenset({"for", "but", "or", "is", "say", "said", "do", "did", "about", "like"})
_RANK = {"field": 0, "quantity": 1, "date": 2, "words": 3, "decoy": 3, "ask": 4}


def standing(mentions: Iterable[Mention]) -> list[Mention]:
    """The mentions whose words no better reading has taken; those with equal words stand together."""
    taken: dict[int, tuple[int, int, str]] = {}
    kept = []
    mentions = list(mentions)
    forms = [m for m in mentions if m.origin in ("words", "decoy")]
    open_ones = [m for m in mentions if m.origin != "quantity" or not any(_holds(form, m) for form in forms)]
    for mention in sorted(open_ones, key=lambda m: (_RANK[m.origin], m.first - m.last, m.first)):
        span = (mention.first, mention.last, mention.origin)
        if all(taken.get(i, span) == span for i in range(mention.first, mention.last)):
            taken.update(dict.fromkeys(range(mention.first, mention.last), span))
            kept.append(mention)
    return sorted(kept, key=lambda m: (m.first, m.last))


def _holds(form: Mention, quantity: Mention) -> bool:
    """Whether a form says more than the figure inside it: "the same leaf on every plant"."""
    longer = form.last - form.first > quantity.last - quantity.first
    return longer and form.first <= quantity.first and quantity.last <= form.last


def from_words(
    rows: Sequence[Token], engine: Engine, vocabulary: Vocabulary, ask: frozenset[str]
) -> list[Mention]:
    """Mentions of the lexicon's forms, of decoys that keep words from being read, of words to ask back."""
    mentions = _bare_nothings(rows)
    for first, last, form in engine.forms_in(rows):
        if form in vocabulary.decoys:
            mentions.append(Mention(first, last, "", "", origin="decoy", form=form))
        if form in ask:
            mentions.append(Mention(first, last, "ask_back", form, origin="ask", form=form))
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


def _bare_nothings(rows: Sequence[Token]) -> list[Mention]:
    """As in "checked thirty plants, nothing": the word alone says that all was clean."""
    found = []
    for i, row in enumerate(rows):
        ends = i + 1 == len(rows) or rows[i + 1].new_line or rows[i + 1].text in _ENDS
        if row.text == "nothing" and ends and (i == 0 or rows[i - 1].text not in _NOT_BEFORE):
            found.append(Mention(i, i + 1, "problem", "any", Status.ABSENT, form="nothing"))
    return found


def cues_between(
    rows: Sequence[Token], engine: Engine, kinds: dict[str, tuple[str, ...]], mentions: Iterable[Mention]
) -> list[Cue]:
    """The scope cues outside the mentions, the longest at each place."""
    inside = [(m.first, m.last) for m in mentions if m.origin != "date"]
    found = sorted(
        engine.cues_in(rows), key=lambda cue: (not _PSEUDO & set(kinds[cue[2]]), cue[0] - cue[1], cue[0])
    )
    taken: set[int] = set()
    kept = []
    for first, last, cue in found:
        if any((s <= first and last <= e) or first < s < last <= e for s, e in inside) or taken & set(
            range(first, last)
        ):
            continue
        taken |= set(range(first, last))
        kept += [Cue(first, last, kind) for kind in kinds[cue]]
    return sorted(kept, key=lambda cue: (cue.first, cue.last, cue.kind))
