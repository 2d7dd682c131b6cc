"""What a field name is, and small questions about words that may be one."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from assistant.reading.tokens import Token

_PLAIN = re.compile(r"[^\W\d_]+('[^\W\d_]{2,})?")
_COMPASS = re.compile(r"(n|s|e|w|ne|nw|se|sw)\d{0,3}")
_CODE = re.compile(r"[a-z]{1,2}\d{1,3}")
#: Phrases by the word that they begin with.
Phrases = Mapping[str, Sequence[tuple[str, ...]]]
_STAGE = re.compile(r"(v\d{0,2}|vt|ve|vc|r[1-6]|l\d)")
_FIGURES = re.compile(r"\d{1,3}")
_PARTS = frozenset({"half", "side", "end", "corner", "part", "third", "edge"})
_SENTENCE_ENDS = frozenset({".", ";", "!", "?", ":"})


@dataclass(frozen=True, slots=True)
class FieldName:
    """A field named at tokens ``first`` to ``last`` (exclusive).

    ``led``: a preposition leads it in; ``moved``: the speaker has gone there;
    ``compared``: it is only compared with; ``both``: it shares a finding with the next name;
    ``sure``: it is no slip of a word of the trade.
    """

    first: int
    last: int
    name: str
    led: bool = False
    moved: bool = False
    compared: bool = False
    both: bool = False
    sure: bool = True


@dataclass(frozen=True)
class Line:
    """The tokens in which names are looked for.

    Args:
        rows: the tokens of a piece of the note ``text``.
        text: the note as typed, for its capitals.
        forms: the lexicon's forms, by norms.
        opens: whether the rows begin the note.
    """

    rows: Sequence[Token]
    text: str
    forms: Mapping[tuple[str, ...], str]
    opens: bool

    @cached_property
    def words(self) -> tuple[str, ...]:
        """The words in lower case."""
        return tuple(row.text for row in self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def word(self, i: int) -> str:
        """The word at ``i``, or nothing outside of the line."""
        return self.words[i] if 0 <= i < len(self.words) else ""

    def form(self, first: int, last: int) -> bool:
        """Whether a stretch of tokens is a form of the lexicon."""
        return tuple(row.norm for row in self.rows[first:last]) in self.forms

    def form_over(self, first: int, last: int) -> bool:
        """Whether a form of the lexicon holds the stretch and the word behind it: "Stewart's wilt"."""
        return any(self.form(first, more) for more in range(last, min(len(self), last + 3) + 1))

    def begins(self, i: int) -> bool:
        """Whether a sentence or a line begins at ``i``."""
        return i == 0 or self.rows[i].new_line or self.words[i - 1] in _SENTENCE_ENDS

    def ends(self, i: int) -> bool:
        """Whether the line ends before ``i``."""
        return i >= len(self.rows) or self.rows[i].new_line

    def written_large(self, i: int) -> bool:
        """Whether the word at ``i`` is written with a capital, as any word is that begins a sentence."""
        said = self.text[self.rows[i].start : self.rows[i].end]
        rest = said.removeprefix("Mc")
        return rest[:1].isupper() and rest[1:].islower()

    def capital(self, i: int) -> bool:
        """Whether the word at ``i`` is written with a capital that only a name has there."""
        return self.written_large(i) and not self.begins(i)

    def compass(self, i: int) -> bool:
        """Whether a letter of the compass stands at ``i``, with a figure or without: "N", "E80"."""
        said = self.text[self.rows[i].start : self.rows[i].end]
        written = said.upper() == said or said[-1:].isdigit()
        return bool(_COMPASS.fullmatch(self.words[i])) and written and self.word(i + 1) not in _PARTS

    def code(self, i: int) -> bool:
        """Whether a letter with a figure stands at ``i`` that is no stage: "P7", "N40"."""
        return bool(_CODE.fullmatch(self.words[i])) and not _STAGE.fullmatch(self.words[i])

    def stage(self, i: int) -> bool:
        """Whether a stage in letters stands at ``i``."""
        return bool(_STAGE.fullmatch(self.word(i)))

    def figures(self, i: int) -> bool:
        """Whether a number of up to three figures stands at ``i``."""
        return bool(_FIGURES.fullmatch(self.word(i)))

    def named(self, first: int, last: int, **more: bool) -> FieldName:
        """The name at tokens ``first`` to ``last``, as it was typed."""
        said = self.text[self.rows[first].start : self.rows[last - 1].end]
        return FieldName(first, last, " ".join(said.split()), **more)


class NameWords:
    """What may stand in a name (``words/field_nouns.toml``).

    Args:
        tables: the lists of words.
        known: words that are ordinary English or of the trade.
        grammar: words that name nothing.
    """

    def __init__(
        self, tables: Mapping[str, Sequence[str]], known: frozenset[str], grammar: frozenset[str]
    ) -> None:
        self.heads, self.weak, self.landmarks, self.tails, self.openers = (
            frozenset(tables[key]) for key in ("heads", "weak_heads", "landmarks", "tails", "openers")
        )
        self.persons, self.numbered, self.numbers, self.surnames, self.dates, self.hollow = (
            frozenset(tables[key])
            for key in ("persons", "numbered_heads", "figures", "surnames", "dates", "hollow")
        )
        self.never = frozenset(tables["never"]) | (grammar - self.landmarks - self.heads)
        self.leads, self.moves, self.compares, *opening = (
            tuple(tuple(phrase.split()) for phrase in tables[key])
            for key in ("leads", "moves", "compares", "moves", "begins", "several", "taken_back")
        )
        self.moving, self.begins, self.several, self.taken_back = map(by_first, opening)
        self.grammar = grammar
        self.adjectives, self.of_towns = frozenset(tables["adjectives"]), frozenset(tables["of_towns"])
        self.at, self.relatives, self.stops = (frozenset(tables[key]) for key in ("at", "relatives", "stops"))
        self.places = self.landmarks | self.tails | self.heads
        self.nouns = self.places - (self.adjectives - self.tails)
        self._known = known

    def strange(self, word: str) -> bool:
        """Whether ``word`` can only be a name: no word of the language, or a family's."""
        unknown = len(word) > 2 and plain(word) and word not in self._known and word not in self.never
        return unknown or word in self.surnames


def plain(word: str) -> bool:
    """Whether ``word`` is letters, with an apostrophe among them or without: "O'Brien"."""
    return bool(_PLAIN.fullmatch(word))


def ends_with(before: tuple[str, ...], phrases: Sequence[tuple[str, ...]]) -> bool:
    """Whether one of the phrases stands at the end of ``before``."""
    return any(
        before[len(before) - len(phrase) :] == phrase for phrase in phrases if len(phrase) <= len(before)
    )


def by_first(phrases: Sequence[tuple[str, ...]]) -> Phrases:
    """The phrases by the word that they begin with."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for phrase in phrases:
        found.setdefault(phrase[0], []).append(phrase)
    return found


def longest_at(words: tuple[str, ...], i: int, phrases: Phrases) -> int:
    """How many words of the longest of the phrases stand at ``i``."""
    here = phrases.get(words[i], ()) if i < len(words) else ()
    return max((len(phrase) for phrase in here if words[i : i + len(phrase)] == phrase), default=0)
