"""What a colour is the colour of: "brown border" is no brown lesion."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.reading.attributes import allowed
from assistant.reading.engine import Engine
from assistant.reading.mention import Mention, Passage
from assistant.reading.word_tables import Bind, Vocabulary

_FILLERS = frozenset(
    [
        "a",
        "an",
        "the",
        "kind",
        "of",
        "sort",
        "all",
        "really",
        "bright",
        "more",
        "little",
        "with",
        "in",
        "it",
        "'s",
        "bit",
        "light",
        "dark",
        "looking",
        "colored",
        "coloured",
        "color",
        "stuff",
        "some",
        "very",
        "pretty",
        "deep",
        "dull",
        "dusty",
        "is",
        "are",
        "turning",
        "narrow",
        "thin",
        "distinct",
        "faint",
    ]
)
_BEING = frozenset({"'s", "is", "are", "was", "were", "looks", "look", "turned", "turns", "turning", "went"})
_MOST_FILLERS = 3
_LONGEST = 6

#: Words of a bind, with the attributes that they give a colour to.
Places = Mapping[tuple[str, ...], str]


class Binder:
    """Gives colours to what they colour.

    Args:
        vocabulary: its binds, cut by ``engine`` as a note is.
    """

    def __init__(self, vocabulary: Vocabulary, engine: Engine) -> None:
        self.before: dict[tuple[str, ...], Bind] = {}
        self.after: dict[tuple[str, ...], Bind] = {}
        for bind in vocabulary.binds:
            self.before.update({_cut(engine, phrase): bind for phrase in bind.before})
            self.after.update({_level(_cut(engine, phrase)): bind for phrase in bind.after})
        self.clause_words = vocabulary.clause_words

    def bind(self, passage: Passage) -> None:
        """Give every colour of ``passage`` its attribute."""
        colours = [m for m in passage.live if m.attribute == "lesion_colour"]
        for colour in reversed(colours):
            found = self._ahead(passage, colour) or self._behind(passage, colour)
            if found:
                self._give(passage, colour, *found)
            else:
                _by_clause(passage, colour, self.clause_words)

    def _ahead(self, passage: Passage, colour: Mention) -> tuple[Bind, int, int] | None:
        """The bind right behind the colour: "brown border", "yellow or tan halo"."""
        i = colour.last
        for _step in range(_MOST_FILLERS):
            for size in range(_LONGEST, 0, -1):
                bind = self.before.get(passage.words(i, i + size))
                if bind and _fits(bind, colour):
                    return bind, i, i + size
            other = next((m for m in passage.live if m.first == i and m.attribute.endswith("colour")), None)
            if (
                i < len(passage.tokens)
                and passage.tokens[i].text in ("or", "to", "and")
                and _colour_at(passage, i + 1)
            ):
                i += 1
            elif other:
                i = other.last
            elif i < len(passage.tokens) and passage.tokens[i].text in _FILLERS - {"with", "in", "are", "is"}:
                i += 1
            else:
                return None
        return None

    def _behind(self, passage: Passage, colour: Mention) -> tuple[Bind, int, int] | None:
        """The bind right before the colour: "turns my finger orange"."""
        i = colour.first
        for _step in range(_MOST_FILLERS):
            for size in range(_LONGEST, 0, -1):
                bind = self.after.get(_level(passage.words(i - size, i))) if i >= size else None
                if bind and _fits(bind, colour) and not _marks_follow(passage, colour):
                    return bind, i - size, i
            if i and passage.tokens[i - 1].text in _FILLERS:
                i -= 1
            else:
                return None
        return None

    def _give(self, passage: Passage, colour: Mention, bind: Bind, first: int, last: int) -> None:
        if bind.attribute == "rub_colour" and not _rubbed(passage, colour):
            return
        colour.attribute, colour.reason = bind.attribute, "beside what it colours"
        passage.used.update(range(first, last))
        if bind.gives and not any(
            m.attribute == bind.gives.attribute and m.first < last and m.last > first for m in passage.live
        ):
            passage.mentions.append(
                Mention(first, last, bind.gives.attribute, bind.gives.value, origin=colour.origin)
            )
        if bind.attribute == "mold_colour":
            for mention in passage.live:
                fuzz = mention.attribute == "fuzz" and not mention.form.startswith("fuzz")
                if fuzz and first <= mention.first < last:
                    mention.drop("its colour says it")


def _level(words: tuple[str, ...]) -> tuple[str, ...]:
    """Level the verbs between a thing and its colour: "is", "are", "turned", "looks"."""
    return tuple("is" if word in _BEING else word for word in words)


def _cut(engine: Engine, phrase: str) -> tuple[str, ...]:
    return tuple(token.text for token in engine.tokens(phrase))


def _fits(bind: Bind, colour: Mention) -> bool:
    values = allowed(bind.attribute)
    return values is None or colour.value in values


def _colour_at(passage: Passage, i: int) -> bool:
    return any(m.first == i and m.attribute.endswith("colour") for m in passage.live)


def _marks_follow(passage: Passage, colour: Mention) -> bool:
    """As in "The midrib is fine, stalk is black spots": a mark right behind the colour keeps it."""
    return any(m.first == colour.last and m.attribute == "lesion_form" for m in passage.live)


def _by_clause(passage: Passage, colour: Mention, clause_words: Mapping[str, frozenset[str]]) -> None:
    """Without a mark in its clause, a colour is of what the clause is about: pith, mold, what came off."""
    clause = passage.clause[colour.first]
    near = [m for m in passage.live if passage.clause[m.first] == clause]
    if any(m.attribute in ("lesion_form", "lesion_shape", "raised") for m in near):
        return
    own = range(colour.first, colour.last)  # "black as the inside of a cow" is of no pith
    told = enumerate(zip(passage.tokens, passage.clause, strict=True))
    words = {t.text for i, (t, c) in told if c == clause and i not in own}
    for attribute, about in clause_words.items():
        if words & about and colour.value in (allowed(attribute) or ()):
            colour.attribute, colour.reason = attribute, "what its clause is about"
            for mention in near if attribute == "mold_colour" else ():
                if mention.attribute == "fuzz" and mention.status is colour.status:
                    mention.drop("its colour says it")
            return
    rubbed = any(m.attribute == "rubs_off" and m.stated for m in near)
    if rubbed and colour.value in (allowed("rub_colour") or ()):
        colour.attribute = "rub_colour"
    elif _of_mold(passage, colour):
        colour.attribute = "mold_colour"


def _of_mold(passage: Passage, colour: Mention) -> bool:
    """As in "gibberella, pink": about a rotten ear, without a mark, a colour is the mold's."""
    near = [m for m in passage.live if passage.sentence[m.first] == passage.sentence[colour.first]]
    rotten = any(str(m.value).endswith("ear_rot") for m in near)
    marked = any(m.attribute in ("lesion_form", "canopy_position") for m in near)
    return rotten and not marked and colour.value in (allowed("mold_colour") or ())


def _rubbed(passage: Passage, colour: Mention) -> bool:
    """Whether the sentence of ``colour`` speaks of rubbing at all."""
    sentence = passage.sentence[colour.first]
    near: Sequence[Mention] = [m for m in passage.live if passage.sentence[m.first] == sentence]
    words = set(passage.sentence_words(colour.first))
    return any(m.attribute == "rubs_off" for m in near) or bool(words & {"rub", "rubbed", "rubs", "rubbing"})
