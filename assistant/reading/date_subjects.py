"""What a date in a note is of: the nearest verb of its clause says so.

A verb before the date in the same part of the sentence comes first, then one behind it
in that part, then one before it across a comma.  Another date in between bars the way,
unless the two are joined ("the 9th and again on the 24th").
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.reading.calendar_days import Lean
from assistant.reading.day_spans import Span
from assistant.reading.wordlists import match, match_meaning, phrase_meanings, phrases, words

#: What a date is called when nothing says what it is of.
DATE = "date"
#: A date on which to come back: the reader turns it into days from the note.
RESCOUT = "rescout"

_VERBS = phrase_meanings("date_words", "of")
_NEIGHBOUR = phrases("date_words", "subject", "neighbour")
_EARLIEST = phrases("date_words", "subject", "earliest")
_FUTURE_BEFORE = phrases("date_words", "subject", "future_before")
_NOT_FUNGICIDE = words("date_words", "subject", "not_fungicide")
_CHEMICALS = words("date_words", "subject", "chemicals")
_AMOUNT = words("date_words", "subject", "rain_amount")
_GOT = words("date_words", "subject", "rain_got")
_STAGE_BEFORE = words("date_words", "subject", "stage_before")
_FUTURE = words("date_words", "subject", "future")
_PAST_BEFORE = words("date_words", "subject", "past_before")
_AGAIN = words("date_words", "subject", "again")
_SENTENCE_ENDS = frozenset({".", ";", "!", "?"})
_CLAUSE_ENDS = frozenset({",", "but", "however", "then"})
_AHEAD = frozenset({"planned_harvest", "earliest_harvest", RESCOUT})
_BEHIND = frozenset({"planted_on", "emerged_on", "silked_on", "sprayed_on", "observed_on", "sample_sent_on"})
#: "Hail came through Sunday" is no time until Sunday.
_THROUGH = frozenset({"through", "thru"})
_CAME = frozenset({"came", "come", "went", "blew", "rolled", "passed", "moved", "tore", "ripped", "got"})
_REACH_LEFT = 12
_REACH_RIGHT = 6
_ACROSS = 5


@dataclass(frozen=True, slots=True)
class Subject:
    """The attribute of a date and the side of the note's day that it lies on."""

    attribute: str
    lean: Lean


@dataclass(frozen=True, slots=True)
class _Verb:
    first: int
    last: int
    attribute: str


@dataclass(frozen=True, slots=True)
class _Stretch:
    """The words of a note with its spans and verbs; each word's sentence and clause by number."""

    said: tuple[str, ...]
    spans: Sequence[Span]
    verbs: list[_Verb]
    sentence: list[int]
    clause: list[int]


def subjects(said: tuple[str, ...], lines: Sequence[bool], spans: Sequence[Span]) -> list[Subject]:
    """The subject of each span; ``lines`` says which tokens begin a line."""
    dates = {at for span in spans for at in range(span.first, span.last)}
    stretch = _Stretch(
        said,
        spans,
        [verb for verb in _verbs(said) if verb.first not in dates],
        _numbered(said, lines, _SENTENCE_ENDS),
        _numbered(said, lines, _SENTENCE_ENDS | _CLAUSE_ENDS),
    )
    found: list[Subject] = []
    for index, span in enumerate(spans):
        if index and _joined(said, spans[index - 1], span):
            found.append(found[-1])
        else:
            found.append(_subject(stretch, span, _nearest(stretch, index)))
    return found


def _verbs(said: tuple[str, ...]) -> Iterator[_Verb]:
    at = 0
    while at < len(said):
        size, attribute = match_meaning(said, at, _VERBS)
        stage = attribute == "silked_on" and at and said[at - 1] in _STAGE_BEFORE
        if size and not stage:
            yield _Verb(at, at + size, attribute)
        at += size or 1


def _numbered(said: tuple[str, ...], lines: Sequence[bool], ends: frozenset[str]) -> list[int]:
    found: list[int] = []
    current = 0
    for word, new_line in zip(said, lines, strict=True):
        current += new_line
        found.append(current)
        current += word in ends
    return found


def _joined(said: tuple[str, ...], before: Span, span: Span) -> bool:
    between = said[before.last : span.first]
    return len(between) > 0 and set(between) <= _AGAIN and between[0] in ("and", "or", "&")


def _nearest(stretch: _Stretch, index: int) -> _Verb | None:
    """The verb that the span with this index goes with."""
    ranked = [row for verb in stretch.verbs if (row := _rank(stretch, index, verb))]
    return min(ranked, key=lambda row: row[0])[1] if ranked else None


