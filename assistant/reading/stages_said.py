"""Growth stages that are said with a number (V12, "v twelve", R4-R5) and the milk line.

Stages said in words ("milk stage", "dent") are the lexicon's; whether a stage is near,
reached or past is settled by the scope stage.
"""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.reading.number_words import NUMBER_WORDS, small
from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrases, table, words
from rules.model import Value

_UNITS = table("units")
_LETTERS = {form: letter for letter, forms in _UNITS["stage"]["letters"].items() for form in forms}
_NUMBERS: dict[str, list[int]] = _UNITS["stage_numbers"]
_JOINERS = words("units", "stage", "joiners")
_LEAF = words("units", "stage", "leaf")
_LEAF_NOUN = words("units", "stage", "leaf_noun")
_COLLARS = words("units", "stage", "sure_collars")
_VT = phrases("units", "stage", "vt")
_GLUED = re.compile(r"([vr])-?(\d{1,2})(?:\.\d+)?(?:s|ish)?\Z")

_MILK = {name: phrases("units", "milk", name) for name in ("line", "starch", "kernels", "left", "down")}
_HALFWAY = phrases("units", "milk", "halfway")
_MILK_SKIPPED = words("units", "milk", "skipped")
_PERCENT = words("units", "share", "percent")

#: A stage read at some token: its letter, its number (0 for VT) and the token after it.
_Stage = tuple[str, int, int]


def stages(spoken: tuple[str, ...]) -> list[Found]:
    """The stages with numbers, ranges as "R4-R5"."""
    found: list[Found] = []
    at = 0
    while at < len(spoken):
        first = _stage(spoken, at)
        if first is None:
            at += 1
            continue
        one = _range(spoken, at, first)
        found.append(one)
        at = one.last
    return found


def milk_lines(sheet: Sheet) -> list[Found]:
    """How far the milk line has come down the kernel, with the R5 that any milk line means."""
    found: list[Found] = []
    for number in sheet.numbers:
        more = _milk_after(sheet, number) or _milk_before(sheet, number)
        sheet = sheet.without(more)
        found += more
    found += _halfway(sheet)
    return found


# ------------------------------------------------------------------- stages


def _stage(spoken: tuple[str, ...], at: int) -> _Stage | None:
    word = spoken[at]
    if word[0] not in "vr0123456789" and word not in NUMBER_WORDS:
        return None
    if found := _GLUED.match(word):
        return _checked(found[1], int(found[2]), at + 1)
    for phrase in _VT.get(word, ()):
        if spoken[at : at + len(phrase)] == phrase:
            return ("v", 0, at + len(phrase))
    if word in _LETTERS:
        step = at + 2 if spoken[at + 1 : at + 2] in (("-",), (".",)) else at + 1
        return _checked(_LETTERS[word], *_whole(spoken, step, 0))
    return _leaf_stage(spoken, at)


def _checked(letter: str, number: int, last: int) -> _Stage | None:
    low, high = _NUMBERS[letter]
    return (letter, number, last) if last and low <= number <= high else None


def _whole(spoken: tuple[str, ...], at: int, otherwise: int) -> tuple[int, int]:
    """A whole number of at most two digits at ``at``, as digits or one number word."""
    word = spoken[at] if at < len(spoken) else ""
    if word.isdecimal() and len(word) <= 2:
        return int(word), at + 1
    found = small(spoken, at)
    return found if found else (otherwise, 0)


def _leaf_stage(spoken: tuple[str, ...], at: int) -> _Stage | None:
    """Reads "Six leaf stage", "8 collars"."""
    number, last = _whole(spoken, at, 0)
    if not last:
        return None
    last += spoken[last : last + 1] == ("-",)
    count = 0
    while last + count < len(spoken) and spoken[last + count] in _LEAF and count < 2:
        count += 1
    if not count:
        return None
    noun = spoken[last + count] if last + count < len(spoken) else ""
    if noun in _LEAF_NOUN:
        return _checked("v", number, last + count + 1)
    if spoken[last + count - 1] in _COLLARS:
        return _checked("v", number, last + count)
    return None


def _range(spoken: tuple[str, ...], at: int, first: _Stage) -> Found:
    low = _code(first)
    second = _second(spoken, at, first)
    value: Value = low if second is None else f"{low}-{_code(second)}"
    begin = at - 1 if second and at and spoken[at - 1] == "between" else at
    return Found(first=begin, last=second[2] if second else first[2], attribute="growth_stage", value=value)


