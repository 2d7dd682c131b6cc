"""Dates in a note: the one door to dateparser.

Spans are found by :mod:`assistant.reading.days_named` and ``days_told``, which also
reckon the day; only what the calendar makes uneven ("a month ago") is handed to
dateparser, and only those words.  The base is the day of the note, never today.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime, time
from functools import lru_cache
from typing import Any

from assistant.reading import days_named, days_told
from assistant.reading.calendar_days import Lean
from assistant.reading.date_subjects import DATE, RESCOUT, Subject, subjects
from assistant.reading.day_spans import TABLE, Pattern, Span, word_at
from assistant.reading.number_words import NUMBER_WORDS
from assistant.reading.numbers import plain
from assistant.reading.tokens import Found, Token

__all__ = ["DATE", "find"]

_STARTS = days_named.STARTS | days_told.STARTS | NUMBER_WORDS
#: Holidays, figures and months before what is told from today; the bare day of the month last.
_PATTERNS: tuple[Pattern, ...] = (
    days_told.PATTERNS[0],
    *days_named.PATTERNS[:-1],
    *days_told.PATTERNS[1:],
    days_named.PATTERNS[-1],
)
_AROUND = frozenset(TABLE["around"]["words"])
_AROUND_SKIPPED = frozenset(TABLE["around"]["skipped"])
_REWRITES: dict[str, str] = TABLE["relative"]["rewrite"]
_REWRITTEN = re.compile(r"\b(?:" + "|".join(sorted(_REWRITES, key=len, reverse=True)) + r")\b")
_HOUR = time(12)
#: What cannot lie after the note's day.
_PAST_ONLY = frozenset(
    {
        "planted_on",
        "emerged_on",
        "silked_on",
        "sprayed_on",
        "observed_on",
        "sample_sent_on",
        "neighbour_sprayed_on",
    }
)

#: What cannot lie before it.
_AHEAD_ONLY = frozenset({"planned_harvest", "earliest_harvest"})


def find(text: str, tokens: Sequence[Token], on: date) -> list[Found]:
    """Every date that the note states, with what it is of (``date`` if nothing says).

    ``text`` is the note and ``on`` its day.  A day on which to come back is handed on
    as ``rescout_in_days``, derived from the two.
    """
    said = plain(tokens)
    found_spans = _spans(said)
    if not found_spans:
        return []
    named = subjects(said, [token.new_line for token in tokens], found_spans)
    found: list[Found] = []
    for span, subject in zip(found_spans, named, strict=True):
        day = _reckoned(text, tokens, span, subject, on)
        if day is not None:
            found.append(_found(span, subject, day, on))
    return [one for one in found if not (one.attribute == "rescout_in_days" and _as_int(one) < 0)]


def _as_int(found: Found) -> int:
    return found.value if isinstance(found.value, int) else 0


def _spans(said: tuple[str, ...]) -> list[Span]:
    found: list[Span] = []
    at = 0
    while at < len(said):
        one = _span(said, at) if _may_start(said, at) else None
        if one:
            found.append(_with_around(said, one, found[-1].last if found else 0))
        at = one.last if one else at + 1
    return found


def _may_start(said: tuple[str, ...], at: int) -> bool:
    word = said[at]
    return word in _STARTS or word[0].isdecimal()


def _span(said: tuple[str, ...], at: int) -> Span | None:
    return next((span for pattern in _PATTERNS if (span := pattern(said, at))), None)


def _with_around(said: tuple[str, ...], span: Span, after: int) -> Span:
    """The span with the "about" before it, which makes it approximate."""
    at = span.first - 1
    while at >= after and word_at(said, at) in _AROUND_SKIPPED:
        at -= 1
    if at < after or said[at] not in _AROUND:
        return span
    return Span(first=at, last=span.last, reckon=span.reckon, approx=True, lean=span.lean)


def _reckoned(text: str, tokens: Sequence[Token], span: Span, subject: Subject, on: date) -> date | None:
    if span.reckon is not None:
        return span.reckon(on, subject.lean)
    words = text[tokens[span.first].start : tokens[span.last - 1].end]
    return _parsed(_rewritten(words.lower()), on, subject.lean)


def _rewritten(words: str) -> str:
    """The words with counts in figures and "back" as "ago", which dateparser knows."""
    return _REWRITTEN.sub(lambda found: _REWRITES[found[0]], " ".join(words.split()))


def _found(span: Span, subject: Subject, day: date, on: date) -> Found:
    attribute: str = subject.attribute
    value: date | int = day
    if attribute == RESCOUT:
        attribute, value = "rescout_in_days", (day - on).days
    return Found(
        first=span.first,
        last=span.last,
        attribute=attribute if _possible(attribute, day, on) else DATE,
        value=value,
        approx=span.approx,
        derived=subject.attribute == RESCOUT,
        unit="days" if subject.attribute == RESCOUT else None,
    )


def _possible(attribute: str, day: date, on: date) -> bool:
    """Whether what is over lies behind the day of the note, and what is planned before it."""
    return day <= on if attribute in _PAST_ONLY else day >= on or attribute not in _AHEAD_ONLY


def _parsed(words: str, on: date, lean: Lean) -> date | None:
    """What dateparser makes of a clean span, counted from noon of ``on``."""
    side = "future" if lean is Lean.FUTURE else "past"
    found = _parser(on, side).get_date_data(words).date_obj
    return found.date() if found else None


@lru_cache(maxsize=8)
def _parser(on: date, side: str) -> Any:
    from dateparser.date import DateDataParser  # slow to import: only when a note needs it

    settings = {
        "RELATIVE_BASE": datetime.combine(on, _HOUR),
        "PREFER_DATES_FROM": side,
        "DATE_ORDER": "MDY",
        "RETURN_AS_TIMEZONE_AWARE": False,
    }
    return DateDataParser(languages=["en"], settings=settings)
