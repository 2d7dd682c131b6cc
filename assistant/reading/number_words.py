"""One number as it is said or typed, without its range, its hedges and its unit.

Reads ``34,000``, ``85f`` (with a glued tail), ``1/16``, ``1 1/2``, ``½``, "twenty five",
"two hundred and twenty", "two ten" (a pair: 210, or 2.10 if it is a price), "one and a
half", "three quarters", "point five", "mid eighties".
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from assistant.reading.decades import DECADES as _DECADES
from assistant.reading.decades import PARTS as _PARTS
from assistant.reading.decades import decade
from assistant.reading.wordlists import table

_NUMBER: dict[str, Any] = table("units")["number"]
_UNITS: dict[str, int] = _NUMBER["units"]
_TEENS: dict[str, int] = _NUMBER["teens"]
_TENS: dict[str, int] = _NUMBER["tens"]
_SMALL: dict[str, int] = _UNITS | _TEENS | _TENS
_SCALES: dict[str, int] = _NUMBER["scales"]
_DENOMINATORS: dict[str, int] = _NUMBER["denominators"]
_COUNTED: dict[str, int] = _NUMBER["counted"]
_GLYPHS: dict[str, float] = _NUMBER["glyphs"]
_LOOSE = frozenset(_NUMBER["loose"])
_POINT = frozenset(_NUMBER["point"])
_OH = frozenset(_NUMBER["oh"])
_PART_OF = frozenset(_NUMBER["part_of"])
_AFTER_HALF = frozenset(_NUMBER["after_bare_half"])
_BEFORE_HALF = frozenset(_NUMBER["before_bare_half"])
_AFTER_QUARTER = frozenset(_NUMBER["after_bare_quarter"])
_AFTER_PART = frozenset(_NUMBER["after_bare_part"])
_AFTER_SLASH = frozenset(_NUMBER["after_own_slash"])
_ARTICLES = frozenset({"a", "an"})
#: "Three way" is a kind of product, no three.
_WAYS = frozenset({"way", "ways"})
_LENGTHS = frozenset(form for forms in table("units")["length"].values() for form in forms)

_DIGITS = re.compile(r"(\d{1,3}(?:,\d{3}){1,3}|\d{1,9})?(\.\d{1,9})?([^\d.,][^\d]*)?\Z")
_SLASHED = re.compile(r"(\d{1,3})/(\d{1,3})([^\d/]*)\Z")
_MIXED_GLYPH = re.compile(r"(\d*)([½¼¾⅓⅔⅛⅜⅝⅞])(.*)\Z")
_ORDINAL_OR_TIME = frozenset({"st", "nd", "rd", "th", "am", "pm", "a.m.", "p.m.", "ies"})

#: Every word that a number can begin with, decades glued to their part ("mid-80s") aside.
NUMBER_WORDS = frozenset(
    {"a", "an", "hundred"}.union(_SMALL, _DENOMINATORS, _DECADES, _COUNTED, _PARTS, _POINT, _OH)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One number that ends before token ``last``.

    ``high`` differs from ``low`` only in a decade.  ``tail`` are letters glued to the
    digits; ``pair`` are the two numbers of an elided hundred, the second of which
    begins at token ``pair_at``.
    """

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


def part(words: tuple[str, ...], at: int) -> Part | None:
    """The longest number that begins at token ``at``, if any."""
    found = _figure(words, at)
    return _with_half(words, found) if found and not found.decade else found


def _figure(words: tuple[str, ...], at: int) -> Part | None:
    """A number without the "and a half" that may follow it."""
    if at >= len(words):
        return None
    if found := _decade(words, at):
        return found
    typed = words[at][0].isdecimal() or words[at][0] in ".'½¼¾⅓⅔⅛⅜⅝⅞"
    return _typed(words, at) if typed else _spoken(words, at)


