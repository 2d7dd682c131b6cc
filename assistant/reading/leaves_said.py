"""Leaves counted from the ear leaf: "two leaves under the ear" is -2, "ear leaf plus one" is 1."""

from __future__ import annotations

import re

from assistant.reading.number_words import small
from assistant.reading.sheet import tidy
from assistant.reading.tokens import Found
from assistant.reading.wordlists import match, phrases, table, words
from rules.model import Value

_TABLE = table("units")["leaf"]
_BELOW = phrases("units", "leaf", "below")
_ABOVE = phrases("units", "leaf", "above")
_EAR = phrases("units", "leaf", "ear")
_EAR_LEAF = phrases("units", "leaf", "ear_leaf")
_LEAF = words("units", "leaf", "leaf")
_OR_HIGHER = phrases("units", "leaf", "or_higher")
_MINUS = words("units", "leaf", "minus")
_PLUS = words("units", "leaf", "plus")
_SINGLE = words("units", "leaf", "single")
_NOT_SINGLE = words("units", "leaf", "not_single")
_CLOSE = words("units", "leaf", "close")
_ORDINALS: dict[str, int] = _TABLE["ordinals"]
_MOST: int = _TABLE["most"]
_GLUED_EAR = re.compile(r"(?:el|l|ear)([+-])(\d)\Z")
_SIGNED = re.compile(r"([+-])(\d)\Z")
_NOT_BEFORE = frozenset({"of", "to", "in", "/", "-", "%", "percent"})

#: Count of leaves, low and high, and the token after the words that say it.
_Count = tuple[int, int, int]


def leaves_from_ear(spoken: tuple[str, ...]) -> list[Found]:
    """Every leaf counted from the ear leaf, with the canopy position that it is."""
    found: list[Found] = []
    at = 0
    if not any(word.startswith(("ear", "el", "l-", "l+")) or word in _LEAF for word in spoken):
        return found
    while at < len(spoken):
        one = _from_ear_leaf(spoken, at) or _to_ear_leaf(spoken, at) or _leaf_down(spoken, at)
        found += one
        at = one[0].last if one else at + 1
    return found


def _to_ear_leaf(spoken: tuple[str, ...], at: int) -> list[Found]:
    """Reads "Two leaves below the ear", "third leaf above the ear", "one above the ear leaf"."""
    count = _count(spoken, at)
    if count is None:
        return []
    low, high, step = count
    step += spoken[step : step + 1] == ("-",)
    leaf = step < len(spoken) and spoken[step] in _LEAF
    if not leaf and (_word(spoken, at - 1) in _NOT_BEFORE or spoken[at] in _SINGLE - {"one"}):
        return []
    step += leaf
    step += _word(spoken, step) in _CLOSE
    sign, size = _direction(spoken, step)
    step += size
    step += _word(spoken, step) == "from"
    ear = match(spoken, step, _EAR)
    if not (size and ear):
        return []
    last = step + ear
    return _found(at, last + match(spoken, last, _OR_HIGHER), sign * low, sign * high)


def _leaf_down(spoken: tuple[str, ...], at: int) -> list[Found]:
    """Reads "Third leaf down": counted from the ear, where nothing else is named."""
    word = spoken[at]
    counted = word in _ORDINALS and _word(spoken, at + 1) in _LEAF and _word(spoken, at + 2) == "down"
    if not counted or _word(spoken, at + 3) in ("from", "to", "the", "in"):
        return []
    return _found(at, at + 3, -_ORDINALS[word], -_ORDINALS[word])[:1]


def _count(spoken: tuple[str, ...], at: int) -> _Count | None:
    word = spoken[at]
    if word in _ORDINALS and (_word(spoken, at + 1) in _LEAF or _named_before(spoken, at)):
        return _ORDINALS[word], _ORDINALS[word], at + 1
    first = _whole(spoken, at)
    if first is None:
        if word in ("leaf", "lf") and _word(spoken, at - 1) not in _NOT_SINGLE:
            return 1, 1, at
        single = word in _SINGLE and _word(spoken, at + 1) in ("leaf", "lf")
        return (1, 1, at + 1) if single else None
    low, step = first
    if _word(spoken, step) in ("or", "to", "-"):
        second = _whole(spoken, step + 1)
        if second and low < second[0] <= _MOST:
            return low, second[0], second[1]
    return low, low, step


def _named_before(spoken: tuple[str, ...], at: int) -> bool:
    """As in "leaf: 2nd below ear"."""
    return _word(spoken, at - 1) in _LEAF or (_word(spoken, at - 1) == ":" and _word(spoken, at - 2) in _LEAF)


def _whole(spoken: tuple[str, ...], at: int) -> tuple[int, int] | None:
    word = _word(spoken, at)
    if word.isdecimal():
        return (int(word), at + 1) if 0 < int(word) <= _MOST else None
    found = small(spoken, at) if word else None
    return found if found and 0 < found[0] <= _MOST else None


def _direction(spoken: tuple[str, ...], at: int) -> tuple[int, int]:
    """-1 or 1 and the number of words that say below or above."""
    if size := match(spoken, at, _BELOW):
        return -1, size
    if size := match(spoken, at, _ABOVE):
        return 1, size
    word = _word(spoken, at)
    if word in ("down", "up") and _word(spoken, at + 1) == "from":
        return (-1 if word == "down" else 1), 1
    return 0, 0


def _from_ear_leaf(spoken: tuple[str, ...], at: int) -> list[Found]:
    """Reads "Ear leaf minus three", "ear leaf -3", "el+1"."""
    if glued := _GLUED_EAR.match(spoken[at]):
        found = _found(at, at + 1, *_signed(glued[1], int(glued[2])))
        return found[:1] if spoken[at].startswith("l") else found
    size = match(spoken, at, _EAR_LEAF)
    if not size:
        return []
    step = at + size
    if signed := _SIGNED.match(_word(spoken, step)):
        return _found(at, step + 1, *_signed(signed[1], int(signed[2])))
    word = _word(spoken, step)
    number = _whole(spoken, step + 1) if word in _MINUS or word in _PLUS else None
    if number is None or _word(spoken, number[1]) in ("%", "percent", "of", "out", "-", "to", "plants", "in"):
        return []
    return _found(at, number[1], *_signed("-" if word in _MINUS else "+", number[0]))


def _signed(sign: str, count: int) -> tuple[int, int]:
    value = -count if sign == "-" else count
    return value, value


def _found(first: int, last: int, low: int, high: int) -> list[Found]:
    low, high = sorted((low, high))
    value: Value = low if low == high else (tidy(low), tidy(high))
    place = "below_ear_leaf" if high < 0 else "above_ear_leaf"
    return [
        Found(first=first, last=last, attribute="leaf_from_ear", value=value),
        Found(first=first, last=last, attribute="canopy_position", value=place),
    ]


def _word(spoken: tuple[str, ...], at: int) -> str:
    return spoken[at] if 0 <= at < len(spoken) else ""
