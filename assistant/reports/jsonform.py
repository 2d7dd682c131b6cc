"""The season log as JSON, written line by line, and the fields as GeoJSON (RFC 7946).

Only ASCII is written: every other character is a JSON escape, so that a terminal that shows
the file obeys nothing in it, while a program that reads it gets the words as they were said.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from assistant.reports.places import Place, places
from assistant.reports.records import VERSION, FieldSum, Record, due_record, field_sum, note_record
from assistant.reports.season import Asked, Season, case_key, chosen, field_order, waiting_rows
from assistant.reports.visits import visits

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

Write = Callable[[str], object]


def write_json(book: Casebook, asked: Asked, write: Write) -> int:
    """The whole log as one JSON object, one line a note; holds one answer in memory at a time.

    Keys: version, year, on, field, hybrid, notes, fields (with lat and lon where known), due.
    """
    rows, hybrids = chosen(book, asked)
    sums: dict[str | None, FieldSum] = {}
    write(_head(asked) + '"notes":[')
    for number, visit in enumerate(visits(book, rows)):
        grown = hybrids.get(case_key(visit.row), ())
        sums.setdefault(visit.row.field, FieldSum(visit.row.field)).add(visit.row, dict(visit.body), grown)
        write((",\n" if number else "\n") + _text(note_record(visit, grown)))
    where = places(book)
    fields = [sums[name].record() | _degrees(where.get(name or "")) for name in field_order(sums)]
    due = [due_record(row, asked.on) for row in waiting_rows(book, asked, hybrids)]
    write(f'\n],\n"fields":[{_lines(fields)}],\n"due":[{_lines(due)}]\n}}\n')
    return len(rows)


def geojson(season: Season) -> str:
    """The season as a FeatureCollection: one feature a field, its log among the properties."""
    features = [
        {
            "type": "Feature",
            "geometry": field.place.point if field.place else None,
            "properties": field_sum(field).record()
            | ({"position_fault": field.place.fault} if field.place and field.place.fault else {})
            | {"due": [due_record(row, season.asked.on) for row in field.waiting]}
            | {"log": [_short(note_record(visit, field.hybrids)) for visit in field.visits]},
        }
        for field in season.fields
    ]
    return f'{{"type":"FeatureCollection","features":[{_lines(features)}]}}\n'


def _short(record: Record) -> Record:
    return {
        key: value for key, value in record.items() if key not in ("facts", "field", "hybrids", "cautions")
    }


def _head(asked: Asked) -> str:
    head = {
        "version": VERSION,
        "year": asked.year,
        "on": asked.on.isoformat(),
        "field": asked.field.name if asked.field else None,
        "hybrid": asked.hybrid,
    }
    return _text(head)[:-1] + ",\n"


def _degrees(place: Place | None) -> Record:
    known = place or Place()
    made: Record = {"lat": known.lat, "lon": known.lon}
    return made | ({"position_fault": known.fault} if known.fault else {})


def _lines(records: list[Any]) -> str:
    return "\n" + ",\n".join(map(_text, records)) + "\n" if records else ""


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
