"""Days to come: to tassel, black layer or harvest, until a rescout, until an applicator can come."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import Phrase, meanings, phrases, table, words

_UNITS = meanings("units", "time")
_DAYS: dict[str, int] = table("units")["days_in"]
_WAIT = {
    name: phrases("units", "wait", name)
    for name in ("to", "tassel", "maturity", "harvest", "rescout", "applicator", "phi")
}
_SKIPPED = words("units", "wait", "skipped")
_IN = words("units", "wait", "in")
_ATTRIBUTES = {"tassel": "days_to_tassel", "maturity": "days_to_maturity", "harvest": "days_to_harvest"}
_PAST = frozenset(
    {"ago", "back", "earlier", "later", "old", "after", "past", "since", "into", "behind", "early", "late"}
)
_AWAY = frozenset({"out", "away", "off"})
_LEAD = frozenset({"out", "behind", "notice", "lead", "backed", "away", "off"})
_SURE_RESCOUT = frozenset({"rescout", "rescouting", "recheck"})
_REACH = 8


@dataclass(frozen=True, slots=True)
class Wait:
    """A stretch of days; ``last`` is the token after its unit."""

    number: Number
    last: int


def waits(sheet: Sheet) -> list[Found]:
    """Every stretch of days with what it is a wait for."""
    found: list[Found] = []
    for wait in _merged(sheet, _waits(sheet)):
        sheet = sheet.without(found[-1:])
        one = (
            _phi(sheet, wait)
            or _label_says(sheet, wait)
            or _to_come(sheet, wait)
            or _rescout(sheet, wait)
            or _applicator(sheet, wait)
        )
        if one:
            found.append(one)
    found += _labelled(sheet.without(found))
    return found + _bare_phi(sheet.without(found))


def _waits(sheet: Sheet) -> list[Wait]:
    found: list[Wait] = []
    for number in sheet.numbers:
        unit = _UNITS.get(number.tail) if number.tail else ""
        last = number.last
        if not number.tail:
            last += sheet.word(last) in ("-", "more")
            short = len(sheet.word(last)) == 1 and not (
                sheet.word(last) == "d" and sheet.word(number.last - 1).isdecimal()
            )
            unit = None if short else _UNITS.get(sheet.word(last))
            last += 1
        if unit and not number.fraction and not number.decade:
            found.append(Wait(_in_days(sheet, number.alone(), unit, last), _half_end(sheet, last)))
    return found + _single(sheet, found)


def _merged(sheet: Sheet, waits_found: list[Wait]) -> list[Wait]:
    """Reads "a week to ten days" is one stretch with two ends."""
    found: list[Wait] = []
    for wait in sorted(waits_found, key=lambda one: one.number.first):
        before = found[-1] if found else None
        joined = (
            before and sheet.word(before.last) in ("to", "or", "-") and wait.number.first == before.last + 1
        )
        if before and joined and before.number.low < wait.number.high:
            number = replace(wait.number, first=before.number.first, low=before.number.low)
            found[-1] = Wait(number, wait.last)
        else:
            found.append(wait)
    return found


def _in_days(sheet: Sheet, number: Number, unit: str, last: int) -> Number:
    factor = _DAYS[unit]
    days = number.scaled(factor)
    if _half_end(sheet, last) > last and not number.is_range:
        half = factor / 2
        days = Number(
            first=days.first, core=days.core, last=days.last, low=days.low + half, high=days.high + half
        )
    return days


def _half_end(sheet: Sheet, last: int) -> int:
    return last + 3 if sheet.words[last : last + 3] == ("and", "a", "half") else last


def _single(sheet: Sheet, known: list[Wait]) -> list[Wait]:
    """Reads "A week", "week from tassel"."""
    taken = sheet.taken.union(*(range(wait.number.first, wait.last) for wait in known))
    found: list[Wait] = []
    for at, word in enumerate(sheet.words):
        unit = _UNITS.get(word)
        if unit is None or at in taken or len(word) == 1 or word.endswith("s"):
            continue
        first = at - (sheet.word(at - 1) in ("a", "another"))
        one = Number(first=first, core=first, last=at + 1, low=1, high=1)
        found.append(Wait(_in_days(sheet, one, unit, at + 1), _half_end(sheet, at + 1)))
    return found


# ------------------------------------------------------------------- what for


def _to_come(sheet: Sheet, wait: Wait) -> Found | None:
    """Reads "Ten days to tassel", "three weeks from black layer", "harvest in three weeks"."""
    at = wait.last + (sheet.word(wait.last) == "or" and sheet.word(wait.last + 1) == "so") * 2
    step = sheet.phrase(at, _WAIT["to"])
    target = sheet.skip(at + step, frozenset({"the", "we", "'re", "start", "full", "it", "'s", "until"}), 3)
    for name, attribute in _ATTRIBUTES.items():
        size = sheet.phrase(target, _WAIT[name]) if step else 0
        if size:
            return said(sheet, attribute, wait.number, target + size, unit="days")
    return _named_before(sheet, wait)


def _named_before(sheet: Sheet, wait: Wait) -> Found | None:
    after = sheet.word(wait.last)
    if after in _PAST:
        return None
    for name, attribute in _ATTRIBUTES.items():
        first = _before(sheet, wait.number.first, _WAIT[name])
        between = sheet.words[first : wait.number.first] if first is not None else ()
        if first is not None and (after in _AWAY or "in" in between):
            last = wait.last + (after in _AWAY)
            return said(sheet, attribute, wait.number, last, first=first, unit="days")
    if (first := _verb_before(sheet, wait, "harvest")) is not None:
        return said(sheet, "days_to_harvest", wait.number, wait.last, first=first, unit="days")
    return None


def _verb_before(sheet: Sheet, wait: Wait, name: str) -> int | None:
    """The verb of a clause that says what happens in so many days: "chopping it for feed in 20 days"."""
    clause = sheet.clause_range(wait.number.core)
    near = [at for at in clause if wait.number.first - _REACH <= at < wait.number.first - 1]
    told = next((at for at in near if at not in sheet.taken and sheet.phrase(at, _WAIT[name])), None)
    return told if sheet.word(wait.number.first - 1) == "in" else None


def _label_says(sheet: Sheet, wait: Wait) -> Found | None:
    """Reads "the label says 30 days before harvest"."""
    sentence = sheet.sentence_range(wait.number.core)
    labelled = any(sheet.words[at] == "label" for at in sentence)
    to_harvest = sheet.word(wait.last) in ("before", "to", "from", "ahead") and any(
        sheet.phrase(at, _WAIT["harvest"]) for at in range(wait.last + 1, wait.last + 4)
    )
    if not (labelled and to_harvest):
        return None
    first = next(at for at in sentence if sheet.words[at] == "label")
    first = first if first < wait.number.first else wait.number.first
    return said(sheet, "preharvest_interval_days", wait.number, wait.last + 2, first=first, unit="days")


def _labelled(sheet: Sheet) -> list[Found]:
    """Reads "days to pick: 9"."""
    found: list[Found] = []
    for number in sheet.numbers:
        if sheet.word(number.first - 1) != ":" or number.tail or number.fraction:
            continue
        for name, attribute in _ATTRIBUTES.items():
            first = _before(sheet, number.first - 1, _WAIT[name])
            if first is not None and sheet.words[max(0, first - 2) : first] == ("days", "to"):
                found.append(said(sheet, attribute, number, number.last, first=first - 2, unit="days"))
    return found


def _rescout(sheet: Sheet, wait: Wait) -> Found | None:
    """Reads "Rescout in a week", "back in ten days", "in a week we'll look again"."""
    if sheet.word(wait.last) in _PAST:
        return None
    first = _before(sheet, wait.number.first, _WAIT["rescout"])
    if first is not None:
        near = sheet.words[first : wait.number.first]
        if near and (near[0] != "back" or near[-1] in _IN):
            return said(sheet, "rescout_in_days", wait.number, wait.last, first=first, unit="days")
    if (first := _verb_before(sheet, wait, "rescout")) is not None and sheet.word(first) in _SURE_RESCOUT:
        return said(
            sheet, "rescout_in_days", wait.number, wait.last, first=wait.number.first - 1, unit="days"
        )
    if sheet.word(wait.number.first - 1) not in _IN and sheet.word(wait.last) not in ("rescout", "recheck"):
        return None
    at = sheet.skip(
        wait.last,
        frozenset(
            {"i", "we", "'ll", "will", "and", "then", "want", "to", "need", "should", "go", ",", "let", "'s"}
        ),
        5,
    )
    size = sheet.phrase(at, _WAIT["rescout"])
    return said(sheet, "rescout_in_days", wait.number, at + size, unit="days") if size else None


def _applicator(sheet: Sheet, wait: Wait) -> Found | None:
    """Reads "The applicator is five days out", "three days' notice for the plane"."""
    if sheet.word(wait.last) in _PAST - {"behind"}:
        return None
    first = _before(sheet, wait.number.first, _WAIT["applicator"])
    if first is not None:
        last = wait.last + (sheet.word(wait.last) in _LEAD)
        return said(sheet, "applicator_lead_days", wait.number, last, first=first, unit="days")
    if _he_is_out(sheet, wait):
        return said(sheet, "applicator_lead_days", wait.number, wait.last + 1, unit="days")
    clause = sheet.clause_range(wait.number.core)
    near = [at for at in clause if wait.last <= at <= wait.last + _REACH]
    lead = (
        sheet.word(wait.last) in _LEAD or sheet.word(wait.last + 1) in _LEAD or sheet.word(wait.last) == "to"
    )
    for at in near:
        size = sheet.phrase(at, _WAIT["applicator"])
        if size and lead:
            return said(sheet, "applicator_lead_days", wait.number, at + size, unit="days")
    return None


def _he_is_out(sheet: Sheet, wait: Wait) -> bool:
    """As in "the airplane's thirteen, and he's eight days out"."""
    who = sheet.words[max(0, wait.number.first - 2) : wait.number.first]
    someone = bool(who) and who[0] in ("he", "they", "it") and who[-1] in ("'s", "is", "'re", "are")
    sentence = sheet.sentence_range(wait.number.core)
    named = any(sheet.phrase(at, _WAIT["applicator"]) for at in sentence if at < wait.number.first)
    return someone and named and sheet.word(wait.last) in _LEAD


def _phi(sheet: Sheet, wait: Wait) -> Found | None:
    at = wait.last + (sheet.word(wait.last) == "-")
    size = sheet.phrase(at, _WAIT["phi"])
    if size:
        return said(sheet, "preharvest_interval_days", wait.number, at + size, unit="days")
    first = _before(sheet, wait.number.first, _WAIT["phi"])
    if first is None:
        return None
    return said(sheet, "preharvest_interval_days", wait.number, wait.last, first=first, unit="days")


def _bare_phi(sheet: Sheet) -> list[Found]:
    """Reads "PHI 30": an interval is always in days."""
    found: list[Found] = []
    for number in sheet.numbers:
        first = _before(sheet, number.first, _WAIT["phi"])
        if first is not None and not number.tail and not number.fraction:
            found.append(
                said(sheet, "preharvest_interval_days", number, number.last, first=first, unit="days")
            )
    return found


def _before(sheet: Sheet, at: int, known: Mapping[str, tuple[Phrase, ...]]) -> int | None:
    """The first token of a known phrase that stands before ``at`` but for words without weight."""
    end = sheet.skip_back(at - 1, _SKIPPED, 6)
    for step in range(at - 1, max(-1, end - 1), -1):
        for begin in range(max(0, step - 2), step + 1):
            if begin + sheet.phrase(begin, known) == step + 1 and sheet.phrase(begin, known):
                free = sheet.sentences[begin] == sheet.sentences[at] and begin not in sheet.taken
                return begin if free else None
    return None
