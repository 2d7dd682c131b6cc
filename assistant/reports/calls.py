"""What was called in the field against what the laboratory said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from assistant.reports.season import FieldSeason, Season
from assistant.reports.visits import Finding, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One laboratory result, with the last call that a person made of that field before it.

    ``found`` is False where the laboratory looked for the disorder and did not find it;
    ``agrees`` is None where nobody had called anything.
    """

    field: str
    on: date
    disorder: str
    found: bool
    called: str | None
    called_on: date | None
    standing: str | None

    @property
    def agrees(self) -> bool | None:
        """Whether the field call and the laboratory say the same."""
        return None if self.called is None else (self.called == self.disorder) == self.found


def lab_calls(season: Season) -> tuple[Call, ...]:
    """Every laboratory result of the season, in order of days; each disorder of a field once."""
    made = [call for field in season.fields for call in _calls(field)]
    return tuple(sorted(made, key=lambda c: (c.on, c.field, c.disorder)))


def _calls(field: FieldSeason) -> Iterator[Call]:
    known: set[tuple[str | None, str, bool]] = set()
    last: Visit | None = None
    for visit in field.visits:
        for disorder, found in _results(visit):
            key = (visit.row.case_id, disorder, found)
            if key not in known:
                known.add(key)
                yield _call(field, visit, last, disorder, found)
        if any(f.standing != "confirmed" for f in visit.finds):
            last = visit


def _results(visit: Visit) -> Iterator[tuple[str, bool]]:
    """The laboratory's words: a confirmed standing, or a result typed in as such."""
    for finding in visit.finds:
        if finding.standing == "confirmed":
            yield finding.disorder, True
    disorder = visit.body.get("disorder")
    if visit.row.kind == "lab_result" and isinstance(disorder, str):
        yield disorder, visit.body.get("found", True) is not False


def _call(field: FieldSeason, visit: Visit, last: Visit | None, disorder: str, found: bool) -> Call:
    call = _the_call(last, disorder) if last else None
    return Call(
        field=field.title, on=visit.on, disorder=disorder, found=found,
        called=call.disorder if call else None, called_on=last.on if last and call else None,
        standing=call.standing if call else None,
    )  # fmt: skip


def _the_call(last: Visit, disorder: str) -> Finding | None:
    """The call to hold against the result: the same disorder if it was one of them, else the first."""
    open_calls = [f for f in last.finds if f.standing != "confirmed"]
    same = [f for f in open_calls if f.disorder == disorder]
    return next(iter(same or open_calls), None)
