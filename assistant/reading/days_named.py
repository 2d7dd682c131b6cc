"""Days that are named by figures or by their month: 7/28, July 9th, the ninth of July, mid May, the 24th."""

from __future__ import annotations

import re
from functools import partial

from assistant.reading.calendar_days import day_of_month, day_or_none, month_day
from assistant.reading.day_spans import TABLE, Pattern, Span, word_at
from assistant.reading.number_words import small
from assistant.reading.wordlists import words

_MONTHS: dict[str, int] = TABLE["month"]["names"]
_MONTH_PARTS: dict[str, int] = TABLE["month"]["parts"]
_MONTH_WEEKS: dict[str, int] = TABLE["month"]["weeks"]
_ORDINALS: dict[str, int] = TABLE["ordinal"]["names"]
_ORDINAL_TENS: dict[str, int] = TABLE["ordinal"]["tens"]
_RULER = frozenset(TABLE["slash"]["ruler"])
_BEFORE_ORDINAL = words("date_words", "ordinal", "before")
_NOT_ORDINAL = words("date_words", "ordinal", "not_before")
_NOT_SLASH = words("date_words", "slash", "not_before")
_NOT_AFTER_SLASH = words("date_words", "slash", "not_after")
_ASKS = words("date_words", "slash", "asks")
_NOT_DAY = words("date_words", "not_a_day", "after")
_AMBIGUOUS = words("date_words", "not_a_day", "ambiguous_months")

_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})(?:/(\d{4}|\d{2}))?\Z")
_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})\Z")
_SUFFIXED = re.compile(r"(\d{1,2})(?:st|nd|rd|th)\Z")
_CENTURY = 2000

#: Words that a day of this kind can begin with; a figure can as well.
STARTS = frozenset({"the", *_MONTHS, *_MONTH_PARTS, *_MONTH_WEEKS, *_ORDINALS, *_ORDINAL_TENS})


# ------------------------------------------------------------------- figures


def _iso(said: tuple[str, ...], at: int) -> Span | None:
    for size in (1, 5):
        joined = "".join(said[at : at + size])
        if match := _ISO.match(joined):
            return _fixed(at, at + size, int(match[1]), int(match[2]), int(match[3]))
    return None


def _slash(said: tuple[str, ...], at: int) -> Span | None:
    match = _SLASHED.match(said[at])
    if not match or word_at(said, at - 1) in _NOT_AFTER_SLASH:
        return None
    month, day = int(match[1]), int(match[2])
    if not day_or_none(_CENTURY, month, day):
        return None
    if match[3]:
        return _fixed(at, at + 1, _year(match[3]), month, day)
    after = word_at(said, at + 1)
    if after in _NOT_SLASH or after == "+" or (after == "-" and word_at(said, at + 2)[:1].isdecimal()):
        return None
    if (day in _RULER and month < day) and not _ASKS.intersection(said[max(0, at - 3) : at]):
        return None
    return Span(first=at, last=at + 1, reckon=partial(month_day, month, day))


def _fixed(first: int, last: int, year: int, month: int, day: int) -> Span | None:
    found = day_or_none(year, month, day)
    return Span(first=first, last=last, reckon=lambda _base, _lean: found) if found else None


def _year(figures: str) -> int:
    return int(figures) + (_CENTURY if len(figures) == 2 else 0)


# ------------------------------------------------------------------- months


def _month_first(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "July 9th, 2026", "may second", "september twentieth"."""
    month = _MONTHS.get(said[at])
    if month is None:
        return None
    step = at + 1
    step += word_at(said, step) == "."
    step += word_at(said, step) == "the"
    day, last = _day(said, step)
    if not day or word_at(said, last) in _NOT_DAY or not day_or_none(_CENTURY, month, day):
        return None
    if said[at] in _AMBIGUOUS and word_at(said, last) == "of":
        return None
    year, end = _said_year(said, last)
    if year:
        return _fixed(at, end, year, month, day)
    return Span(first=at, last=last, reckon=partial(month_day, month, day))


def _said_year(said: tuple[str, ...], at: int) -> tuple[int, int]:
    step = at + (word_at(said, at) == ",")
    word = word_at(said, step)
    if len(word) == 4 and word.isdecimal() and word.startswith("20"):
        return int(word), step + 1
    return 0, at


def _day(said: tuple[str, ...], at: int) -> tuple[int, int]:
    """A day of the month at ``at``, as figures, an ordinal or a number word; (0, at) if none."""
    word = word_at(said, at)
    if match := _SUFFIXED.match(word):
        return int(match[1]), at + 1
    if word.isdecimal() and len(word) <= 2:
        return int(word), at + 1
    day, last = _ordinal(said, at)
    return (day, last) if day else _cardinal(said, at)


def _ordinal(said: tuple[str, ...], at: int) -> tuple[int, int]:
    word = word_at(said, at)
    if word in _ORDINAL_TENS:
        step = at + 1 + (word_at(said, at + 1) == "-")
        unit = _ORDINALS.get(word_at(said, step), 0)
        return (_ORDINAL_TENS[word] + unit, step + 1) if 0 < unit < 10 else (0, at)
    return (_ORDINALS[word], at + 1) if word in _ORDINALS else (0, at)


def _cardinal(said: tuple[str, ...], at: int) -> tuple[int, int]:
    found = small(said, at) if at < len(said) else None
    return found if found and 0 < found[0] <= 31 else (0, at)


def _day_first(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "The ninth of july", "9th of July"."""
    step = at + (said[at] == "the")
    match = _SUFFIXED.match(word_at(said, step))
    day, last = (int(match[1]), step + 1) if match else _ordinal(said, step)
    month = _MONTHS.get(word_at(said, last + 1)) if word_at(said, last) == "of" else None
    if not day or month is None or not day_or_none(_CENTURY, month, day):
        return None
    return Span(first=at, last=last + 2, reckon=partial(month_day, month, day))


def _day_alone(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "The 24th", "on the twentieth"; never "the second" or "the third leaf"."""
    if said[at] != "the":
        return None
    match = _SUFFIXED.match(word_at(said, at + 1))
    day, last = (int(match[1]), at + 2) if match else _ordinal(said, at + 1)
    if not 0 < day <= 31 or word_at(said, last) in _NOT_ORDINAL:
        return None
    if not match and (word_at(said, at - 1) not in _BEFORE_ORDINAL or (last - at == 2 and day < 3)):
        return None
    return Span(first=at, last=last, reckon=partial(day_of_month, day))


def _month_part(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "Mid July", "end of May", "first week of July": all approximate."""
    first = at
    at += said[at] == "the"
    word = word_at(said, at)
    step, day = at + 1, _MONTH_PARTS.get(word, 0)
    if word in _MONTH_WEEKS and word_at(said, at + 1) == "week":
        step, day = at + 2, _MONTH_WEEKS[word]
    if not day:
        return None
    step += word_at(said, step) in ("of", "-", "in")
    month = _MONTHS.get(word_at(said, step))
    if month is None:
        return None
    return Span(first=first, last=step + 1, reckon=partial(month_day, month, day), approx=True)


PATTERNS: tuple[Pattern, ...] = (_iso, _slash, _month_first, _day_first, _month_part, _day_alone)
