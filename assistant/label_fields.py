"""One label out of plain data (a TOML table, a CSV row, a journal entry), and back.

Every wrong field is listed with what was found, where, and what is allowed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from difflib import get_close_matches
from typing import Any

from assistant.label_values import (
    Misfit,
    as_bool,
    as_date,
    as_number,
    as_pairs,
    as_text,
    as_whole,
    as_words,
    chosen,
)
from rules.agronomy.label_records import Label
from rules.agronomy.label_tables import EVERYWHERE, LabelTables, state_code, use_of
from rules.model import Fault
from rules.tables import Tables

#: The keys of a label, in the order in which they are written.
KEYS = tuple(field.name for field in fields(Label))

#: An unknown name this near to a known one is taken for a slip, any other for a new ingredient.
_NEAR = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What the fields of a label may hold: the knowledge that they are checked against."""

    tables: LabelTables
    disorders: tuple[str, ...]
    group_of: Mapping[str, str]

    @classmethod
    def of(cls, tables: Tables, label_tables: LabelTables) -> Shelf:
        """Out of the shipped knowledge."""
        groups = {name: row["frac_group"] for name, row in tables.actives.items()}
        return cls(tables=label_tables, disorders=tuple(tables.disorders), group_of=groups)


def as_body(label: Label) -> dict[str, object]:
    """The label as plain data; what was not told is left out."""
    return {key: _plain(getattr(label, key)) for key in KEYS if getattr(label, key) is not None}


def label_of(
    raw: Mapping[str, object], file: str, record: str, shelf: Shelf, faults: list[Fault]
) -> Label | None:
    """The label that ``raw`` states; None, with every fault noted, if it has any."""
    found: list[tuple[str, str]] = []
    values: dict[str, Any] = {}
    for key, value in raw.items():
        if key not in _READERS:
            found.append((key, _unknown(key)))
            continue
        try:
            values[key] = _READERS[key](value, shelf)
        except Misfit as misfit:
            found.append((key, str(misfit)))
    if "name" not in raw:
        found.append(("name", "a label needs a name"))
    found += _at_odds(values, shelf)
    faults += [Fault(file=file, record=f"{record}, {key}", message=message) for key, message in found]
    return None if found else Label(**values)