def _second(spoken: tuple[str, ...], at: int, first: _Stage) -> _Stage | None:
    joiner = spoken[first[2]] if first[2] < len(spoken) else ""
    between = at > 0 and spoken[at - 1] == "between" and joiner == "and"
    if joiner not in _JOINERS and not between:
        return None
    step = first[2] + 1
    second = _stage(spoken, step) if step < len(spoken) else None
    if second is None and joiner != "/" and first[1]:
        number, last = _whole(spoken, step, 0)
        after = spoken[last] if last and last < len(spoken) else ""
        second = _checked(first[0], number, last) if _ends_range(after) else None
    return second if second and _order(second) > _order(first) else None


def _ends_range(after: str) -> bool:
    """Whether a bare number ends a range of stages ("r4 or 5"), not a quantity ("r4 or 5 percent")."""
    return after not in _PERCENT and after not in ("of", "out", "plants", "in", "inch", "inches", "degrees")


def _code(stage: _Stage) -> str:
    return f"{stage[0].upper()}{stage[1] or 'T'}"


def _order(stage: _Stage) -> tuple[bool, bool, int]:
    letter, number, _ = stage
    return letter == "r", number == 0, number


# ------------------------------------------------------------------- milk line


def _milk_after(sheet: Sheet, number: Number) -> list[Found]:
    """Reads "Half milk line", "3/4 starch", "50% milk line", "quarter milk line left"."""
    share, at = _as_share(sheet, number)
    if share is None:
        return []
    at += sheet.word(at) == "-"
    starch = sheet.phrase(at, _MILK["starch"])
    size = starch or sheet.phrase(at, _MILK["line"])
    if not size:
        return []
    last = at + size
    left = sheet.phrase(last, _MILK["left"])
    if left and not starch:
        share = _rest(share)
    return _milk(sheet, share, number.first, last + left)


def _milk_before(sheet: Sheet, number: Number) -> list[Found]:
    """Reads "Milk line at half", "milk line a third of the way down", "kernels a third of the way down"."""
    share, at = _as_share(sheet, number)
    if share is None:
        return []
    if sheet.has_unit(at):
        return []
    down = sheet.phrase(at, _MILK["down"])
    begin = _line_before(sheet, number.first, "line") or (
        down and _line_before(sheet, number.first, "kernels")
    )
    if not begin and down and _is_way(sheet, at, down):
        begin = number.first + 1
    if not begin or (not down and sheet.phrase(at, _MILK["kernels"])):
        return []
    left = 0 if down else sheet.phrase(at, _MILK["left"])
    return _milk(sheet, _rest(share) if left else share, min(begin - 1, number.first), at + (down or left))


def _is_way(sheet: Sheet, at: int, size: int) -> bool:
    return "way" in sheet.words[at : at + size] and "down" in sheet.words[at : at + size]


def _line_before(sheet: Sheet, at: int, name: str) -> int:
    """One more than the token where a milk line or kernel phrase stands before ``at``; 0 if none."""
    end = sheet.skip_back(at - 1, _MILK_SKIPPED - {"line", "starch"}, 5)
    for begin in range(max(0, end - 2), end + 1):
        if begin + sheet.phrase(begin, _MILK[name]) == end + 1 and sheet.phrase(begin, _MILK[name]):
            free = sheet.sentences[begin] == sheet.sentences[at] and begin not in sheet.taken
            return begin + 1 if free else 0
    return 0


def _halfway(sheet: Sheet) -> list[Found]:
    """Reads "Milk line is halfway down"."""
    found: list[Found] = []
    for at, word in enumerate(sheet.words):
        size = sheet.phrase(at, _HALFWAY) if word in _HALFWAY else 0
        begin = size and (_line_before(sheet, at, "line") or _line_before(sheet, at, "kernels"))
        if begin:
            last = at + size + sheet.phrase(at + size, _MILK["down"])
            half = Number(first=at, core=at, last=at + size, low=0.5, high=0.5)
            found += _milk(sheet, half, begin - 1, last)
    return found


def _as_share(sheet: Sheet, number: Number) -> tuple[Number | None, int]:
    """The number as a fraction of one, and the token after it and its percent sign."""
    at = number.last
    percent = number.tail in _PERCENT or sheet.word(at) in _PERCENT
    at += percent and number.tail not in _PERCENT
    if percent:
        return number.alone().scaled(0.01), at
    return (number if number.fraction and not number.tail else None), at


def _rest(share: Number) -> Number:
    return replace(share, low=1 - share.high, high=1 - share.low)


def _milk(sheet: Sheet, share: Number, first: int, last: int) -> list[Found]:
    rounded = replace(share, low=round(share.low, 2), high=round(share.high, 2))
    line = said(sheet, "milk_line", rounded, last, first=first)
    if line.attribute != "milk_line" or line.first > first:  # a doubted line keeps its own words
        return [line]
    return [line, replace(line, attribute="growth_stage", value="R5", approx=False)]
