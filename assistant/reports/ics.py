"""What is due as an iCalendar file (RFC 5545): an all-day event for each day that wants somebody.

Nothing in it depends on a clock: the stamp of an event is the day of the note that asked for it.  Its
uid is made of the case and of what is to be done, and its sequence grows with the note's day, so that
a later file moves the event of an earlier one instead of adding a second.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from assistant.casebook.rows import DueRow
from assistant.reports.season import Season
from assistant.reports.wording import action_words, clean, day, standing_words

_OCTETS = 75  # the longest line, RFC 5545 section 3.1
_ORDER = {"spray": "Last useful spray day", "rescout": "Look again"}


def calendar(season: Season) -> str:
    """The calendar; lines end in CR LF and are folded."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//earleaf//field notes//EN",
        "CALSCALE:GREGORIAN",
        *(line for row in season.due for line in _events(row, season)),
        "END:VCALENDAR",
    ]
    return "".join(f"{folded(line)}\r\n" for line in lines)


def events(rows: Iterable[DueRow]) -> int:
    """How many events the rows make."""
    return sum((row.spray_by is not None) + (row.rescout_on is not None) for row in rows)


def _events(row: DueRow, season: Season) -> Iterator[str]:
    for kind, on in (("rescout", row.rescout_on), ("spray", row.spray_by)):
        if on is not None:
            yield from _event(row, kind, on, season)


def _event(row: DueRow, kind: str, on: date, season: Season) -> Iterator[str]:
    found = season.name(row.lead) if row.lead else "nothing found"
    standing = f" ({standing_words(row.standing)})" if row.standing else ""
    said = [f"Noted {day(row.noted_on)}: {found}{standing}, stage {row.stage or 'not known'}."]
    said.append(f"Decided: {action_words(row.action)}.")
    said.append(season.reason(row))
    if kind == "rescout" and row.spray_by:
        said.append(f"Last useful spray day: {day(row.spray_by)}.")
    yield "BEGIN:VEVENT"
    yield f"UID:{_uid(row, kind)}"
    yield f"DTSTAMP:{_date(row.noted_on)}T000000Z"
    yield f"SEQUENCE:{row.noted_on.toordinal()}"
    yield f"DTSTART;VALUE=DATE:{_date(on)}"
    yield f"DTEND;VALUE=DATE:{_date(on + timedelta(days=1))}"
    yield f"SUMMARY:{literal(f'{_ORDER[kind]}: {row.field or row.case_id} ({found})')}"
    yield f"DESCRIPTION:{literal(' '.join(filter(None, said)))}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def literal(text: str) -> str:
    """Text as a property value (RFC 5545 section 3.3.11)."""
    flat = " ".join(clean(text).split())
    return flat.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")


def folded(line: str) -> str:
    """The line in pieces of at most 75 octets, no character cut in two."""
    pieces, room = [""], _OCTETS
    for character in line:
        octets = len(character.encode("utf-8"))
        if octets > room:
            pieces.append("")
            room = _OCTETS - 1  # the space that marks a continued line
        pieces[-1] += character
        room -= octets
    return "\r\n ".join(pieces)


def _uid(row: DueRow, kind: str) -> str:
    digest = hashlib.sha256(f"{row.case_id}\n{kind}".encode("utf-8", "replace")).hexdigest()
    return f"{digest[:32]}@earleaf"


def _date(on: date) -> str:
    return on.isoformat().replace("-", "")
