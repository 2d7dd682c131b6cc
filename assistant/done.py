"""What was done and what was found out: sprays, samples, laboratory results, harvests, places, pictures.

Each is one entry of the journal.  What the rules should know of it later (that a field was sprayed, on
which day, with what) is kept beside it as facts, derived from the entry and derivable again.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from assistant.agreement import Agreement, Call, Verdict, agreement, call_before, verdict_of
from assistant.casebook.book import Casebook
from assistant.casebook.rows import Entry, Field
from assistant.deed import WITH_FACTS, By, facts_of, keep_facts, refuse_unknown, written
from assistant.pictures import photograph, picture
from assistant.places import position, positions
from assistant.strips import Strips, compared
from rules.model import WrongWords
from rules.spray_record import Element
from rules.spray_record import load as load_record


@dataclass(frozen=True, slots=True, kw_only=True)
class Sprayed:
    """A spray that was written down, and what its record lacks as good practice."""

    entry: Entry
    missing: tuple[Element, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabResult:
    """A result that was written down, the field's call that it speaks to, and how."""

    entry: Entry
    call: Call | None
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvested:
    """An outcome that was written down, and what its check strips show."""

    entry: Entry
    strips: Strips | None


def spray(
    book: Casebook,
    by: By,
    field: Field,
    on: date,
    record: Mapping[str, str],
    *,
    text: str = "",
    for_hire: bool = False,
) -> Sprayed:
    """Writes down a spray; ``record`` holds the elements of spray_record.toml by id, in the user's own words.

    The date and the crop are known, and so is the place where the field has a position; what else the
    record lacks is named, and it is kept all the same.

    Raises:
        WrongWords: the record holds an element that there is not.
    """
    elements = load_record().element
    refuse_unknown(record, [element.id for element in elements], "element of a spray record")
    known = {"date": on.isoformat(), "crop": "corn", **_place(book, field)}
    whole = {**known, **{key: value.strip() for key, value in record.items() if value.strip()}}
    body = {"text": text or _spray_text(whole), "record": whole, "for_hire": for_hire}
    entry = written(book, by, field, on, "spray", body)
    return Sprayed(entry=entry, missing=missing(entry))


def missing(entry: Entry) -> tuple[Element, ...]:
    """The elements of good practice that a spray's record lacks."""
    record = entry.body.get("record")
    held = record if isinstance(record, Mapping) else {}
    asked = ("always", "for_hire") if entry.body.get("for_hire") else ("always",)
    return tuple(e for e in load_record().element if e.when in asked and not held.get(e.id))


def sample(book: Casebook, by: By, field: Field, on: date, *, sent_to: str, text: str = "") -> Entry:
    """Writes down that a sample was sent."""
    body = {"text": text or f"Sample sent to {sent_to}.", "sent_to": sent_to}
    return written(book, by, field, on, "sample", body)


def lab_result(
    book: Casebook,
    by: By,
    field: Field,
    on: date,
    disorders: Collection[str],
    *,
    found: Collection[str] = (),
    not_found: Collection[str] = (),
    lab: str = "",
    sample: str | None = None,
    text: str = "",
) -> LabResult:
    """Writes down what a laboratory found, and says whether it confirms the call made in the field.

    Args:
        book: the casebook.
        by: who writes it down.
        field: the field that the sample came from.
        on: the day of the result.
        disorders: the ids of all disorders.
        found: those that the laboratory found.
        not_found: those that it looked for and did not find.
        lab: its name.
        sample: the uid of the sample's entry, where there is one.
        text: the result in its own words.

    Raises:
        WrongWords: a disorder that there is not, or one both found and not found.
        UnknownEntry: there is no such sample.
    """
    for name in (*found, *not_found):
        refuse_unknown([name], disorders, "disorder")
    if set(found) & set(not_found):
        raise WrongWords(
            f"{', '.join(sorted(set(found) & set(not_found)))} cannot be both found and not found."
        )
    sent = _sample(book, sample)
    body = {
        "text": text or _lab_text(lab, found, not_found),
        "found": sorted(found),
        "not_found": sorted(not_found),
        "lab": lab,
    }
    case_id = sent.case_id if sent else None
    entry = written(book, by, field, on, "lab_result", body, refers_to=sample, case_id=case_id)
    call = call_before(book, entry)
    return LabResult(entry=entry, call=call, verdict=verdict_of(call, found, not_found))


def outcome(
    book: Casebook,
    by: By,
    field: Field,
    harvested_on: date,
    *,
    yield_bu_ac: float | None = None,
    pairs: tuple[tuple[float, float], ...] = (),
    text: str = "",
) -> Harvested:
    """Writes down the harvest; ``pairs`` are yields (bu/ac) of a sprayed strip and of the one beside it.

    Raises:
        WrongWords: a yield below nothing.
    """
    for figure in (yield_bu_ac or 0.0, *(y for pair in pairs for y in pair)):
        if not figure >= 0:
            raise WrongWords(f"A yield of {figure} bu/ac cannot be; it is 0 or more.")
    body: dict[str, object] = {"harvested_on": harvested_on.isoformat()}
    if yield_bu_ac is not None:
        body["yield_bu_ac"] = yield_bu_ac
    if pairs:
        body["pairs"] = [list(pair) for pair in pairs]
    body["text"] = text or _outcome_text(harvested_on, yield_bu_ac)
    entry = written(book, by, field, harvested_on, "outcome", body)
    return Harvested(entry=entry, strips=compared(pairs) if pairs else None)


def _place(book: Casebook, field: Field) -> dict[str, str]:
    where = positions(book).get(field.uid)
    return {"location": f"{where[0]:.5f}, {where[1]:.5f} (latitude, longitude)"} if where else {}


def _sample(book: Casebook, uid: str | None) -> Entry | None:
    entry = book.entry(uid) if uid is not None else None
    if uid is not None and (entry is None or entry.kind != "sample"):
        raise WrongWords(f"{uid!r} is no sample of this casebook.")
    return entry


def _spray_text(record: Mapping[str, str]) -> str:
    what = record.get("product") or record.get("active_ingredients") or "a fungicide"
    who = f" by {record['applicator']}" if record.get("applicator") else ""
    return f"Sprayed with {what}{who}."


def _lab_text(lab: str, found: Collection[str], not_found: Collection[str]) -> str:
    parts = [", ".join(sorted(found)) or "nothing found"]
    parts += [f"not {name}" for name in sorted(not_found)]
    return f"{lab or 'Laboratory'}: {'; '.join(parts)}.".replace("_", " ")


def _outcome_text(harvested_on: date, yield_bu_ac: float | None) -> str:
    made = f", {yield_bu_ac:g} bu/ac" if yield_bu_ac is not None else ""
    return f"Harvested {harvested_on.isoformat()}{made}."


__all__ = [
    "WITH_FACTS",
    "Agreement",
    "By",
    "Call",
    "Harvested",
    "LabResult",
    "Sprayed",
    "Verdict",
    "agreement",
    "facts_of",
    "keep_facts",
    "lab_result",
    "missing",
    "outcome",
    "photograph",
    "picture",
    "position",
    "positions",
    "sample",
    "spray",
]
