"""The history of one field as a person wants to read it, for a screen without pictures.

On top the open question; then how far up the plant each problem went; then every line with what was
found, what was decided and why, what was done and how it came out.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from assistant.casebook.rows import Field
from assistant.reports.log import due_text
from assistant.reports.positions import RUNGS, Spot, spots
from assistant.reports.season import Asked, FieldSeason, Season, gather
from assistant.reports.visits import Visit
from assistant.reports.wording import (
    action_words,
    clean,
    counted,
    day,
    kind_words,
    sentence,
    short_day,
    standing_words,
)

if TYPE_CHECKING:
    from assistant.casebook.book import Casebook

#: Visits that the drawing has room for on a line of a terminal; the latest are shown.
_COLUMNS = 9
_CELL = 7


def history_words(book: Casebook, field: Field, on: date) -> str:
    """The history of a field over all its years, with what is open as of a day."""
    years = sorted({row.on.year for row in book.history(field)}) or [on.year]
    lines = [clean(field.name)]
    for year in years:
        season = gather(book, Asked(year=year, on=on, field=field))
        for part in season.fields:
            lines += _season(part, season, year, latest=year == years[-1])
    return "\n".join(lines) if len(lines) > 1 else f"{lines[0]}\n  Nothing was noted."


def due_words(book: Casebook, on: date) -> str:
    """What to look at today, this week and later, with the reason of each."""
    season = gather(book, Asked(year=on.year, on=on))
    return due_text(season.due, on, season.reason)


def _season(field: FieldSeason, season: Season, year: int, *, latest: bool) -> Iterator[str]:
    if latest:
        yield from _open(field)
    hybrids = f", hybrid {', '.join(field.hybrids)}" if field.hybrids else ""
    yield f"{year}: {counted(len(field.visits), 'line')}{hybrids}"
    yield from _drawn(field, season)
    for visit in field.visits:
        yield from _told(visit, season)


def _open(field: FieldSeason) -> Iterator[str]:
    for row in field.waiting:
        if field.open_question:
            yield f"Open question: {clean(field.open_question)}"
        days = [f"look again {day(row.rescout_on)}"] if row.rescout_on else []
        days += [f"last useful spray day {day(row.spray_by)}"] if row.spray_by else []
        yield f"Open: {'; '.join(days)}"


def _told(visit: Visit, season: Season) -> Iterator[str]:
    row = visit.row
    found = [f"{season.name(f.disorder)}, {standing_words(f.standing)}" for f in visit.findings]
    what = "; ".join(found) or ("nothing found" if row.action else kind_words(row.kind))
    yield f"  {day(row.on)}  {row.stage or '--':5} {what}"
    if row.action:
        days = [f"last useful spray day {short_day(row.spray_by)}"] if row.spray_by else []
        days += [f"look again {short_day(row.rescout_on)}"] if row.rescout_on else []
        yield f"      decided: {'; '.join([action_words(row.action), *days])}"
    for reason in visit.because[:2]:
        yield f"      because: {sentence(reason)}"
    if visit.done:
        yield f"      done: {visit.done}"
    if row.text:
        yield f'      "{clean(row.text)}"'


def _drawn(field: FieldSeason, season: Season) -> Iterator[str]:
    """The ladder of leaves: a letter where a problem stood, "o" where looked and clean."""
    seen = [(visit.on, spots(visit)) for visit in field.visits]
    seen = [(on, found) for on, found in seen if any(s.reach for s in found)][-_COLUMNS:]
    if not seen:
        return
    disorders = list(
        dict.fromkeys(s.disorder for _, found in seen for s in found if s.disorder and not s.clean)
    )
    letters = {disorder: chr(ord("A") + place) for place, disorder in enumerate(disorders)}
    for disorder, letter in letters.items():
        yield f"  {letter} {season.name(disorder)}"
    for rung in reversed(range(len(RUNGS))):
        row = "".join(_cell(found, rung, letters).center(_CELL) for _, found in seen)
        yield f"  {RUNGS[rung]:>14} |{row}".rstrip()
    yield f"  {'':14}  {''.join(short_day(on).center(_CELL) for on, _ in seen)}".rstrip()


def _cell(found: tuple[Spot, ...], rung: int, letters: dict[str, str]) -> str:
    here = [s for s in found if s.reach and s.reach[0] <= rung <= s.reach[1]]
    sick = "".join(dict.fromkeys(letters[s.disorder] for s in here if s.disorder and not s.clean))
    return sick or ("o" if here else ".")