def _plain(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()
    if not isinstance(value, tuple):
        return value
    return dict(value) if value and isinstance(value[0], tuple) else list(value)


def _unknown(key: str) -> str:
    return f"this is no field of a label; allowed are {', '.join(KEYS)} (amounts of product are not kept)"


# --------------------------------------------------------------------------- one field


def _disorders(raw: object, shelf: Shelf) -> tuple[str, ...]:
    words = [word.casefold().replace(" ", "_").replace("-", "_") for word in as_words(raw)]
    return tuple(chosen(word, shelf.disorders) for word in words)


def _uses(raw: object, shelf: Shelf) -> tuple[str, ...]:
    return tuple(_use(word, shelf) for word in as_words(raw))


def _use(word: str, shelf: Shelf) -> str:
    found = use_of(word.casefold(), shelf.tables)
    return found.id if found else chosen(word, tuple(use.id for use in shelf.tables.book.use))


def _methods(raw: object, shelf: Shelf) -> tuple[str, ...]:
    return tuple(_method(word, shelf) for word in as_words(raw))


def _method(word: str, shelf: Shelf) -> str:
    return chosen(word.casefold(), tuple(method.id for method in shelf.tables.book.method))


def _states(raw: object, shelf: Shelf) -> tuple[str, ...]:
    words = as_words(raw)
    if [word.upper() for word in words] == [EVERYWHERE]:
        return (EVERYWHERE,)
    codes = {word: state_code(word, shelf.tables) for word in words}
    if None in codes.values():
        wrong = ", ".join(repr(word) for word, code in codes.items() if code is None)
        raise Misfit(
            f"{wrong}: no such state; allowed are states by name or two letters, or {EVERYWHERE} alone"
        )
    return tuple(code for code in codes.values() if code is not None)


def _actives(raw: object, shelf: Shelf) -> tuple[str, ...]:
    words = tuple(word.casefold() for word in as_words(raw))
    for word in words:
        near = get_close_matches(word, shelf.group_of, n=1, cutoff=_NEAR)
        if near and near[0] != word:
            raise Misfit(f"{word!r}: no such ingredient is known; is it {near[0]!r}?")
    return words


def _groups(raw: object, shelf: Shelf) -> tuple[str, ...]:
    del shelf
    groups = []
    for word in as_words(raw):
        letters, digits = word.upper().rstrip("0123456789"), word.lstrip("MmUuBbPpNnCc ")
        if not (digits.isascii() and digits.isdigit()) or letters.strip() not in _GROUP_LETTERS:
            raise Misfit(f"{word!r} is no FRAC group; allowed are numbers like 3, 7, 11 or codes like M05")
        groups.append(f"{letters.strip()}{int(digits):02d}" if letters.strip() else str(int(digits)))
    return tuple(groups)


#: Letters of the FRAC Code List before a number: multi-site, unknown, biological, plant defence.
_GROUP_LETTERS = ("", "M", "U", "BM", "P")


def _stages(raw: object, shelf: Shelf) -> tuple[str, str]:
    codes = tuple(row.code for row in shelf.tables.agronomy.rows)
    words = raw.replace(" to ", ";").replace("-", ";").split(";") if isinstance(raw, str) else as_words(raw)
    ends = [chosen(word.strip().upper(), codes) for word in words]
    if len(ends) != 2:
        raise Misfit(f"{raw!r} must be two stages, the first and the last allowed, like VE to R4")
    if codes.index(ends[0]) > codes.index(ends[1]):
        raise Misfit(f"{ends[0]} comes after {ends[1]}; the first stage allowed stands first")
    return ends[0], ends[1]


def _preharvest(raw: object, shelf: Shelf) -> tuple[tuple[str, int], ...]:
    low, high = _bounds("preharvest_days", shelf)
    return tuple((_use(use, shelf), as_whole(days, low, high)) for use, days in as_pairs(raw))


def _least_volume(raw: object, shelf: Shelf) -> tuple[tuple[str, float], ...]:
    low, high = _bounds("min_gal_ac", shelf)
    return tuple((_method(name, shelf), as_number(least, low, high)) for name, least in as_pairs(raw))


def _whole(field: str) -> Callable[[object, Shelf], int]:
    return lambda raw, shelf: as_whole(raw, *_bounds(field, shelf))


def _bounds(field: str, shelf: Shelf) -> tuple[float, float]:
    (bound,) = (bound for bound in shelf.tables.book.bound if bound.field == field)
    return bound.low, bound.high


_READERS: dict[str, Callable[[object, Shelf], object]] = {
    "name": lambda raw, _: as_text(raw),
    "active_ingredients": _actives,
    "frac_groups": _groups,
    "disorders": _disorders,
    "uses": _uses,
    "states": _states,
    "stages": _stages,
    "preharvest_days": _preharvest,
    "reentry_hours": _whole("reentry_hours"),
    "max_applications": _whole("max_applications"),
    "min_interval_days": _whole("min_interval_days"),
    "methods": _methods,
    "min_gal_ac": _least_volume,
    "adjuvants": lambda raw, _: as_text(raw),
    "forage": lambda raw, _: as_text(raw),
    "plant_back": lambda raw, _: as_text(raw),
    "restricted_use": lambda raw, _: as_bool(raw),
    "typed_on": lambda raw, _: as_date(raw),
    "demo": lambda raw, _: as_bool(raw),
}


# --------------------------------------------------------------------------- fields against each other


def _at_odds(values: Mapping[str, Any], shelf: Shelf) -> list[tuple[str, str]]:
    """Fields that contradict each other."""
    found = []
    for pairs, whole in (("preharvest_days", "uses"), ("min_gal_ac", "methods")):
        for name, _ in values.get(pairs) or ():
            if whole in values and name not in values[whole]:
                found.append((pairs, f"{name!r} is not among the {whole} of this label"))
    return found + _groups_at_odds(values, shelf)


def _groups_at_odds(values: Mapping[str, Any], shelf: Shelf) -> list[tuple[str, str]]:
    if not values.get("active_ingredients") or not values.get("frac_groups"):
        return []
    known = {name: shelf.group_of.get(name) for name in values["active_ingredients"]}
    found = [
        ("frac_groups", f"{name} is FRAC group {group}, which is missing here")
        for name, group in known.items()
        if group is not None and group not in values["frac_groups"]
    ]
    strange = [group for group in values["frac_groups"] if group not in known.values()]
    if strange and None not in known.values():
        found.append(("frac_groups", f"none of the ingredients is of group {', '.join(strange)}"))
    return found
