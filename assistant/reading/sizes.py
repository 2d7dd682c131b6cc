"""Sizes of marks on the plant, and the other lengths of a note: rain and row spacing.

Inches keep their unit and tell length, width and plain size apart; metric sizes are
``lesion_size_mm``.  What is not a mark (rows, pipe, a tall plant) is no size of a mark.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.lengths import Length, lengths
from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, nothing, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import match_meaning, meanings, phrase_meanings, phrases, table, words

_DIMENSION = {name: words("units", "length_words", name) for name in ("long", "wide", "across", "by")}
_LONG_SHAPES = words("units", "length_words", "long_shapes")
_OTHER = phrases("units", "length_words", "other_lengths")
_ROWS = phrases("units", "row", "rows")
_UNITS = meanings("units", "length")
_MARKS = phrase_meanings("units", "mark")
_MILLIMETRES: dict[str, float] = table("units")["millimetres"]
_RAIN = {name: phrases("units", "rain", name) for name in ("of", "when")}
_RAIN_CUES = words("units", "rain", "cues")
_GOT = words("units", "rain", "got")
_TENTHS = frozenset({"tenth", "tenths", "hundredth", "hundredths"})
_BARE = phrase_meanings("compare", "bare")
_SIZED = phrase_meanings("compare", "sized")
_FRAME_BEFORE = phrases("compare", "frame", "before")
_FRAME_AFTER = phrases("compare", "frame", "after")
_COMPARES = frozenset({*_BARE, *_SIZED, *_FRAME_BEFORE})


def compared(sheet: Sheet) -> list[Found]:
    """Reads "Pinhead", "size of a dime", "match head size"."""
    found: list[Found] = []
    at = 0
    while at < len(sheet.words):
        if sheet.words[at] not in _COMPARES:
            at += 1
            continue
        before = sheet.phrase(at, _FRAME_BEFORE)
        one = _likened(sheet, at, before) or (_likened(sheet, at, 0) if before else None)
        if one:
            found.append(one)
        at = one.last if one else at + 1
    return found


def rain(sheet: Sheet) -> list[Found]:
    """Rain in inches or millimetres: "an inch of rain", "got eight tenths Tuesday"."""
    found = [one for length in lengths(sheet) if (one := _rain_of(sheet, length))]
    for number in sheet.without(found).numbers:
        if number.fraction and sheet.word(number.last - 1) in _TENTHS:
            found += [one] if (one := _rain_of(sheet, Length(number, "in", number.last))) else []
        elif _bare_rain(sheet, number):
            found.append(said(sheet, "rain_in", number, number.last, unit="in"))
    return found


def _bare_rain(sheet: Sheet, number: Number) -> bool:
    """Reads "rained .6": inches where a decimal stands right behind the word."""
    before = sheet.word(number.first - 1)
    decimal = number.low != int(number.low) and not (number.tail or number.fraction or number.decade)
    return before in ("rained", "rain") and decimal and sheet.word(number.last) not in _UNITS


def row_spacing(sheet: Sheet) -> list[Found]:
    """Reads "thirty inch rows", "rows are 30 inches apart"."""
    found: list[Found] = []
    for length in lengths(sheet):
        after = length.last + (sheet.word(length.last) == "-")
        size = sheet.phrase(after, _ROWS)
        before = sheet.skip_back(length.first - 1, frozenset({"is", "are", "at", "of", "on", "in", ":"}), 3)
        free = before >= (found[-1].last if found else 0)
        named = free and (sheet.phrase(before, _ROWS) or sheet.word(before) == "spacing")
        if (size or named) and length.unit == "in" and not length.number.fraction:
            found.append(said(sheet, "row_spacing_in", length.number, after + size, unit="in"))
    return found


def mark_sizes(sheet: Sheet) -> list[Found]:
    """Length, width or size of marks; lengths of other things are claimed and left out."""
    found: list[Found] = []
    rows = lengths(sheet)
    at = 0
    while at < len(rows):
        other = _other_side(sheet, rows, at)
        if other:
            found += _two_sides(sheet, rows[at], other)
            at += 1 + (other in rows)
        else:
            found.append(_one_side(sheet, rows[at]))
            at += 1
    return found


# ------------------------------------------------------------------- likened


def _likened(sheet: Sheet, at: int, frame: int) -> Found | None:
    begin = at + frame
    size, value = match_meaning(sheet.words, begin, _BARE)
    after = sheet.phrase(begin + size, _FRAME_AFTER) if size else 0
    if not size:
        size, value = match_meaning(sheet.words, begin, _SIZED)
        after = sheet.phrase(begin + size, _FRAME_AFTER) if size else 0
        if not size or not (frame or after):
            return None
        if value == "half_dollar" and not frame and sheet.word(begin - 1) == "a":
            return None
        if value == "quarter" and not frame and sheet.number_at(begin):
            return None
    return Found(first=at, last=begin + size + after, attribute="lesion_size_like", value=value)


# ------------------------------------------------------------------- rain


def _rain_of(sheet: Sheet, length: Length) -> Found | None:
    if length.unit == "ft":
        return None
    last = length.last
    of = sheet.phrase(last, _RAIN["of"])
    if not of and not (_after_rain(sheet, length) or _got(sheet, length)):
        return None
    if length.unit == "in":
        return said(sheet, "rain_in", length.number, last + of, unit="in")
    millimetres = length.number.scaled(_MILLIMETRES[length.unit])
    return said(sheet, "rain_mm", millimetres, last + of, unit="mm")


def _after_rain(sheet: Sheet, length: Length) -> bool:
    """Whether a word for rain stands close before, and no mark is being measured."""
    if _measures_mark(sheet, length):
        return False
    clause = sheet.clauses[length.first]
    near = range(max(0, length.first - 4), length.first)
    return any(sheet.words[at] in _RAIN_CUES and sheet.clauses[at] == clause for at in near)


def _got(sheet: Sheet, length: Length) -> bool:
    before = sheet.skip_back(
        length.first - 1, frozenset({"about", "another", "us", "up", "a", "only", "just"}), 3
    )
    if sheet.word(before) not in _GOT or _measures_mark(sheet, length):
        return False
    return bool(sheet.phrase(length.last, _RAIN["when"]))


def _measures_mark(sheet: Sheet, length: Length) -> bool:
    after = sheet.word(length.last)
    near = sheet.near(length.first, length.last, length.last + 3)
    return any(after in _DIMENSION[name] for name in _DIMENSION) or any(word in _MARKS for word in near)


# ------------------------------------------------------------------- marks


def _other_side(sheet: Sheet, rows: list[Length], at: int) -> Length | None:
    """The second side in "1/8 by 2 inches", "2 inches by a quarter inch"."""
    length = rows[at]
    if sheet.word(length.last) in _DIMENSION["by"]:
        if at + 1 < len(rows) and rows[at + 1].first == length.last + 1:
            return rows[at + 1]
        bare = sheet.number_at(length.last + 1)
        return Length(bare, length.unit, bare.last) if bare and not bare.tail else None
    if sheet.word(length.first - 1) in _DIMENSION["by"]:
        number = sheet.number_ending(length.first - 1)
        return Length(number, length.unit, number.last) if number and not number.tail else None
    return None


def _two_sides(sheet: Sheet, one: Length, other: Length) -> list[Found]:
    """The longer side is the length; a metric pair keeps its length alone."""
    short, long = sorted((one, other), key=lambda side: side.number.high)
    first, last = min(one.first, other.first), max(one.last, other.last)
    if long.unit != "in":
        return [_metric(sheet, long, first, last)]
    return [
        said(sheet, "lesion_length_in", _spread(long.number, first), last, unit="in"),
        said(sheet, "lesion_width_in", _spread(short.number, first), last, unit="in"),
    ]


def _spread(number: Number, first: int) -> Number:
    return replace(number, first=first)


def _one_side(sheet: Sheet, length: Length) -> Found:
    last = length.last
    joints = ("in", "-", ".") if sheet.word(last - 1) == "in" else ("in", "-")  # "in." is short for inches
    behind = sheet.word(last) in joints and sheet.word(last + 1) in _said_dimensions()
    last += behind and (sheet.word(last) == "." or sheet.sentences[last] == sheet.sentences[length.first])
    name = _label(sheet, length) or next(
        (name for name in ("long", "wide", "across") if sheet.word(last) in _DIMENSION[name]), ""
    )
    labelled = bool(_label(sheet, length))
    last = last + 1 if name and not labelled else length.last
    if length.unit == "ft" or sheet.phrase(last, _OTHER):
        return nothing(length.first, last)
    if length.unit != "in":
        return _metric(sheet, length, length.first, last)
    attribute = {"long": "lesion_length_in", "wide": "lesion_width_in", "across": "lesion_size_in"}.get(name)
    if attribute is None:
        attribute = "lesion_length_in" if _of_long_shape(sheet, length) else "lesion_size_in"
    return said(sheet, attribute, length.number, last, unit="in")


def _label(sheet: Sheet, length: Length) -> str:
    """The dimension that stands before: "length: 2 to 5 in"."""
    if sheet.word(length.first - 1) != ":":
        return ""
    before = sheet.word(length.first - 2)
    return next((name for name in ("long", "wide", "across") if before in _DIMENSION[name]), "")


def _said_dimensions() -> frozenset[str]:
    return _DIMENSION["long"] | _DIMENSION["wide"] | _DIMENSION["across"]


def _of_long_shape(sheet: Sheet, length: Length) -> bool:
    """Whether a long mark (a cigar, a streak) is being spoken of just before, or right behind."""
    sentence = sheet.sentences[length.first]
    behind = range(length.last, min(len(sheet.words), length.last + 3))
    if any(sheet.words[at] in _LONG_SHAPES and sheet.sentences[at] == sentence for at in behind):
        return True
    before = range(max(0, length.first - 6), length.first)
    return any(_is_shape(sheet, at) and sheet.sentences[at] == sentence for at in before)


def _is_shape(sheet: Sheet, at: int) -> bool:
    """A word for a long shape; not "long" as in "an inch long" or "as long as"."""
    measured = sheet.word(at - 1) in _UNITS or sheet.word(at - 1) == "as" or at in sheet.taken
    return sheet.words[at] in _LONG_SHAPES and not measured


def _metric(sheet: Sheet, length: Length, first: int, last: int) -> Found:
    millimetres = length.number.scaled(_MILLIMETRES[length.unit])
    return said(sheet, "lesion_size_mm", millimetres, last, first=first, unit="mm")