def small(words: tuple[str, ...], at: int) -> tuple[int, int] | None:
    """A spoken whole number below one hundred: its value and the token after it."""
    word = words[at] if at < len(words) else ""
    if word in _TENS:
        step = at + 2 if _word(words, at + 1) == "-" else at + 1
        unit = 0 if _word(words, step + 1) in _WAYS else _UNITS.get(_word(words, step), 0)
        return (_TENS[word] + unit, step + 1) if unit else (_TENS[word], at + 1)
    return (_SMALL[word], at + 1) if word in _SMALL else None


def _word(words: tuple[str, ...], at: int) -> str:
    return words[at] if at < len(words) else ""


def _value(last: int, value: float, **more: Any) -> Part:
    return Part(last=last, low=value, high=value, **more)


# ------------------------------------------------------------------- digits


def _typed(words: tuple[str, ...], at: int) -> Part | None:
    word = words[at]
    if found := _MIXED_GLYPH.match(word):
        return _value(at + 1, int(found[1] or 0) + _GLYPHS[found[2]], tail=found[3], fraction=not found[1])
    if found := _SLASHED.match(word):
        return _slashed(at, int(found[1]), int(found[2]), found[3])
    found = _DIGITS.match(word)
    if not found or not (found[1] or found[2]):
        return None
    tail = (found[3] or "").lstrip("-")
    if tail in _ORDINAL_OR_TIME or _word(words, at + 1) in _ORDINAL_OR_TIME:
        return None
    value = float((found[1] or "0").replace(",", "") + (found[2] or ""))
    if tail == "k":
        return _value(at + 1, value * _SCALES["thousand"])
    if not tail and _word(words, at + 1) in (*_SCALES, "k"):
        scale = _SCALES.get(words[at + 1], _SCALES["thousand"])
        return _value(at + 2, value * scale)
    return _value(at + 1, value, tail=tail)


def _slashed(at: int, over: int, under: int, tail: str) -> Part | None:
    if not under:
        return None
    return _value(at + 1, over / under, tail=tail, fraction=True, slashed=True)


# ------------------------------------------------------------------- words


def _spoken(words: tuple[str, ...], at: int) -> Part | None:
    word = words[at]
    if word in _ARTICLES:
        return _after_article(words, at)
    if word in _POINT or (word in _OH and _word(words, at + 1) in _POINT):
        return _decimals(words, at + (word in _OH), 0)
    if word in _DENOMINATORS or word in _COUNTED:
        return _bare_part(words, at)
    if word == "hundred" and _word(words, at + 1) == "and" and small(words, at + 2):
        return _cardinal(words, 1, at)
    first = small(words, at)
    if first is None:
        return None
    value, after = first
    return (
        _fraction(words, value, after)
        or _dozens(words, value, after)
        or (_decimals(words, after, value) if _word(words, after) in _POINT else None)
        or _cardinal(words, value, after)
    )


def _after_article(words: tuple[str, ...], at: int) -> Part | None:
    word = _word(words, at + 1)
    if word in _COUNTED:
        last = at + 3 if word in _LOOSE and _word(words, at + 2) == "of" else at + 2
        return _value(last, _COUNTED[word], approx=word in _LOOSE)
    if word in _SCALES:
        return _cardinal(words, 1, at + 1)
    if word == "third" and _word(words, at + 2) in ("leaf", "year", "time", "plant", "one", "spray"):
        return None
    return _fraction(words, 1, at + 1)


def _bare_part(words: tuple[str, ...], at: int) -> Part | None:
    """A half, quarter or smaller part without a numerator: "half inch", "quarter milk line"."""
    word, after = words[at], _word(words, at + 1)
    if word in _COUNTED:
        return _value(at + 1, _COUNTED[word], approx=word in _LOOSE)
    if at and words[at - 1] in _PART_OF and after not in _AFTER_PART:
        return None
    if word == "half" and after in _ARTICLES and _word(words, at + 2) == "dozen":
        return _value(at + 3, _COUNTED["dozen"] / 2)
    follows = {"half": _AFTER_HALF, "quarter": _AFTER_QUARTER}.get(word, _AFTER_PART)
    following = _word(words, at + 2) if after == "-" else after
    placed = word == "half" and at > 0 and words[at - 1] in _BEFORE_HALF
    ends = not following.isalpha() or words[max(0, at - 2) : at] == ("line", "at")
    of_inch = after == "of" and words[at + 2 : at + 4] in (("an", "inch"), ("a", "inch"))
    if following not in follows and not (placed and ends) and not of_inch:
        return None
    return _value(at + 1, 1 / _DENOMINATORS[word], fraction=True)


