"""Days that are named by figures or by their month: 7/28, July 9th, the ninth of July, mid May, the 24th."""

from __future__ import annotations

import re
from datetime import date
from functools import partial

from assistant.reading.calendar_days import Lean, day_of_month, day_or_none, month_day
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
STARTS = frozenset({"the", "last", *_MONTHS, *_MONTH_PARTS, *_MONTH_WEEKS, *_ORDINALS, *_ORDINAL_TENS})


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
    if day and said[last : last + 3] in (("of", "last", "month"), ("of", "this", "month")):
        back = int(said[last + 1] == "last")
        return Span(first=at, last=last + 3, reckon=partial(_of_month, day, back), lean=Lean.PAST)
    month = _MONTHS.get(word_at(said, last + 1)) if word_at(said, last) == "of" else None
    if not day or month is None or not day_or_none(_CENTURY, month, day):
        return None
    return Span(first=at, last=last + 2, reckon=partial(month_day, month, day))


def _of_month(day: int, back: int, base: date, _lean: Lean) -> date | None:
    """The day of this month, or of so many months ago."""
    months = base.year * 12 + base.month - 1 - back
    return day_or_none(months // 12, months % 12 + 1, day)


def _day_alone(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "The 24th", "on the twentieth"; never "the second" or "the third leaf"."""
    if said[at] != "the":
        return None
    match = _SUFFIXED.match(word_at(said, at + 1))
    day, last = (int(match[1]), at + 2) if match else _ordinal(said, at + 1)
    counts = word_at(said, last) in _NOT_ORDINAL - {"and"} or (
        word_at(said, last) == "and" and _ordinal(said, last + 1)[0] > 0
    )
    if not 0 < day <= 31 or counts:
        return None
    before = word_at(said, at - 1)
    placed = before in _BEFORE_ORDINAL or (before == "in" and word_at(said, at - 2) == "going")
    if not match and (not placed or (last - at == 2 and day < 3 and before != "on")):
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


def _bare_figures(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "harvest 9 17": two figures behind a word that asks for a day, with nothing after them."""
    month, day = word_at(said, at), word_at(said, at + 1)
    if not (month.isdecimal() and day.isdecimal() and len(month) < 3 and len(day) < 3):
        return None
    if word_at(said, at - 1) not in _ASKS - {"on", "by", "from", "rain", "before", "after", ":"}:
        return None
    ended = not word_at(said, at + 2)[:1].isalnum()
    if not ended or not day_or_none(_CENTURY, int(month), int(day)):
        return None
    return Span(first=at, last=at + 2, reckon=partial(month_day, int(month), int(day)))


def _last_day(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "the last day of April"."""
    step = at + (said[at] == "the")
    month = _MONTHS.get(word_at(said, step + 3))
    if said[step : step + 3] != ("last", "day", "of") or month is None:
        return None
    days = max(day for day in range(28, 32) if day_or_none(_CENTURY, month, day))
    return Span(first=at, last=step + 4, reckon=partial(month_day, month, days))


PATTERNS: tuple[Pattern, ...] = (
    _iso,
    _bare_figures,
    _last_day,
    _slash,
    _month_first,
    _day_first,
    _month_part,
    _day_alone,
)
