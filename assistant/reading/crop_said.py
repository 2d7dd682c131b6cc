"""Figures about the crop and the sprayer: population, spray volume, a hybrid's score."""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.counts import PLANTS
from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrases, table, words

_POPULATION = phrases("units", "population", "unit")
_POPULATION_SURE = words("units", "population", "sure")
_POPULATION_BEFORE = words("units", "population", "before")
_POPULATION_NOT = words("units", "population", "not")
_GALLONS = words("units", "volume", "gallons")
_PER_ACRE = phrases("units", "money", "acre")
_CUES = words("units", "rating", "cues")
#: With these before a figure it is a score only where the best end is said.
_WEAK_CUES = words("units", "rating", "weak_cues")
_SKIPPED = words("units", "rating", "skipped")
_IS = words("units", "rating", "is")
_BEST = phrases("units", "rating", "best")
_WORST = phrases("units", "rating", "worst")
_SCALE = words("units", "rating", "scale")
_THOUSAND: int = table("units")["number"]["scales"]["thousand"]
_REACH = 9


def populations(sheet: Sheet) -> list[Found]:
    """Reads "34,000", "34 thousand population", "thirty four population", "planted at 32k"."""
    found: list[Found] = []
    low, high = sheet.bounds.get("population_per_ac", (0, 0))
    for number in sheet.numbers:
        if number.tail or number.fraction or number.decade or sheet.word(number.first - 1) in _POPULATION_NOT:
            continue
        size = sheet.phrase(number.last, _POPULATION)
        near = sheet.near(number.core, number.first - 3, number.first)
        hundreds = _hundreds(sheet, number)
        last = hundreds.last if hundreds else number.last
        sure = sheet.word(last) in _POPULATION_SURE or bool(_POPULATION_SURE.intersection(near))
        if sure and 10 <= number.low <= number.high < 100:
            more = hundreds.low * _THOUSAND / 10 if hundreds else 0
            thousands = number.alone().scaled(_THOUSAND)
            number = replace(thousands, low=thousands.low + more, high=thousands.high + more, last=last)
            size = sheet.phrase(last, _POPULATION)
        if sheet.word(number.last) in _POPULATION_NOT or not low <= number.low <= number.high <= high:
            continue
        named = [
            number.first - back for back in (1, 2) if sheet.word(number.first - back) in _POPULATION_SURE
        ]
        first = named[0] if named else None
        found.append(said(sheet, "population_per_ac", number, number.last + size, first=first))
    return found


def _hundreds(sheet: Sheet, number: Number) -> Number | None:
    """The digit behind thousands that are left unsaid ("population thirty three five")."""
    digit = sheet.number_at(number.last)
    alone = digit and not (digit.tail or digit.fraction or digit.is_range or digit.approx)
    return digit if digit and alone and 1 <= digit.low <= 9 and digit.low == int(digit.low) else None


def volumes(sheet: Sheet) -> list[Found]:
    """Reads "15 gallons an acre", "2 gpa"."""
    found: list[Found] = []
    for number in sheet.numbers:
        if number.tail in _GALLONS or (not number.tail and sheet.word(number.last) in _GALLONS):
            last = number.last + (not number.tail)
            last += sheet.phrase(last, _PER_ACRE)
            found.append(said(sheet, "spray_volume_gal_ac", number.alone(), last, unit="gal/ac"))
    return found


def ratings(sheet: Sheet) -> list[Found]:
    """A hybrid's score and which end of the scale is best: "rated a 4 out of 9 where 9 is best"."""
    found: list[Found] = []
    for number in sheet.numbers:
        if number.tail or number.fraction or number.decade or number.is_range:
            continue
        if not found or number.first >= found[-1].last:
            found += _score(sheet, number.alone())
    return found