def _fraction(words: tuple[str, ...], over: int, at: int) -> Part | None:
    step = at + 1 if _word(words, at) == "-" else at
    word = _word(words, step)
    if word == "thirty" and _word(words, step + 1) in ("second", "seconds"):
        return _value(step + 2, over / 32, fraction=True)
    under = _DENOMINATORS.get(word)
    if under is None or over >= under * 2:
        return None
    return _value(step + 1, over / under, fraction=True)


def _dozens(words: tuple[str, ...], value: int, at: int) -> Part | None:
    return _value(at + 1, value * _COUNTED["dozen"]) if _word(words, at) == "dozen" else None


def _decimals(words: tuple[str, ...], at: int, whole: int) -> Part | None:
    """The digits said after "point"."""
    after, digits = at + 1, ""
    while found := small(words, after):
        digits += str(found[0])
        after = found[1]
    return _value(after, float(f"{whole}.{digits}")) if digits else None


def _cardinal(words: tuple[str, ...], value: int, at: int) -> Part:
    word = _word(words, at)
    if word == "hundred":
        value, at = _plus_rest(words, value * _SCALES[word], at + 1)
        word = _word(words, at)
    elif pair := _pair(words, value, at):
        return pair
    if word == "thousand":
        value, at = _plus_rest(words, value * _SCALES[word], at + 1)
        if _word(words, at) == "hundred":
            rest = value % _SCALES["thousand"]
            value, at = _plus_rest(words, value - rest + rest * _SCALES["hundred"], at + 1)
    return _value(at, value)


def _plus_rest(words: tuple[str, ...], value: int, at: int) -> tuple[int, int]:
    step = at + 1 if _word(words, at) == "and" else at
    rest = small(words, step)
    measured = rest and step == at and _word(words, rest[1]) in _LENGTHS  # "34 thousand, 30 inch rows"
    return (value + rest[0], rest[1]) if rest and not measured else (value, at)


def _pair(words: tuple[str, ...], value: int, at: int) -> Part | None:
    """An elided hundred: "two ten", "three oh five"."""
    step = at + 1 if _word(words, at) in _OH else at
    rest = small(words, step)
    if rest is None or (value == 0) or (rest[0] < 10) == (step == at):
        return None
    if words[at] not in _OH and _fraction(words, rest[0], rest[1]):
        return None
    return _value(rest[1], value * 100 + rest[0], pair=(value, rest[0]), pair_at=at)


# ------------------------------------------------------------------- halves and decades


def _with_half(words: tuple[str, ...], found: Part) -> Part:
    """Adds what "and a half", "and three quarters" or "1/2" say behind a whole number."""
    if found.fraction or found.tail or found.low != int(found.low) or found.approx:
        return found
    at = found.last
    if _word(words, at) == "and":
        rest = _figure(words, at + 1) if _word(words, at + 1)[:1] not in ("", ".") else None
        if rest and rest.fraction and rest.high < 1 and _word(words, rest.last) != "of":
            total = found.low + rest.low
            return replace(rest, low=total, high=total, fraction=False, slashed=False)
        return found
    at += _word(words, at) == "-"
    slash = _SLASHED.match(_word(words, at))
    apart = _word(words, at + 1) in _AFTER_SLASH
    if slash and 0 < int(slash[1]) < int(slash[2]) and found.low < 100 and not apart:
        total = found.low + int(slash[1]) / int(slash[2])
        return _value(at + 1, total, tail=slash[3])
    return found


def _decade(words: tuple[str, ...], at: int) -> Part | None:
    """A decade, with its part if one is said: "eighties", "mid 70s", "mid to upper eighties"."""
    last, low, high = decade(words, at)
    return Part(last=last, low=low, high=high, decade=True) if last else None
