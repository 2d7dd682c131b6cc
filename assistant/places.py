"""Where a field lies."""

from __future__ import annotations

from datetime import date

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Entry, Field
from assistant.deed import By, written
from rules.model import WrongWords

_LATITUDE = 90.0
_LONGITUDE = 180.0


def position(book: Casebook, by: By, field: Field, on: date, *, lat: float, lon: float) -> Entry:
    """Writes down where the field lies, in degrees (north and east are positive, WGS 84).

    Raises:
        WrongWords: degrees that are nowhere on earth.
    """
    for name, degrees, most in (("latitude", lat, _LATITUDE), ("longitude", lon, _LONGITUDE)):
        if not -most <= degrees <= most:
            raise WrongWords(f"A {name} of {degrees} is nowhere; it lies from {-most:g} to {most:g} degrees.")
    return written(book, by, field, on, "position", {"lat": lat, "lon": lon})


def positions(book: Casebook) -> dict[str, tuple[float, float]]:
    """The latest position (latitude, longitude) of each field by its uid."""
    told = sorted(book.entries_all("position"), key=lambda entry: entry.seq)
    return {e.field_uid: (float(str(e.body["lat"])), float(str(e.body["lon"]))) for e in told if e.field_uid}