def _score(sheet: Sheet, score: Number) -> list[Found]:
    first = _cue_before(sheet, score)
    top, scale, last = _scale(sheet, score)
    weak = first is None and sheet.word(sheet.skip_back(score.first - 1, _SKIPPED, 4)) in _WEAK_CUES
    if first is None and scale is None and not (top or weak):
        return []
    best, end = _best_end(sheet, last, scale)
    if first is not None and best is None and (told := _told_before(sheet, first)) is not None:
        return [*_rating(sheet, score, first, last, None), replace(told, first=first, last=score.last)]
    if first is None and sheet.word(last) in PLANTS:
        return []
    framed = scale is not None or ((top > 0 or weak) and best is not None)
    if not framed and (first is None or not (top or best is not None or _ends(sheet, score))):
        return []
    return _rating(sheet, score, first, max(last, end), best)


def _told_before(sheet: Sheet, score_at: int) -> Found | None:
    """The best end, where the scale stands before: "one to nine scale, nine is best, it scores a three"."""
    for ends in sheet.numbers:
        scale = ends.is_range and sheet.word(ends.last) in _SCALE and ends.last < score_at
        if scale and sheet.sentences[ends.first] == sheet.sentences[score_at]:
            best, _end = _best_end(sheet, ends.last, (ends.low, ends.high))
            if best is not None:
                return said(sheet, "rating_best_end", replace(ends, low=best, high=best), ends.last)
    return None


def _rating(sheet: Sheet, score: Number, first: int | None, last: int, best: float | None) -> list[Found]:
    found = [said(sheet, "rating_value", score, score.last, first=first)]
    if best is not None:
        begin = next((n.first for n in sheet.numbers if score.last <= n.first < last), last - 1)
        end = replace(score, low=best, high=best, first=begin, core=begin, last=last)
        found.append(said(sheet, "rating_best_end", end, last))
    return found


def _cue_before(sheet: Sheet, number: Number) -> int | None:
    at = sheet.skip_back(number.first - 1, _SKIPPED, 4)
    cue = at >= 0 and sheet.word(at) in _CUES and sheet.sentences[at] == sheet.sentences[number.first]
    return at if cue else None


def _ends(sheet: Sheet, number: Number) -> bool:
    """Whether no unit stands behind a score."""
    after = sheet.word(number.last)
    return (
        not after
        or not (after.isalpha() or after in ("%", '"', "°", "/", "-"))
        or after in ("on", "for", "and", "to", "against")
    )


def _scale(sheet: Sheet, number: Number) -> tuple[float, tuple[float, float] | None, int]:
    """The top ("out of 9"), the scale ("on a one to nine scale") and the token after them."""
    at = number.last
    if sheet.words[at : at + 2] == ("out", "of"):
        top = sheet.number_at(at + 2)
        return (top.high, None, top.last) if top else (0, None, at)
    step = sheet.skip(at, frozenset({"on", "a", "the", "of", "scale", "from"}), 5)
    ends = sheet.number_at(step)
    said_scale = ends is not None and (sheet.word(ends.last) in _SCALE or "scale" in sheet.words[at:step])
    if ends is None or not ends.is_range or not said_scale or step == at:
        return 0, None, at
    return ends.high, (ends.low, ends.high), ends.last + (sheet.word(ends.last) in _SCALE)


def _best_end(sheet: Sheet, last: int, scale: tuple[float, float] | None) -> tuple[float | None, int]:
    """The end that is best, from "9 is best", "with nine good", "best is 9" or "1 is worst"."""
    near = (sheet.number_at(at) for at in range(last, last + _REACH + 1))
    for number in (one for one in near if one):
        if sheet.sentences[number.first] != sheet.sentences[last - 1]:
            continue
        at = sheet.skip(number.last, _IS, 3)
        if size := sheet.phrase(at, _BEST):
            return number.high, at + size
        before = sheet.skip_back(number.first - 1, _IS, 3)
        if sheet.phrase(before, _BEST) == 1 and before >= last:
            return number.high, number.last
        if (size := sheet.phrase(at, _WORST)) and scale:
            return (scale[0] if number.high == scale[1] else scale[1]), at + size
    return None, last
