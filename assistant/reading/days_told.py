"""Days told from the day of the note: yesterday, last Tuesday, ten days ago, Labor Day."""

from __future__ import annotations

from datetime import date, timedelta
from functools import partial

from assistant.reading.calendar_days import Lean, holiday, month_day, this_weekday, weekday
from assistant.reading.day_spans import TABLE, Pattern, Reckon, Span, by_first_word, phrase_at, word_at
from assistant.reading.number_words import small
from assistant.reading.wordlists import words

_WEEKDAYS: dict[str, int] = TABLE["weekday"]["names"]
_SHORT: dict[str, int] = TABLE["weekday"]["short"]
_DAYS: dict[str, int] = TABLE["relative"]["days"]
_UNITS: dict[str, int] = TABLE["relative"]["units"]
_COUNTS: dict[str, int] = TABLE["relative"]["counts"]
_NEAR = by_first_word(TABLE["relative"]["phrases"])
_LOOSE = by_first_word(TABLE["relative"]["loose"])
_WEEKEND = by_first_word(dict.fromkeys(TABLE["relative"]["weekend"], 0))
_NTH = by_first_word(TABLE["holiday"]["nth"])
_FIXED = by_first_word(TABLE["holiday"]["fixed"])
_BEFORE_SHORT = words("date_words", "weekday", "before_short")
_DAY_PARTS = words("date_words", "weekday", "parts")
_LONG_UNITS = words("date_words", "relative", "long_units")
_AGO = words("date_words", "relative", "ago")
_LOOSE_COUNTS = words("date_words", "relative", "loose_counts")
_SATURDAY = 5

#: Words that a day of this kind can begin with; a figure or a number word can as well.
STARTS = frozenset(
    {"the", "last", "next", "this", "week", "month", "year", "over"}.union(
        _WEEKDAYS, _SHORT, _DAYS, _COUNTS, _NEAR, _LOOSE, _WEEKEND, _NTH, _FIXED
    )
)


# ------------------------------------------------------------------- weekdays and weeks


