"""Facts and bodies as JSON text and back, to the letter."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from typing import Any

from assistant.casebook.errors import BadEntry, CasebookDamaged
from rules.model import Fact, Relation, Status, Value


def to_json(value: object) -> str:
    """JSON text that a person can read; keys stay in the order they came in.

    Raises:
        BadEntry: the value holds something that JSON has no word for.
    """
    try:
        text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    except (TypeError, ValueError) as error:
        raise BadEntry(f"This cannot be kept in the casebook ({error}): {value!r:.200}") from error
    # Half a character (a lone surrogate, out of a broken encoding) has no UTF-8: keep it as an escape.
    return text if _is_text(text) else json.dumps(value, allow_nan=False)


def from_json(text: str) -> Mapping[str, object]:
    """The object that :func:`to_json` wrote.

    Raises:
        CasebookDamaged: somebody else wrote something else there.
    """
    try:
        value = json.loads(text)
    except ValueError as error:
        raise CasebookDamaged(f"The casebook holds something that is no JSON: {text!r:.100}") from error
    if not isinstance(value, dict):
        raise CasebookDamaged(f"The casebook holds something that is no JSON object: {text!r:.100}")
    return value


def fact_row(entry_uid: str, scene: int, place: int, fact: Fact) -> dict[str, object]:
    """One fact as a row of the table ``facts``."""
    return {
        "entry_uid": entry_uid,
        "scene": scene,
        "place": place,
        "attribute": fact.attribute,
        "value": to_json(_plain(fact.value)),
        "unit": fact.unit,
        "status": str(fact.status),
        "hedged": int(fact.hedged),
        "approx": int(fact.approx),
        "derived": int(fact.derived),
        "relation": str(fact.relation) if fact.relation else None,
        "at": to_json([[name, _plain(value)] for name, value in fact.where]),
        "span_start": fact.span[0],
        "span_end": fact.span[1],
        "text": fact.text.encode("utf-8", "replace").decode("utf-8"),
    }


def fact_of(row: Mapping[str, Any]) -> Fact:
    """The fact that :func:`fact_row` made a row of."""
    return Fact(
        attribute=row["attribute"],
        value=_value(json.loads(row["value"])),
        status=Status(row["status"]),
        hedged=bool(row["hedged"]),
        approx=bool(row["approx"]),
        derived=bool(row["derived"]),
        unit=row["unit"],
        relation=Relation(row["relation"]) if row["relation"] else None,
        where=tuple((name, _value(value)) for name, value in json.loads(row["at"])),
        span=(row["span_start"], row["span_end"]),
        text=row["text"],
    )


def day(text: str | None) -> date | None:
    """A date out of the file, or None where there is none."""
    return date.fromisoformat(text) if text else None


def _plain(value: Value) -> object:
    if isinstance(value, date):
        return {"date": value.isoformat()}
    return list(value) if isinstance(value, tuple) else value


def _value(plain: Any) -> Value:
    if isinstance(plain, dict):
        return date.fromisoformat(plain["date"])
    if isinstance(plain, list):
        low, high = plain
        return (low, high)
    assert isinstance(plain, str | int | float | bool)
    return plain


def _is_text(text: str) -> bool:
    return not any("\ud800" <= c <= "\udfff" for c in text)
