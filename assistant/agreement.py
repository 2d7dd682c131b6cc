"""How often the calls made in the field agreed with the laboratory."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Entry, LogRow
from rules.model import Standing


class Verdict(StrEnum):
    """What a laboratory's result says of the call made in the field."""

    CONFIRMS = "confirms"
    OVERTURNS = "overturns"
    UNDECIDED = "undecided"  # it looked for other things, or found nothing and excluded nothing
    NO_CALL = "no_call"  # nobody had called it anything


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """The leading disorder of a field's case after a note, and how sure it was."""

    entry_uid: str
    on: date
    disorder: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """Of the calls of one disorder that a laboratory decided, how many it confirmed.

    ``sure`` and ``sure_agreed`` count those where it was said to fit, not only to be possible;
    ``instead`` what the laboratory found where it did not agree, most frequent first.
    """

    disorder: str
    decided: int
    agreed: int
    sure: int
    sure_agreed: int
    instead: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Result:
    call: Call
    verdict: Verdict
    found: tuple[str, ...]


def agreement(book: Casebook) -> tuple[Agreement, ...]:
    """A line for each disorder that was called and then decided by a laboratory, by its id.

    A result counts whether it was entered as one or told in a note that says so.
    """
    by_disorder: dict[str, list[_Result]] = defaultdict(list)
    for result in _results(book):
        by_disorder[result.call.disorder].append(result)
    return tuple(_agreement(name, results) for name, results in sorted(by_disorder.items()))


def call_before(book: Casebook, result: Entry) -> Call | None:
    """The last call of the case before its sample was sent, or before the result where no sample is named."""
    field = next((f for f in book.fields() if f.uid == result.field_uid), None)
    if field is None:
        return None
    return _call(book.history(field), result.case_id, result.refers_to or result.uid)


def verdict_of(call: Call | None, found: Collection[str], not_found: Collection[str]) -> Verdict:
    """What a result says of a call."""
    if call is None:
        return Verdict.NO_CALL
    if call.disorder in found:
        return Verdict.CONFIRMS
    return Verdict.OVERTURNS if found or call.disorder in not_found else Verdict.UNDECIDED


def _results(book: Casebook) -> Iterator[_Result]:
    results = {entry.uid: entry for entry in book.entries_all("lab_result")}
    for field in book.fields():
        rows = book.history(field)
        told: set[tuple[str | None, tuple[str, ...]]] = set()
        for row in rows:
            found, missed, before = _found(row, results.get(row.entry_uid))
            if not (found or missed) or (row.case_id, found) in told:
                continue
            call = _call(rows, row.case_id, before)
            verdict = verdict_of(call, found, missed)
            if call is not None and verdict is not Verdict.UNDECIDED:
                told.add((row.case_id, found))
                yield _Result(call=call, verdict=verdict, found=found)


def _found(row: LogRow, result: Entry | None) -> tuple[tuple[str, ...], tuple[str, ...], str]:
    """Disorders found and excluded by a result, or by a note that tells of one; the entry that it follows."""
    if result is not None:
        return _listed(result, "found"), _listed(result, "not_found"), result.refers_to or result.uid
    confirmed = row.kind == "note" and row.found and row.standing == Standing.CONFIRMED
    return ((row.found,) if confirmed and row.found else ()), (), row.entry_uid


def _call(rows: Sequence[LogRow], case_id: str | None, before: str) -> Call | None:
    """The last call of the case in the rows above that entry's."""
    last = None
    for row in rows:
        if row.entry_uid == before:
            break
        if row.case_id == case_id and row.found and row.standing != Standing.CONFIRMED:
            last = Call(entry_uid=row.entry_uid, on=row.on, disorder=row.found, standing=row.standing or "")
    return last


def _listed(entry: Entry, key: str) -> tuple[str, ...]:
    names = entry.body.get(key)
    return tuple(str(name) for name in names) if isinstance(names, list) else ()


def _agreement(disorder: str, results: list[_Result]) -> Agreement:
    sure = [r for r in results if r.call.standing == Standing.FITS]
    instead = Counter(name for r in results if r.verdict is Verdict.OVERTURNS for name in r.found)
    return Agreement(
        disorder=disorder,
        decided=len(results),
        agreed=sum(r.verdict is Verdict.CONFIRMS for r in results),
        sure=len(sure),
        sure_agreed=sum(r.verdict is Verdict.CONFIRMS for r in sure),
        instead=tuple(sorted(instead.items(), key=lambda item: (-item[1], item[0]))),
    )
