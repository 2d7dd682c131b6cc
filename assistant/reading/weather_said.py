"""Temperatures (also decades: "mid eighties") and wind speeds."""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrases, table, words

_WORDS = {
    name: words("units", "temperature", name)
    for name in ("f", "c", "degrees", "cues", "hot_after", "skipped", "not_decade")
}
_HIGH = phrases("units", "temperature", "high")
_LOW = phrases("units", "temperature", "low")
_NIGHT = phrases("units", "temperature", "night_after")
_DAY = phrases("units", "temperature", "day_after")
_DAY_WORDS = phrases("units", "temperature", "day_words")
_NIGHT_WORDS = phrases("units", "temperature", "night_words")
_IT = words("units", "temperature", "it")
_LOOSE_AFTER = words("units", "temperature", "loose_after")
_LOOKED = words("units", "count", "looked")
_MPH = phrases("units", "wind", "mph")
_WIND_SKIPPED = words("units", "wind", "skipped")
_GUST = words("units", "wind", "gust")
_WIND = words("units", "wind", "of")
#: What a bare figure must lie between to be heard as degrees Fahrenheit ("88 and humid").
_LIKELY_F: tuple[int, int] = tuple(table("units")["heard"]["likely_f"])
#: Below this a decade with no word for temperature may be anything ("planted in thirties").
_COLDEST_BARE: int = table("units")["heard"]["coldest_bare_decade"]


def temperatures(sheet: Sheet) -> list[Found]:
    """Temperatures: plain, the day's high, the night's low; Fahrenheit unless Celsius is said."""
    found: list[Found] = []
    for number in sheet.numbers:
        unit, last = _unit(sheet, number)
        part, first, end = _part_of_day(sheet, number, last)
        if not (unit or part or _bare(sheet, number)):
            continue
        number = _hundreds(number)
        attribute = "temperature_c" if unit == "C" else f"temperature_{part}f"
        found.append(said(sheet, attribute, number, end, first=first, unit=unit or "F"))
        sheet = sheet.without(found[-1:])
    return found


def winds(sheet: Sheet) -> list[Found]:
    """Reads "15 mph", "sixty mile an hour winds", "gusting to 40"."""
    found: list[Found] = []
    for number in sheet.numbers:
        at = number.last + (sheet.word(number.last) == "-")
        mph = 0 if number.tail == "mph" else sheet.phrase(at, _MPH)
        before = sheet.skip_back(number.first - 1, _WIND_SKIPPED, 6)
        free = before not in sheet.taken and not sheet.has_unit(number.last)
        gust = free and sheet.word(before) in _GUST | _WIND and not number.tail and not number.fraction
        if mph or number.tail == "mph" or gust:
            last = at + mph if mph else number.last
            last += sheet.word(last) in _WIND
            found.append(said(sheet, "wind_speed_mph", number.alone(), last, unit="mph"))
            sheet = sheet.without(found[-1:])
    return found


def _unit(sheet: Sheet, number: Number) -> tuple[str, int]:
    """Reads "F", "C" or "" and the token after the words of the unit."""
    at = number.last
    tail = number.tail.lstrip("°º").rstrip(".")
    degrees = number.tail != tail and not number.tail.endswith(".")
    if not number.tail:
        degrees = sheet.word(at) in _WORDS["degrees"]
        at += degrees
        tail = sheet.word(at) if not sheet.word(at).startswith(("°", "º")) else sheet.word(at)[1:]
        at += tail in _WORDS["f"] or tail in _WORDS["c"]
    if tail in _WORDS["c"] and not number.slashed:
        return "C", at
    if tail in _WORDS["f"] or degrees:
        return "F", at
    return "", number.last


def _part_of_day(sheet: Sheet, number: Number, last: int) -> tuple[str, int | None, int]:
    """Reads "high_", "low_" or "", the first token of a cue before, the token after a cue behind."""
    if number.tail and last == number.last and _unit(sheet, number)[0] == "":
        return "", None, last
    skipped = _WORDS["skipped"] | {","} if number.decade else _WORDS["skipped"]
    at = sheet.skip_back(number.first - 1, skipped, 5)
    same = at >= 0 and sheet.sentences[at] == sheet.sentences[number.first] and at not in sheet.taken
    if same and (number.fraction or number.pair or sheet.word(number.last) in ("of", "rows", "plants")):
        return "", None, last
    if same and sheet.word(at) in _LOW and _is_degrees(sheet, number, at):
        return "low_", at, last
    if same and sheet.word(at) in _HIGH and _is_degrees(sheet, number, at):
        return "high_", at, last
    if number.low < _LIKELY_F[0] / 2 or (sheet.word(last) in _LOOSE_AFTER and not number.decade):
        return "", None, last
    return _part_behind(sheet, number, last)


