"""A bundle: the journal of a casebook as a file to hand to somebody else.

Plain JSON Lines in UTF-8.  The first line is the head:

    {"bundle": "earleaf", "version": 1, "entries": 2, "sha256": "<of all the lines after this one>"}

Each line after it is one entry of the journal, oldest first, withdrawn ones and withdrawals too:

    {"uid": "...", "author": "ann", "made_at": "2027-07-28T18:05:00+00:00", "made_as": 1,
     "about": "2027-07-28", "kind": "note", "body": {"text": "..."},
     "case_id": null, "field_uid": null, "refers_to": null}

``made_at`` is UTC; ``made_as`` is the entry's place in the casebook where it was made.  What was derived
from the entries is not in it: whoever takes it in derives it again.  The same entries give the same bytes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime
from typing import Any

from assistant.casebook.errors import CasebookError
from assistant.casebook.rows import KINDS, Entry
from assistant.casebook.values import to_json

_VERSION = 1
_KEYS = {
    "uid": str,
    "author": str,
    "made_at": str,
    "made_as": int,
    "about": str,
    "kind": str,
    "body": dict,
    "case_id": (str, type(None)),
    "field_uid": (str, type(None)),
    "refers_to": (str, type(None)),
}
_MOST_FAULTS = 20


class BadBundle(CasebookError):
    """A file that is no bundle, or not a whole one; every fault is listed."""


def to_bytes(entries: Iterable[Entry]) -> bytes:
    """The bundle of these entries."""
    ordered = sorted(entries, key=lambda e: (e.made_at, e.made_as, e.uid))
    lines = b"".join(line(entry) for entry in ordered)
    head = {
        "bundle": "earleaf",
        "version": _VERSION,
        "entries": len(ordered),
        "sha256": hashlib.sha256(lines).hexdigest(),
    }
    return f"{json.dumps(head)}\n".encode() + lines


def line(entry: Entry) -> bytes:
    """One entry as a line."""
    plain = {key: getattr(entry, key) for key in _KEYS}
    plain["made_at"] = entry.made_at.astimezone(UTC).isoformat()
    plain["about"] = entry.about.isoformat()
    plain["body"] = dict(entry.body)
    return f"{to_json(plain)}\n".encode()


def from_bytes(data: bytes, name: str) -> tuple[Entry, ...]:
    """The entries of a bundle; ``name`` is what to call the file in an error.

    Raises:
        BadBundle: it is something else, cut off, changed, or of a later version.
    """
    head_line, _, body = data.partition(b"\n")
    head = _object(head_line)
    if head is None or head.get("bundle") != "earleaf":
        raise BadBundle(f"{name} is not a bundle of a casebook: its first line does not say so.")
    if head.get("version") != _VERSION:
        raise BadBundle(
            f"{name} was written by another version of earleaf (bundle version {head.get('version')}, this "
            f"program knows {_VERSION}). Bring earleaf up to date on both sides."
        )
    lines = body.split(b"\n")[:-1]
    if len(lines) != head.get("entries") or hashlib.sha256(body).hexdigest() != head.get("sha256"):
        raise BadBundle(
            f"{name} is not whole, or was changed: it should hold {head.get('entries')} entries with the "
            f"checksum of its first line, and holds {len(lines)}. Have it written and sent again."
        )
    return _entries(lines, name)


def _entries(lines: Sequence[bytes], name: str) -> tuple[Entry, ...]:
    made, faults = [], []
    for number, words in enumerate(lines, start=2):
        raw = _object(words)
        wrong = ["this is no JSON object"] if raw is None else list(_wrong(raw))
        if raw is not None and not wrong:
            made.append(_entry(raw))
        faults += [f"line {number}: {each}" for each in wrong]
    if faults:
        shown = faults[:_MOST_FAULTS]
        more = [f"and {len(faults) - len(shown)} more"] if len(faults) > len(shown) else []
        raise BadBundle("\n".join([f"{name} cannot be taken in; nothing was.", *shown, *more]))
    return tuple(made)


def _entry(raw: dict[str, Any]) -> Entry:
    made_at = datetime.fromisoformat(raw["made_at"]).astimezone(UTC)
    return Entry(**{**raw, "made_at": made_at, "about": date.fromisoformat(raw["about"]), "seq": 0})


def _wrong(raw: dict[str, Any]) -> Iterator[str]:
    if raw.keys() != _KEYS.keys():
        yield f"the keys of an entry are {', '.join(_KEYS)}; here they are {', '.join(raw)}"
        return
    for key, kind in _KEYS.items():
        if not isinstance(raw[key], kind) or isinstance(raw[key], bool):  # type: ignore[arg-type]
            yield f"{key} is {raw[key]!r:.60}"
            return
    if raw["kind"] not in KINDS:
        yield f'"{raw["kind"]}" is no kind of entry; allowed are {", ".join(sorted(KINDS))}'
    if raw["kind"] in ("field", "alias") and not (raw["field_uid"] and raw["body"].get("name")):
        yield f"a {raw['kind']} needs a field_uid and a name"
    try:
        date.fromisoformat(raw["about"])
        if datetime.fromisoformat(raw["made_at"]).utcoffset() is None:
            yield f"made_at has no offset from UTC: {raw['made_at']}"
    except ValueError as error:
        yield str(error)


def _object(words: bytes) -> dict[str, Any] | None:
    try:
        raw = json.loads(words)
    except (ValueError, RecursionError):
        return None
    return raw if isinstance(raw, dict) else None


__all__ = ["BadBundle", "from_bytes", "line", "to_bytes"]
