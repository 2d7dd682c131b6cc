"""What the rules about quantities read from, and how they say what they found."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from assistant.reading.numbers import Number, scan
from assistant.reading.tokens import Found, Token
from assistant.reading.wordlists import Phrase, match, table, unit_words, words
from rules.model import Value

#: The plausible range of each numeric attribute, ends included.
Bounds = Mapping[str, tuple[float, float]]

#: What a value beyond its plausible range is handed on as: to be shown, never used.
OUT_OF_BOUNDS = "out_of_bounds"
#: Words that are understood and state nothing that has an attribute ("70 percent chance").
NO_FACT = "no_fact"

_LONGEST_RUN: int = table("units")["heard"]["longest_run"]
_SENTENCE_ENDS = frozenset({".", ";", "!", "?"})
_UNIT_WORDS = unit_words()
_DOUBT = words("units", "number", "doubt")
_CLAUSE_ENDS = _SENTENCE_ENDS | {",", "but", "however", "then"}


@cache
def bounds() -> Bounds:
    """The plausible ranges that ``rules/knowledge/attributes.toml`` states."""
    text = files("rules").joinpath("knowledge", "attributes.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text).items()
    return {name: (row["low"], row["high"]) for name, row in rows if "low" in row}


@dataclass(frozen=True, slots=True)
class Sheet:
    """The words of a note with the numbers that no rule has claimed yet.

    ``sentences`` and ``clauses`` number the stretch that each word stands in; ``taken``
    are the tokens that a rule has claimed.
    """

    words: tuple[str, ...]
    sentences: tuple[int, ...]
    clauses: tuple[int, ...]
    numbers: tuple[Number, ...]
    bounds: Bounds
    clause_at: tuple[range, ...]
    sentence_at: tuple[range, ...]
    by_first: Mapping[int, Number]
    by_last: Mapping[int, Number]
    taken: frozenset[int] = frozenset()

    def word(self, at: int) -> str:
        """The word at ``at``, or "" beyond the ends."""
        return self.words[at] if 0 <= at < len(self.words) else ""

    def phrase(self, at: int, known: Mapping[str, tuple[Phrase, ...]]) -> int:
        """How many words of the longest known phrase stand at ``at``."""
        return match(self.words, at, known) if at >= 0 else 0

    def skip(self, at: int, skipped: frozenset[str], most: int = 4) -> int:
        """The first token at or after ``at`` that is none of ``skipped``."""
        end = at + most
        while at < end and self.word(at) in skipped:
            at += 1
        return at

    def skip_back(self, at: int, skipped: frozenset[str], most: int = 4) -> int:
        """The last token at or before ``at`` that is none of ``skipped``."""
        end = at - most
        while at > end and self.word(at) in skipped:
            at -= 1
        return at

    def clause_range(self, at: int) -> range:
        """The tokens of the clause that ``at`` stands in."""
        return self.clause_at[at]

    def sentence_range(self, at: int) -> range:
        """The tokens of the sentence that ``at`` stands in."""
        return self.sentence_at[at]

    def near(self, at: int, first: int, last: int) -> tuple[str, ...]:
        """The words from ``first`` to ``last`` (exclusive) that stand in the clause of ``at``."""
        return tuple(
            self.words[step]
            for step in range(max(0, first), min(last, len(self.words)))
            if self.clauses[step] == self.clauses[at]
        )

    def number_at(self, at: int) -> Number | None:
        """The unclaimed number whose words begin at ``at``."""
        return self.by_first.get(at)

    def number_ending(self, at: int) -> Number | None:
        """The unclaimed number whose words end before ``at``."""
        return self.by_last.get(at)

    def has_unit(self, at: int) -> bool:
        """Whether the word at ``at`` is a unit or a noun that a bare figure before it belongs to."""
        return self.word(at) in _UNIT_WORDS

    def without(self, found: Iterable[Found]) -> Sheet:
        """The same words less the numbers that ``found`` covers."""
        taken = {at for one in found for at in range(one.first, one.last)}
        if not taken:
            return self
        left = tuple(n for n in self.numbers if taken.isdisjoint(range(n.core, n.last)))
        return replace(
            self, numbers=left, taken=self.taken | taken, by_first=_by_first(left), by_last=_by_last(left)
        )


Rule = Callable[[Sheet], list[Found]]


def sheet_of(tokens: Sequence[Token], spoken: tuple[str, ...], skip: frozenset[int], limits: Bounds) -> Sheet:
    """The sheet of a note, its words made plain, with the numbers outside the tokens in ``skip``."""
    sentences, clauses = _stretches(tokens, spoken)
    numbers = _spoken_of(scan(spoken, skip))
    return Sheet(
        spoken,
        sentences,
        clauses,
        numbers,
        limits,
        _ranges(clauses),
        _ranges(sentences),
        _by_first(numbers),
        _by_last(numbers),
        skip,
    )


def _spoken_of(numbers: tuple[Number, ...]) -> tuple[Number, ...]:
    """The numbers without long runs of bare figures, which measure nothing (a pasted table)."""
    runs: list[list[Number]] = []
    for number in numbers:
        if runs and runs[-1][-1].last == number.first:
            runs[-1].append(number)
        else:
            runs.append([number])
    return tuple(number for run in runs if len(run) <= _LONGEST_RUN for number in run)


def _by_first(numbers: Sequence[Number]) -> Mapping[int, Number]:
    return {number.first: number for number in numbers}


def _by_last(numbers: Sequence[Number]) -> Mapping[int, Number]:
    return {number.last: number for number in reversed(numbers)}


def tidy(value: float) -> float:
    """``value`` rounded to four places, whole where it is whole."""
    rounded = round(value, 4)
    return int(rounded) if rounded == int(rounded) else rounded


def amount(number: Number) -> Value:
    """The value of a number as a fact holds it: one figure or a (low, high) pair."""
    low, high = tidy(number.low), tidy(number.high)
    return low if low == high else (low, high)


def said(
    sheet: Sheet,
    attribute: str,
    number: Number,
    last: int,
    *,
    first: int | None = None,
    unit: str | None = None,
    derived: bool = False,
) -> Found:
    """A measured fact, or the same words as ``out_of_bounds`` if the value is not plausible.

    The words begin at ``first`` (a noun before the figure) unless a word of doubt stands
    between: that one is the scope stage's to read.
    """
    if first is not None and _DOUBT.intersection(sheet.words[first : number.first]):
        first = None
    low, high = sheet.bounds.get(attribute, (float("-inf"), float("inf")))
    plausible = low <= number.low and number.high <= high
    return Found(
        first=number.first if first is None else min(first, number.first),
        last=max(last, number.last),
        attribute=attribute if plausible else OUT_OF_BOUNDS,
        value=amount(number),
        approx=number.approx,
        derived=derived,
        unit=unit,
    )


def nothing(first: int, last: int) -> Found:
    """Words that are understood but state no fact; they are claimed, and then left out."""
    return Found(first=first, last=last, attribute=NO_FACT, value=True)


def _stretches(tokens: Sequence[Token], spoken: tuple[str, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    sentences: list[int] = []
    clauses: list[int] = []
    sentence = clause = 0
    for token, word in zip(tokens, spoken, strict=True):
        sentence += token.new_line
        clause += token.new_line
        sentences.append(sentence)
        clauses.append(clause)
        sentence += word in _SENTENCE_ENDS
        clause += word in _CLAUSE_ENDS
    return tuple(sentences), tuple(clauses)


def _ranges(numbered: tuple[int, ...]) -> tuple[range, ...]:
    """The stretch of equal numbers that each token stands in."""
    found: list[range] = []
    first = 0
    for at in range(1, len(numbered) + 1):
        if at == len(numbered) or numbered[at] != numbered[first]:
            found += [range(first, at)] * (at - first)
            first = at
    return tuple(found)
