"""Numbers in a row of tokens: quantities as said, with their ranges and their "about".

Grammar: ``[about] part [joiner part] [or so]``, where a part is what
:mod:`assistant.reading.number_words` reads and the joiner is "to", "-", "or",
"through", or "and" behind "between".  "section 8" and "the north eighty" are names.
"""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

from assistant.reading.number_words import NUMBER_WORDS, Part, part
from assistant.reading.tokens import Token
from assistant.reading.wordlists import match, meanings, phrases, table, words

_NUMBER = table("units")["number"]
_BEFORE = phrases("units", "number", "approx_before")
_AFTER = phrases("units", "number", "approx_after")
_AFTER_PLUS = words("units", "number", "after_plus")
_JOINERS = words("units", "number", "joiners")
_RANGE_UNITS = words("units", "number", "range_units")
_NAMED = words("units", "number", "named")
_COMPASS = words("units", "number", "compass")
_NAME_SIZES = frozenset(float(size) for size in _NUMBER["name_sizes"])
_LENGTHS = meanings("units", "length")
_BEGIN = frozenset({"between", *_BEFORE, *NUMBER_WORDS})
_BEGIN_FIGURES = frozenset("0123456789.'~<>≈≤≥½¼¾⅓⅔⅛⅜⅝⅞")
_GLUED_RANGE = re.compile(
    r"(\d{1,6}(?:\.\d{1,6})?|\d{1,3}/\d{1,3})-(\d{1,6}(?:\.\d{1,6})?|\d{1,3}/\d{1,3})([^\d-]*)\Z"
)
_GLUED_APPROX = re.compile(r"[~≈<>≤≥]=?(?=[\d.])")
_DASHES = str.maketrans(
    {"–": "-", "—": "-", "‑": "-", "−": "-", "’": "'", "‘": "'", "”": '"', "“": '"', "″": '"'}
)
_DOTTED = re.compile(r"(?:[a-z]{1,5}|°[a-z]?)\.\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A quantity from token ``first`` to ``last`` (exclusive), hedging words included.

    ``core`` is the first token of the figures themselves.  ``tail`` are letters glued
    to the last digits (``f``, ``bu``).  ``pair`` is set where two numbers stand side by
    side ("two ten"): 210 to a bushel, 2.10 to a price, and no number at all elsewhere.
    """

    first: int
    core: int
    last: int
    low: float
    high: float
    tail: str = ""
    fraction: bool = False
    slashed: bool = False
    decade: bool = False
    approx: bool = False
    pair: tuple[int, int] | None = None
    pair_at: int = 0

    @property
    def is_range(self) -> bool:
        """Whether two ends were said."""
        return self.low != self.high

    def scaled(self, factor: float) -> Number:
        """The same words with another unit."""
        return replace(self, low=self.low * factor, high=self.high * factor)

    def alone(self) -> Number:
        """The second of a pair that is not one number: the one beside its unit."""
        if self.pair is None:
            return self
        value = float(self.pair[1])
        at = self.pair_at
        return replace(self, first=at, core=at, low=value, high=value, pair=None, approx=False)


def plain(tokens: Sequence[Token]) -> tuple[str, ...]:
    """The words of the tokens, dashes and quotes made plain, dots after short words gone."""
    return tuple(_plain_word(token.text) for token in tokens)


def _plain_word(text: str) -> str:
    word = text if text.isascii() else text.translate(_DASHES)
    return word[:-1] if word[-1:] == "." and _DOTTED.match(word) else word or " "


def scan(spoken: tuple[str, ...], skip: Set[int] = frozenset()) -> tuple[Number, ...]:
    """Every quantity in ``spoken``, left to right; tokens in ``skip`` are never part of one."""
    found: list[Number] = []
    at = 0
    while at < len(spoken):
        number = read(spoken, at) if may_begin(spoken[at]) and at not in skip else None
        if number is None or not skip.isdisjoint(range(number.first, number.last)):
            at += 1
        elif name := _name_end(spoken, number):
            at = name
        else:
            found.append(number)
            at = number.last
    return tuple(found)


def may_begin(word: str) -> bool:
    """Whether a quantity can begin with this word (a quick look before the long one)."""
    return word in _BEGIN or word[0] in _BEGIN_FIGURES or word[-2:] == "0s"


def read(spoken: tuple[str, ...], at: int) -> Number | None:
    """The quantity that begins at token ``at``, its "about" included."""
    between = spoken[at] == "between"
    core = at + 1 if between else at + match(spoken, at, _BEFORE)
    if core >= len(spoken):
        return None
    glued = _GLUED_APPROX.match(spoken[core])
    if glued:
        spoken = (*spoken[:core], spoken[core][glued.end() :], *spoken[core + 1 :])
    number = _glued_range(spoken, core) or _figures(spoken, core, between)
    if number is None or (between and not number.is_range):
        return None
    last, approx = number.last, number.approx or (core > at and not between) or bool(glued)
    if suffix := _suffix(spoken, last):
        last, approx = last + suffix, True
    return replace(number, first=at, last=last, approx=approx)


def _figures(spoken: tuple[str, ...], at: int, between: bool) -> Number | None:
    first = part(spoken, at)
    if first is None:
        return None
    second = _second(spoken, first, between)
    if second is None:
        return _number(at, first, first)
    return _number(at, first, second)


def _number(at: int, first: Part, second: Part) -> Number:
    same = first is second
    return Number(
        first=at,
        core=at,
        last=second.last,
        low=first.low,
        high=second.high,
        tail=second.tail,
        fraction=first.fraction and second.fraction,
        slashed=same and first.slashed,
        decade=first.decade and second.decade,
        approx=first.approx or second.approx,
        pair=first.pair if same else None,
        pair_at=first.pair_at,
    )


def _second(spoken: tuple[str, ...], first: Part, between: bool) -> Part | None:
    """The upper end of a range, or None if no range is said."""
    at = first.last
    if first.pair is None and at + 1 < len(spoken) and spoken[at] in _RANGE_UNITS:
        at += spoken[at + 1] in ("to", "-", "through")
    joiner = spoken[at] if at < len(spoken) else ""
    if joiner not in _JOINERS and not (between and joiner == "and"):
        return None
    at += 1
    at += at < len(spoken) and spoken[at] in ("$", "maybe", "even", "about", "~")
    second = part(spoken, at)
    if second is None or second.high <= first.low:
        return None
    if joiner == "maybe" and second.decade:
        return None
    if joiner == "maybe":
        second = replace(second, approx=True)
    return second if second.fraction or not first.fraction or first.slashed or second.low < 40 else None


def _glued_range(spoken: tuple[str, ...], at: int) -> Number | None:
    found = _GLUED_RANGE.match(spoken[at])
    if not found:
        return None
    low, high = _plain_value(found[1]), _plain_value(found[2])
    if low is None or high is None or low >= high:
        return None
    return Number(first=at, core=at, last=at + 1, low=low, high=high, tail=found[3])


def _plain_value(digits: str) -> float | None:
    over, _, under = digits.partition("/")
    if under and not int(under):
        return None
    return int(over) / int(under) if under else float(digits)


def _suffix(spoken: tuple[str, ...], at: int) -> int:
    size = match(spoken, at, _AFTER)
    if size and spoken[at] in ("plus", "+") and spoken[at : at + 3] != ("plus", "or", "minus"):
        after = spoken[at + 1] if at + 1 < len(spoken) else "."
        if part(spoken, at + 1) or (after.isalpha() and after not in _AFTER_PLUS):
            return 0
    return size


def _name_end(spoken: tuple[str, ...], number: Number) -> int:
    """Where a number that is a name ends ("section 8", "north eighty seven of …"), else 0."""
    before = spoken[number.first - 1] if number.first else ""
    if before in _NAMED and number.core == number.first and not number.decade:
        return number.core + 1
    if before not in _COMPASS or number.core != number.first or number.decade:
        return 0
    if before == "back" and spoken[max(0, number.first - 2) : number.first - 1] in (
        ("me",),
        ("us",),
        ("him",),
    ):
        return 0  # "it set me back thirty dollars"
    first = part((spoken[number.core],), 0)
    after = spoken[number.last] if number.last < len(spoken) else ""
    if first is None or first.low not in _NAME_SIZES or after in ("mph", "miles", "mile", "%", "percent"):
        return 0
    return number.core + 1
