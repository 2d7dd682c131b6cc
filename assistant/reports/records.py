"""The lines, fields and due days of a season as plain records, for the forms that programs read.

No uid, no clock time: two casebooks with the same notes give the same records.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from assistant.casebook.rows import DueRow, LogRow
from assistant.reports.season import FieldSeason
from assistant.reports.visits import Visit

VERSION = 1

Record = dict[str, Any]


def note_record(visit: Visit, hybrids: Iterable[str]) -> Record:
    """One line of the log with its facts and reasons."""
    row = visit.row
    record: Record = {
        "date": row.on.isoformat(),
        "field": row.field,
        "hybrids": list(hybrids),
        "case": row.case_id,
        "kind": row.kind,
        "stage": row.stage,
        "found": row.found,
        "standing": row.standing,
        "decision": row.action,
        "spray_by": _iso(row.spray_by),
        "rescout_on": _iso(row.rescout_on),
        "why": list(visit.because),
        "look_for": visit.look_for or None,
        "next_check": visit.ask or None,
        "cautions": list(visit.cautions),
        "facts": list(visit.raw.get("facts") or ()),
        "problems": [{"disorder": f.disorder, "standing": f.standing} for f in visit.findings],
        "text": row.text,
        "author": row.author,
    }
    if visit.body:
        record["entry"] = _shared(visit.body)
    return record


def _shared(body: Mapping[str, object]) -> Record:
    """What an entry holds beside its words; of a file only its name, not its folder."""
    kept = {key: value for key, value in body.items() if key not in ("text", "path")}
    return kept | ({"file": re.split(r"[\\/]", str(body["path"]))[-1]} if "path" in body else {})


@dataclass(slots=True)
class FieldSum:
    """What a season came to in one field, added up line by line."""

    name: str | None
    hybrids: dict[str, None] = field(default_factory=dict)
    first: date | None = None
    last: date | None = None
    lines: int = 0
    stage: str | None = None
    found: str | None = None
    standing: str | None = None
    decision: str | None = None
    harvested_on: str | None = None

    def add(self, row: LogRow, body: Record | None = None, hybrids: Iterable[str] = ()) -> None:
        """Takes one more line, in order of days."""
        self.first, self.last, self.lines = self.first or row.on, row.on, self.lines + 1
        self.hybrids.update(dict.fromkeys(hybrids))
        self.stage = row.stage or self.stage
        if row.found:
            self.found, self.standing = row.found, row.standing
        self.decision = row.action or self.decision
        harvested = (body or {}).get("harvested_on")
        self.harvested_on = str(harvested) if harvested else self.harvested_on

    def record(self) -> Record:
        """The sum as a record."""
        return {
            "field": self.name,
            "hybrids": list(self.hybrids),
            "first": _iso(self.first),
            "last": _iso(self.last),
            "lines": self.lines,
            "last_stage": self.stage,
            "last_found": self.found,
            "last_standing": self.standing,
            "last_decision": self.decision,
            "harvested_on": self.harvested_on,
        }


def field_sum(field_season: FieldSeason) -> FieldSum:
    """The sum of one field of a season that was gathered."""
    total = FieldSum(field_season.name)
    for visit in field_season.visits:
        total.add(visit.row, dict(visit.body), field_season.hybrids)
    return total


def due_record(row: DueRow, on: date) -> Record:
    """What waits: what to do by which day, and why."""
    return {
        "field": row.field,
        "case": row.case_id,
        "next_on": row.next_on.isoformat(),
        "late": row.next_on < on,
        "spray_by": _iso(row.spray_by),
        "rescout_on": _iso(row.rescout_on),
        "decision": row.action or None,
        "found": row.lead,
        "standing": row.standing,
        "stage": row.stage,
        "noted_on": row.noted_on.isoformat(),
    }


def _iso(on: date | None) -> str | None:
    return on.isoformat() if on else None
