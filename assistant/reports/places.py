"""Where fields lie: positions that the journal holds, and the season as GeoJSON (RFC 7946).

A position is an entry that belongs to a field: of kind ``position`` with the body
``{"lat": 42.03, "lon": -93.63}``, or of kind ``setting`` with the same and the name "field position".
Decimal degrees, WGS 84, north and east positive.  The latest that stands is the field's; a withdrawn
one is as if never said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

#: The name that a ``setting`` entry bears when it says where a field lies.
FIELD_POSITION = "field position"

_MOST = {"lat": 90.0, "lon": 180.0}  # degrees, by definition


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A position in degrees, or what was wrong with the one that was given."""

    lat: float | None = None
    lon: float | None = None
    fault: str | None = None

    @property
    def point(self) -> dict[str, Any] | None:
        """The GeoJSON geometry: longitude before latitude; None where there is none to trust."""
        if self.lat is None or self.lon is None:
            return None
        return {"type": "Point", "coordinates": [self.lon, self.lat]}


def places(book: Casebook) -> dict[str, Place]:
    """The position of every field that has one, by the field's name."""
    names = {field.uid: field.name for field in book.fields()}
    told = [e for e in book.entries_all("setting") if e.body.get("name") == FIELD_POSITION]
    told = sorted([*told, *book.entries_all("position")], key=lambda e: (e.about, e.seq))
    return {names[e.field_uid]: place_of(e.body) for e in told if e.field_uid in names}


def place_of(body: Mapping[str, object]) -> Place:
    """The position that a body gives; a value that is no position is told, not dropped."""
    degrees = {}
    for axis, most in _MOST.items():
        value = body.get(axis)
        if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
            return Place(fault=f"{axis} must be a number of degrees, not {value!r:.40}")
        if abs(value) > most:
            return Place(fault=f"{axis} {value} is outside -{most:.0f} to {most:.0f} degrees")
        degrees[axis] = float(value)
    return Place(lat=degrees["lat"], lon=degrees["lon"])
