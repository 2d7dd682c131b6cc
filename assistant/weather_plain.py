"""A plain CSV of days, with the units in its headings: high_f or high_c, rain_in or rain_mm."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from datetime import date

from assistant.weather_days import MM_PER_IN, Reading, f_of_c, number_of
from assistant.weather_ghcn import Line, Sifted

#: Heading -> what it holds, and how to bring it to degrees F, inches, percent.
_COLUMNS: dict[str, tuple[str, Callable[[float], float]]] = {
    "high_f": ("high_f", float),
    "high_c": ("high_f", f_of_c),
    "low_f": ("low_f", float),
    "low_c": ("low_f", f_of_c),
    "rain_in": ("rain_in", float),
    "rain_mm": ("rain_in", lambda mm: mm / MM_PER_IN),
    "rh_pct": ("rh_pct", float),
}
_ALLOWED = "date, high_f or high_c, low_f or low_c, and if told rain_in or rain_mm, rh_pct"
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def is_plain(first: list[str]) -> bool:
    """Does a first line head a plain file of days?"""
    return "date" in [_heading(cell) for cell in first]


def plain(lines: Iterable[Line], sifted: Sifted) -> Iterator[Reading]:
    """Readings of a plain file, headings first."""
    rows = iter(lines)
    number, first = next(rows)
    headings = [_heading(cell) for cell in first]
    wrong = _wrong_headings(headings)
    if wrong:
        sifted.wrong(number, f"{'; '.join(wrong)}; the headings are {_ALLOWED}")
        return
    for number, cells in rows:
        if len(cells) != len(headings):
            sifted.wrong(number, f"{len(cells)} cells under {len(headings)} headings")
            continue
        row = dict(zip(headings, (cell.strip() for cell in cells), strict=True))
        on = _day(row.pop("date"))
        if on is None:
            sifted.wrong(number, f"{cells[headings.index('date')]!r} is no date; write it like 2027-07-28")
            continue
        yield from _readings(number, on, row, sifted)


def _readings(number: int, on: date, row: dict[str, str], sifted: Sifted) -> Iterator[Reading]:
    for heading, text in row.items():
        what, convert = _COLUMNS[heading]
        amount = number_of(text)
        if amount is not None:
            yield Reading(line=number, on=on, what=what, value=convert(amount), said=f"{heading} {text}")
        elif text:
            sifted.wrong(number, f"{heading} {text!r} is no number")


def _heading(cell: str) -> str:
    return cell.strip().casefold()


def _wrong_headings(headings: list[str]) -> list[str]:
    """What is wrong with a line of headings."""
    wrong = [f"the heading {name!r} is not known" for name in headings if name not in ("date", *_COLUMNS)]
    held = [_COLUMNS[name][0] for name in headings if name in _COLUMNS]
    wrong += [f"{what[:-2]} has no column" for what in ("high_f", "low_f") if what not in held]
    if len(set(held)) < len(held) or headings.count("date") > 1:
        wrong.append("something has two columns")
    return wrong


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if _DAY.fullmatch(text) else None
    except ValueError:
        return None