def _rank(stretch: _Stretch, index: int, verb: _Verb) -> tuple[int, _Verb] | None:
    span = stretch.spans[index]
    sentence, clause = stretch.sentence, stretch.clause
    if sentence[verb.first] != sentence[span.first]:
        return None
    same = clause[verb.first] == clause[span.first]
    if verb.last <= span.first:
        barred = stretch.spans[index - 1].last if index else 0
        distance = span.first - verb.last
        near = verb.first >= barred and distance <= _REACH_LEFT
        return (distance + (0 if same else 2 * _ACROSS), verb) if near else None
    distance = verb.first - span.last
    if not 0 <= distance <= _REACH_RIGHT or not (same or _opens(stretch, index, verb)):
        return None
    return distance + (_ACROSS if same else 3 * _ACROSS), verb


def _opens(stretch: _Stretch, index: int, verb: _Verb) -> bool:
    """Whether a date opens its sentence and the verb behind the comma has no date of its own."""
    first = stretch.spans[index].first
    opens = (
        first == 0
        or stretch.sentence[first - 1] != stretch.sentence[first]
        or stretch.said[first - 1] == "on"
    )
    own = (
        index + 1 < len(stretch.spans)
        and stretch.clause[stretch.spans[index + 1].first] == stretch.clause[verb.first]
    )
    return opens and not own


def _subject(stretch: _Stretch, span: Span, verb: _Verb | None) -> Subject:
    attribute = (
        _attribute(stretch, span, verb) if verb and verb.attribute != "none" else _unnamed(stretch, span)
    )
    lean = span.lean or _lean(stretch.said, span, attribute, stretch.clause)
    if attribute in _BEHIND and lean is Lean.FUTURE:
        attribute = DATE
    if attribute == "rain_on" and lean is Lean.FUTURE:
        attribute = "weather_on"  # a forecast has no day on which it rained
    return Subject(attribute, lean)


def _unnamed(stretch: _Stretch, span: Span) -> str:
    """Reads "had eight tenths Tuesday": an amount that was got is rain."""
    clause = stretch.clause
    near = {word for at, word in enumerate(stretch.said) if clause[at] == clause[span.first]}
    sprayed_near = near & (_NOT_FUNGICIDE | _CHEMICALS) and any(
        match(stretch.said, at, _NEIGHBOUR) for at in range(span.first) if clause[at] == clause[span.first]
    )
    if sprayed_near:
        return "neighbour_sprayed_on"
    return "rain_on" if near & _GOT and near & _AMOUNT else DATE


def _attribute(stretch: _Stretch, span: Span, verb: _Verb) -> str:
    said, clause = stretch.said, stretch.clause
    attribute = verb.attribute
    near = [at for at in range(len(said)) if clause[at] in (clause[span.first], clause[verb.first])]
    if any(match(said, at, _NEIGHBOUR) for at in near if at < max(verb.first, span.first)):
        others = {"sprayed_on": "neighbour_sprayed_on", "weather_on": "weather_on"}
        return others.get(attribute, DATE)
    if attribute == "sprayed_on" and any(said[at] in _NOT_FUNGICIDE for at in near):
        return DATE
    if attribute == "weather_on" and any(said[at] in _AMOUNT for at in near):
        return "rain_on"
    if attribute == "planned_harvest" and _earliest(stretch, span):
        return "earliest_harvest"
    return attribute


def _earliest(stretch: _Stretch, span: Span) -> bool:
    sentence = stretch.sentence
    here = [at for at in range(span.first) if sentence[at] == sentence[span.first]]
    close = [
        at
        for at in range(span.last, min(len(sentence), span.last + 5))
        if sentence[at] == sentence[span.first]
    ]
    sure = any(stretch.said[at] in ("earliest", "soonest") for at in close)
    return sure or any(match(stretch.said, at, _EARLIEST) for at in [*here, span.last])


def _lean(said: tuple[str, ...], span: Span, attribute: str, clause: list[int]) -> Lean:
    if attribute in _AHEAD:
        return Lean.FUTURE
    before = span.first - 1
    before -= before >= 0 and said[before] in ("the", "on")
    came = before > 0 and said[before] in _THROUGH and said[before - 1] in _CAME
    if not came and any(
        before - size + 1 >= 0 and match(said, before - size + 1, _FUTURE_BEFORE) == size for size in (1, 2)
    ):
        return Lean.FUTURE
    if before >= 0 and said[before] in _PAST_BEFORE:
        return Lean.PAST
    inside = [said[at] for at in range(span.first) if clause[at] == clause[span.first]]
    if any(word in _FUTURE for word in inside):
        return Lean.FUTURE
    return Lean.PAST if attribute != DATE else Lean.NEAR
