"""Plants that failed a push or pinch test."""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.counts import MASK, PLANTS, REACH, counted_of, plausible, share_of
from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrases, words

_PUSH = words("units", "push", "cues")
_OVER = phrases("units", "push", "over")


def push_tests(sheet: Sheet) -> list[Found]:
    """Reads "Pushed 20, 6 went over", "six of twenty failed the push test", "30 percent failed"."""
    if not any(word in _PUSH for word in sheet.words):
        return []
    found: list[Found] = []
    for number in sheet.numbers:
        pair = _failed_of(sheet, number) or _slashed(sheet, number) or _pushed_then(sheet, number)
        if pair and _near_push(sheet, number.first, pair[2]):
            failed, of, last = pair
            found += _push_facts(sheet, failed, of, min(failed.first, of.first), last)
    return found


def _failed_of(sheet: Sheet, number: Number) -> tuple[Number, Number, int] | None:
    pair = counted_of(sheet, number)
    if pair is None or not plausible(pair[0], pair[1]) or sheet.word(pair[2]) in ("rows", "row"):
        return None
    last = pair[2] + (sheet.word(pair[2]) in PLANTS)
    return pair[0], pair[1], last


def _pushed_then(sheet: Sheet, number: Number) -> tuple[Number, Number, int] | None:
    """Reads "Pushed 20, 6 went over"."""
    step = sheet.skip_back(number.first - 1, frozenset({"on", "about", "test", "tested", "-"}), 3)
    if sheet.word(step) not in _PUSH:
        return None
    if none := _none_over(sheet, number):
        return replace(number, low=0, high=0), number, none
    for other in sheet.numbers:
        if other.first <= number.last or other.first - number.last > REACH:
            continue
        at = sheet.skip(other.last, frozenset({"of", "them", *PLANTS}), 3)
        size = sheet.phrase(at, _OVER)
        if size and plausible(other, number):
            return other, number, at + size
    return None


def _none_over(sheet: Sheet, number: Number) -> int:
    """The token behind "pushed thirty and none failed", else 0."""
    at = sheet.skip(number.last, frozenset({"and", ",", *PLANTS}), 3)
    if sheet.word(at) not in ("none", "nothing"):
        return 0
    at = sheet.skip(at + 1, frozenset({"of", "them"}), 2)
    size = sheet.phrase(at, _OVER)
    return at + size if size else 0


def _slashed(sheet: Sheet, number: Number) -> tuple[Number, Number, int] | None:
    """Reads "push 5/100"."""
    told = _PUSH | {"test"}
    near = {*sheet.near(number.core, number.first - REACH, number.first), sheet.word(number.last)}
    if not number.slashed or not (sheet.word(number.first - 1) in told or _PUSH & near):
        return None
    over, under = (float(figure) for figure in sheet.words[number.core].lstrip("~<>").split("/")[:2])
    of = replace(number, low=under, high=under, fraction=False, slashed=False)
    return replace(of, low=over, high=over), of, number.last


def _near_push(sheet: Sheet, first: int, last: int) -> bool:
    """Whether a push test stands in the clause, or close by in one without figures of its own."""
    near = range(max(0, first - REACH), min(len(sheet.words), last + REACH))
    cues = [at for at in near if sheet.words[at] in _PUSH and sheet.sentences[at] == sheet.sentences[first]]
    inside = {sheet.clauses[at] for at in range(first, last)}
    return any(sheet.clauses[at] in inside or not _has_figures(sheet, at) for at in cues)


def _has_figures(sheet: Sheet, at: int) -> bool:
    clause = sheet.clause_range(at)
    return any(step in sheet.taken for step in clause) or any(
        number.core in clause for number in sheet.numbers
    )


def _push_facts(sheet: Sheet, failed: Number, of: Number, first: int, last: int) -> list[Found]:
    of_first, of_last = first, last
    if MASK in sheet.words[first:last]:  # a field is named between the two
        (first, last), (of_first, of_last) = (failed.first, failed.last), (of.first, of.last)
    share = replace(failed, first=first, low=share_of(failed.low, of.low), high=share_of(failed.high, of.low))
    count = said(sheet, "push_test_failed", replace(failed, first=first), last)
    return [
        count,
        said(sheet, "plants_checked", replace(of, first=of_first), of_last),
        said(sheet, "push_test_failed", share, last, unit="%", derived=True),
    ]


def push_share(sheet: Sheet, found: Found) -> Found:
    """A bare percentage beside a push test is the share of plants that failed it."""
    if found.attribute not in ("percent", "incidence_pct") or not _near_push(sheet, found.first, found.last):
        return found
    return replace(found, attribute="push_test_failed")