def _part_behind(sheet: Sheet, number: Number, last: int) -> tuple[str, int | None, int]:
    """The part of the day that stands behind a figure: "70 at night", "it got down to 72 last night"."""
    for known, part in ((_NIGHT, "low_"), (_DAY, "high_")):
        size = sheet.phrase(last, known)
        if size and not sheet.number_at(sheet.skip(last + size, _WORDS["skipped"])):
            return part, None, last + size
    if sheet.phrase(last, _NIGHT_WORDS) and _it_was(sheet, number):
        return "low_", None, last
    return "", None, last


def _it_was(sheet: Sheet, number: Number) -> bool:
    """Whether "it" (the air) was at a figure that words for a day or a night follow."""
    low, high = _LIKELY_F
    before = sheet.near(number.core, number.first - 4, number.first)
    near = bool(_IT.intersection(before)) and sheet.word(number.first - 1) not in _LOOKED
    plain = not (number.tail or number.fraction) and (not number.pair or number.pair[0] == 1)
    return near and plain and low / 2 <= number.low and number.high <= high


def _is_degrees(sheet: Sheet, number: Number, cue: int) -> bool:
    """Whether a figure behind "high", "nights" and the like is one of degrees."""
    low, high = sheet.bounds.get("temperature_f", _LIKELY_F)
    plural = (
        sheet.word(cue).endswith("s")
        or number.decade
        or sheet.word(cue + 1) in ("of", "was", "temp", "temps")
    )
    typed = sheet.number_at(number.first) is not None and number.high >= 20
    return (
        low <= number.low and number.high <= high and typed and (plural or sheet.word(cue) in _WORDS["cues"])
    )


def _bare(sheet: Sheet, number: Number) -> bool:
    """Whether a figure without a unit is heard as degrees: a decade, or with words of the weather."""
    if number.tail or number.fraction or (number.pair and number.pair[0] != 1):
        return False
    before = sheet.word(number.first - 1)
    if number.decade:
        at = sheet.skip_back(number.first - 1, frozenset({"in", "the"}), 2)
        return sheet.word(at) not in _WORDS["not_decade"] and number.low >= _COLDEST_BARE
    if sheet.phrase(number.last, _DAY_WORDS) and _it_was(sheet, number):
        return True
    at = sheet.skip_back(number.first - 1, _WORDS["skipped"], 4)
    low, high = _LIKELY_F
    if sheet.word(at) in _WORDS["cues"] and sheet.sentences[at] == sheet.sentences[number.first]:
        return low / 2 <= number.low and number.high <= high + 10
    temp = any(word.startswith("temp") for word in sheet.near(number.core, number.first - 3, number.first))
    if not low <= number.low or not number.high <= high or before in _LOOKED:
        return False
    return temp or _warm_words(sheet, number) or _alone(sheet, number) or _been(sheet, number)


def _alone(sheet: Sheet, number: Number) -> bool:
    """Whether the figure stands between commas in a longer sentence ("milk stage, 85, dry")."""
    clause, sentence = sheet.clause_range(number.core), sheet.sentence_range(number.core)
    inside = [at for at in clause if sheet.words[at] not in (",", ".")]
    return (
        len(sentence) > len(clause) and inside == list(range(number.first, number.last)) and number.low >= 60
    )


def _been(sheet: Sheet, number: Number) -> bool:
    """As in "it's been ninety"; "been dry as a bone and ninety two": no unit follows either."""
    after = sheet.word(number.last)
    if sheet.has_unit(number.last) or (after.isalpha() and after not in ("and", "with", "here")):
        return False
    if sheet.word(number.first - 1) == "been":
        return True
    told = {sheet.words[at] for at in sheet.clause_range(number.core) if at < number.first}
    ends = not after.isalnum() and after not in ("%", "/", "-", ":", "$")
    return (
        sheet.word(number.first - 1) == "and" and ends and bool(told & _WORDS["hot_after"] - {"out", "wind"})
    )


def _warm_words(sheet: Sheet, number: Number) -> bool:
    after = number.last
    after += sheet.word(after) in ("and", ",", "&")
    word = sheet.word(after)
    if word not in _WORDS["hot_after"]:
        return False
    if sheet.word(number.last) == "," and word in ("out", "today", "already"):
        return False
    return not (word == "out" and sheet.word(after + 1) == "of")


def _hundreds(number: Number) -> Number:
    """Reads "One oh two" is 102; any other pair is two figures, the last of which has the unit."""
    if number.pair and number.pair[0] == 1 and number.low < 130:
        return replace(number, pair=None)
    return number.alone()