def _weekday(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "Tuesday", "last Tuesday", "sat morning", "this Friday"."""
    before = said[at] if said[at] in ("last", "next", "this") else ""
    step = at + bool(before)
    past = word_at(said, step) in ("past", "coming") and bool(before)
    before = word_at(said, step) if past else before
    step += past
    number = _weekday_at(said, step)
    if number is None:
        return None
    last = step + 1
    last += (
        word_at(said, last) == "." and word_at(said, step) in _SHORT and word_at(said, last + 1) in _DAY_PARTS
    )
    last += word_at(said, last) in _DAY_PARTS
    if word_at(said, last) == "before" and word_at(said, last + 1) == "last":
        return Span(first=at, last=last + 2, reckon=partial(_weeks_off, number, -1, Lean.PAST))
    if before == "this":
        return Span(first=at, last=last, reckon=lambda base, lean: _this(number, base, lean))
    leans = {"last": Lean.PAST, "past": Lean.PAST, "next": Lean.FUTURE, "coming": Lean.FUTURE}
    return Span(first=at, last=last, reckon=partial(weekday, number), lean=leans.get(before))


def _this(number: int, base: date, lean: Lean) -> date:
    return weekday(number, base, lean) if lean is Lean.PAST else this_weekday(number, base)


def _weekday_at(said: tuple[str, ...], at: int) -> int | None:
    word = word_at(said, at)
    if word in _WEEKDAYS:
        return _WEEKDAYS[word]
    placed = word_at(said, at - 1) in _BEFORE_SHORT
    part = word_at(said, at + 1) in _DAY_PARTS or (
        word_at(said, at + 2) in _DAY_PARTS and word_at(said, at + 1) == "."
    )
    return _SHORT.get(word) if placed or part else None


def _weeks_off(number: int, weeks: int, toward: Lean, base: date, _lean: Lean) -> date:
    return weekday(number, base, toward) + timedelta(weeks=weeks)


def _ago(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "Ten days ago", "a couple of weeks back", "a week ago Tuesday", "a month ago"."""
    count, step, loose = _count(said, at)
    unit = word_at(said, step)
    if not count or not (unit in _UNITS or unit in _LONG_UNITS):
        return None
    last = step + 1
    if word_at(said, last) not in _AGO or (
        word_at(said, last) == "back" and word_at(said, last + 1) in ("in", "to")
    ):
        return _from_now(said, at, step, count, loose=loose)
    if unit in _LONG_UNITS:
        return Span(first=at, last=last + 1, approx=True, lean=Lean.PAST)
    days = count * _UNITS[unit]
    named = last + 1 + (word_at(said, last + 1) in ("on", "last", "this"))
    number = _WEEKDAYS.get(word_at(said, named))
    if number is not None and days % 7 == 0:
        return Span(first=at, last=named + 1, reckon=partial(_weeks_off, number, -days // 7, Lean.PAST))
    return Span(first=at, last=last + 1, reckon=partial(_days_off, -days), approx=loose, lean=Lean.PAST)


def _from_now(said: tuple[str, ...], at: int, step: int, count: int, *, loose: bool) -> Span | None:
    """Reads "Two weeks from now", "a week from Tuesday"."""
    days = count * _UNITS.get(said[step], 0)
    if not days or word_at(said, step + 1) != "from":
        return None
    target = word_at(said, step + 2)
    number = _WEEKDAYS.get(target)
    if number is not None and days % 7 == 0:
        reckon: Reckon = partial(_weeks_off, number, days // 7, Lean.FUTURE)
    elif target in ("now", "today"):
        reckon = partial(_days_off, days)
    else:
        return None
    return Span(first=at, last=step + 3, reckon=reckon, approx=loose, lean=Lean.FUTURE)


def _days_off(days: int, base: date, _lean: Lean) -> date:
    return base + timedelta(days=days)


def _count(said: tuple[str, ...], at: int) -> tuple[int, int, bool]:
    """A count before "days": its value, the token after it, whether it is loose; 0 if none."""
    word = said[at]
    if word in ("week", "month", "year"):
        return (1, at, False) if word_at(said, at - 1) not in ("this", "last", "next") else (0, at, False)
    if word in ("a", "an", "the") and word_at(said, at + 1) in _LOOSE_COUNTS:
        at, word = at + 1, said[at + 1]
    if word in _COUNTS:
        return _COUNTS[word], at + 1 + (word_at(said, at + 1) == "of"), word in _LOOSE_COUNTS
    value, last = (int(word), at + 1) if word.isdecimal() and len(word) <= 3 else (small(said, at) or (0, at))
    if value and word_at(said, last) in ("or", "to", "-"):
        further = word_at(said, last + 1)
        second = (int(further), last + 2) if further.isdecimal() else small(said, last + 1)
        return (second[0], second[1], True) if second else (0, at, False)
    return value, last, False


def _near_day(said: tuple[str, ...], at: int) -> Span | None:
    """Reads "Yesterday", "this morning", "day before yesterday", "last week", "over the weekend"."""
    size, days = phrase_at(said, at, _NEAR)
    if not size and said[at] in _DAYS:
        size, days = 1, _DAYS[said[at]]
    if size:
        last = at + size + (word_at(said, at + size) in _DAY_PARTS)
        return Span(first=at, last=last, reckon=partial(_days_off, days))
    size, days = phrase_at(said, at, _LOOSE)
    if size:
        return Span(first=at, last=at + size, reckon=partial(_days_off, days), approx=True)
    size, _ = phrase_at(said, at, _WEEKEND)
    if size:
        saturday = partial(_weeks_off, _SATURDAY, 0, Lean.PAST)
        return Span(first=at, last=at + size, reckon=saturday, approx=True)
    if said[at] in ("last", "next") and word_at(said, at + 1) == "month":
        lean = Lean.PAST if said[at] == "last" else Lean.FUTURE
        return Span(first=at, last=at + 2, approx=True, lean=lean)
    return None


def _holiday(said: tuple[str, ...], at: int) -> Span | None:
    step = at + (said[at] == "the")
    size, nth = phrase_at(said, step, _NTH)
    if size:
        return Span(first=at, last=step + size, reckon=partial(holiday, *nth))
    size, fixed = phrase_at(said, step, _FIXED)
    return Span(first=at, last=step + size, reckon=partial(month_day, *fixed)) if size else None


#: Holidays come first: "july fourth" is one as well as a month and a day.
PATTERNS: tuple[Pattern, ...] = (_holiday, _ago, _near_day, _weekday)
