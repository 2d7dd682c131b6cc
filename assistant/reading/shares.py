"""Percentages and fractions of plants, of leaf area, of the air's moisture, of the ground.

The noun decides, never the number: first the noun behind, then the one before.  With
neither the attribute is ``percent``, for the caller to settle or to ask about.  Where
the noun is a place on the plant ("of the ear leaf", "on the lower leaves") the words of
the fact end at "percent", so that the place stays a fact of its own.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, nothing, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import match_meaning, phrase_meanings, phrases, table, words

#: What a share is called when nothing says what it is a share of.
PERCENT = "percent"

_WORDS = {
    name: words("units", "share", name) for name in ("percent", "skipped", "skipped_back", "canopy", "took")
}
_PER_CENT = phrases("units", "share", "percent")
_AFTER_NAMES = ("plants", "leaf", "leaves", "ear_leaf", "residue", "humidity", "defoliation", "none")
_BEFORE_NAMES = ("before_plants", "before_leaf", "before_humidity", "before_residue", "before_defoliation")
_EVERY = phrases("units", "count", "every")
_EVERY_OTHER = phrases("units", "count", "every_other")
_MOST = phrases("units", "count", "most")
_MOST_OF: list[int] = table("units")["heard"]["most_of"]
_EVERY_BEFORE = phrases("units", "count", "every_before")
_DENOMINATORS: dict[str, int] = table("units")["number"]["denominators"]
_ATTRIBUTES = {
    "plants": "incidence_pct",
    "leaf": "severity_pct",
    "leaves": "severity_pct",
    "ear_leaf": "severity_pct",
    "residue": "residue_pct",
    "humidity": "humidity_pct",
    "defoliation": "defoliation_pct",
}
_COUNT_OF = phrases("units", "count", "of")
_PLACES = frozenset({"ear_leaf", "leaves"})
_AIR_AND_GROUND = frozenset({"humidity", "residue"})
_GONE = "defoliation"
_ON = frozenset({"on", "in"})


def _merged(names: tuple[str, ...]) -> dict[str, tuple[tuple[tuple[str, ...], str], ...]]:
    merged: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    rows = phrase_meanings("units", "share")
    for first, forms in rows.items():
        kept = [(phrase, name) for phrase, name in forms if name in names]
        if kept:
            merged[first] = kept
    return {first: tuple(forms) for first, forms in merged.items()}


_AFTER = _merged(_AFTER_NAMES)
_BEFORE = _merged(_BEFORE_NAMES)


def shares(sheet: Sheet) -> list[Found]:
    """Every percentage, and every fraction with a noun that it can be a share of."""
    found: list[Found] = []
    for number in sheet.numbers:
        more = _share_of(sheet, number)
        sheet = sheet.without(more)
        found += more
    return found


def _share_of(sheet: Sheet, number: Number) -> list[Found]:
    glued = number.tail in _WORDS["percent"]
    size = 0 if glued else sheet.phrase(number.last, _PER_CENT)
    if size or glued:
        return [_percent(sheet, number.alone(), number.last + size)]
    if number.fraction and not number.tail:
        return _fraction(sheet, number)
    return _bare(sheet, number)


def every_plant(sheet: Sheet) -> list[Found]:
    """Reads "Every plant" is 100 % of plants, "nearly every plant" about that, "every other plant" 50."""
    found: list[Found] = []
    for at, word in enumerate(sheet.words):
        if size := sheet.phrase(at, _MOST):
            low, high = _MOST_OF
            most = Found(
                first=at, last=at + size, attribute="incidence_pct", value=(low, high), approx=True, unit="%"
            )
            found.append(most)
            continue
        if word not in _EVERY and word not in _EVERY_OTHER:
            continue
        other = sheet.phrase(at, _EVERY_OTHER)
        nth = _every_nth(sheet, at)
        size = other or (3 if nth else sheet.phrase(at, _EVERY))
        if not size:
            continue
        first = _hedge_begin(sheet, at)
        value = 50 if other else round(as_percent(1 / nth)) if nth else 100
        found.append(
            Found(
                first=first,
                last=at + size,
                attribute="incidence_pct",
                value=value,
                approx=first < at,
                unit="%",
            )
        )
    return found


def _every_nth(sheet: Sheet, at: int) -> int:
    """As in "every tenth plant": one of so many; 0 if nothing of the kind is said."""
    every = sheet.word(at) == "every" and sheet.word(at + 2) in ("plant", "stalk")
    return _DENOMINATORS.get(sheet.word(at + 1), 0) if every else 0


def as_percent(fraction: float) -> float:
    """A fraction in percent: halves and eighths exact, thirds and sixths to the whole percent."""
    percent = fraction * 100
    return percent if abs(percent * 2 - round(percent * 2)) < 1e-6 else round(percent)


def _hedge_begin(sheet: Sheet, at: int) -> int:
    for begin in range(max(0, at - 2), at):
        size = sheet.phrase(begin, _EVERY_BEFORE)
        if size and begin + size == at:
            return begin
    return at


# ------------------------------------------------------------------- percent


def _percent(sheet: Sheet, number: Number, last: int) -> Found:
    name, begin, end = _noun_after(sheet, last)
    before, left = _noun_before(sheet, number)
    if before and (
        not name or before in _AIR_AND_GROUND or sheet.number_at(sheet.skip(end, _WORDS["skipped_back"]))
    ):
        return _fact(sheet, number, last, before, first=left)
    if name == "none":
        return nothing(number.first, end)
    if name in ("leaves", "ear_leaf", "leaf") and (gone := _gone_after(sheet, end)):
        return _fact(sheet, number, gone, _GONE)
    if name in ("leaves", "leaf") and _took(sheet, number):
        return _fact(sheet, number, end, _GONE)
    if not name or (name == "leaves" and not _on(sheet, last, begin)):
        return _fact(sheet, number, last, "")
    place = name in _PLACES or sheet.word(begin - 1) in _WORDS["canopy"] or _on(sheet, last, begin)
    return _fact(sheet, number, last if place else end, name)


def _on(sheet: Sheet, last: int, begin: int) -> bool:
    return any(sheet.word(at) in _ON for at in range(last, begin))


def _gone_after(sheet: Sheet, end: int) -> int:
    """Where "gone" or "stripped" ends close behind a leaf noun, else 0."""
    at = sheet.skip(end, _WORDS["skipped"], 2)
    size, name = match_meaning(sheet.words, at, _AFTER)
    return at + size if name == _GONE and sheet.clauses[at] == sheet.clauses[end - 1] else 0


def _took(sheet: Sheet, number: Number) -> bool:
    """Whether hail or a word for loss stands before a share of the leaf."""
    clause = sheet.clauses[number.first]
    near = range(max(0, number.first - 6), number.first)
    return any(sheet.words[at] in _WORDS["took"] and sheet.clauses[at] == clause for at in near)


def _noun_after(sheet: Sheet, at: int) -> tuple[str, int, int]:
    """The noun of a share close behind ``at``: its list, its first token and the one after it."""
    clause = sheet.clauses[at - 1]
    for step in range(at, min(at + 6, len(sheet.words))):
        if sheet.clauses[step] != clause or sheet.number_at(step):
            break
        size, name = match_meaning(sheet.words, step, _AFTER)
        if size:
            return name, step, step + size
        if sheet.words[step] not in _WORDS["skipped"] and sheet.words[step] not in _WORDS["canopy"]:
            break
    return "", at, at


def _noun_before(sheet: Sheet, number: Number) -> tuple[str, int]:
    """The noun of a share close before a number: its list and its first token."""
    at = sheet.skip_back(number.first - 1, _WORDS["skipped_back"], 5)
    for begin in range(max(0, at - 2), at + 1):
        size, name = match_meaning(sheet.words, begin, _BEFORE)
        if begin in sheet.taken:
            continue
        if size and begin + size == at + 1 and sheet.sentences[begin] == sheet.sentences[number.first]:
            return name.removeprefix("before_"), begin
    return "", 0


def _fact(sheet: Sheet, number: Number, last: int, name: str, first: int | None = None) -> Found:
    attribute = _ATTRIBUTES[name] if name else PERCENT
    found = said(sheet, attribute, number, last, first=first, unit="%")
    if attribute == PERCENT and not (number.low >= 0 and number.high <= 100):
        return said(replace(sheet, bounds={PERCENT: (0, 100)}), PERCENT, number, last, unit="%")
    return found


# ------------------------------------------------------------------- without a percent sign


def _fraction(sheet: Sheet, number: Number) -> list[Found]:
    """Reads "A quarter of the ear leaf", "half the plants"."""
    if number.high > 1 or (number.slashed and sheet.word(number.last) not in ("of", "the")):
        return []
    share = replace(number, low=as_percent(number.low), high=as_percent(number.high))
    name, begin, end = _noun_after(sheet, number.last)
    if name in ("leaves", "ear_leaf", "leaf") and (gone := _gone_after(sheet, end)):
        return [_fact(sheet, share, gone, _GONE)]
    if name in ("leaves", "leaf") and _took(sheet, number):
        return [_fact(sheet, share, end, _GONE)]
    if name == "none" or not name or name == "leaves":
        return []
    ends = number.last if name in _PLACES or sheet.word(begin - 1) in _WORDS["canopy"] else end
    return [_fact(sheet, share, ends, name)]


def _bare(sheet: Sheet, number: Number) -> list[Found]:
    """Reads "Severity 5", "humidity at 90": the noun stands before and no unit follows."""
    name, begin = _noun_before(sheet, number)
    if not name or number.tail or number.pair or sheet.has_unit(number.last):
        return []
    if sheet.phrase(number.last, _COUNT_OF):
        return []
    return [_fact(sheet, number, number.last, name, first=begin)]
