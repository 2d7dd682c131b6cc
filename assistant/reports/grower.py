"""What a grower needs to know of one field, in plain words: what, so what, what now, by when, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from assistant.reports.axis import series_of
from assistant.reports.drawing import Picture
from assistant.reports.picture_progress import progress
from assistant.reports.positions import EAR, RUNGS, Span, spots
from assistant.reports.season import FieldSeason, Season
from assistant.reports.visits import Finding, Visit
from assistant.reports.watch import count_of
from assistant.reports.wording import clipped, day, listed, sentence, short_day
from rules.agronomy.tables import load

#: The longest message; three parts of a plain text message.
MOST_CHARACTERS = 480
#: A reason cut to fewer characters than this says nothing.
_WORTH_SAYING = 40

_NOW = {
    "spray": "Spray",
    "hold": "Hold: do not spray yet",
    "no_spray": "No spray",
    "too_late": "Too late to spray: leave it",
    "sample": "Send a sample before anything is sprayed",
    "scout": "Look again before anything is decided",
}
_SURE = {
    "confirmed": "the laboratory confirmed it",
    "fits": "what was seen fits it",
    "possible": "it may be this; that is not settled",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowerPage:
    """One field on one page.

    ``noted_on`` is the day of the visit it tells of, or None.  ``stands`` is False once the decision
    was carried out or is out of date.
    """

    field: str
    on: date
    noted_on: date | None
    what: tuple[str, ...]
    so_what: tuple[str, ...]
    now: str
    by_when: tuple[str, ...]
    cautions: tuple[str, ...]
    question: str
    stands: bool
    picture: Picture


def grower_page(season: Season, field: FieldSeason) -> GrowerPage:
    """The page as of the season's day, from the latest decision by then."""
    on = season.asked.on
    visits = tuple(v for v in field.visits if v.on <= on)
    decided = [v for v in visits if v.row.action]
    picture = progress(replace(field, visits=visits), season, series_of(season))
    if not decided:
        return _unseen(field, on, picture)
    last = decided[-1]
    return GrowerPage(
        field=field.title,
        on=on,
        noted_on=last.on,
        what=_what(last, season),
        so_what=_so_what(last),
        now=_now(visits, last, on),
        by_when=_by_when(visits, last, on),
        cautions=tuple(sentence(c) for c in last.cautions),
        question="" if _done_since(visits, last) else last.ask,
        stands=not (_done_since(visits, last) or _out_of_date(last, on)),
        picture=picture,
    )


def _unseen(field: FieldSeason, on: date, picture: Picture) -> GrowerPage:
    what = ("Nobody has looked at this field yet this season.",)
    return GrowerPage(
        field=field.title, on=on, noted_on=None, what=what, so_what=(), now="Have it looked at", by_when=(),
        cautions=(), question="", stands=True, picture=picture,
    )  # fmt: skip


# ----------------------------------------------------------------------------- what, so what


def _what(visit: Visit, season: Season) -> tuple[str, ...]:
    made = [_finding(visit, finding, season) for finding in visit.finds]
    if not made:
        made = ["Nothing that needs a name was found."]
    stage = stage_words(visit.row.stage)
    if stage:
        about = " by our reckoning" if visit.stage_basis == "projected" else ""
        made.append(f"The crop was at {stage}{about}.")
    return tuple(made)


def _finding(visit: Visit, finding: Finding, season: Season) -> str:
    parts = [f"{season.name(finding.disorder)}: {_SURE.get(finding.standing, 'not settled')}"]
    reach = next((s.reach for s in spots(visit) if s.disorder == finding.disorder and s.reach), None)
    amount = _amount(visit, finding)
    where = f"seen {_where(reach)}" if reach else ""
    seen = ", ".join(part for part in (where, amount) if part)
    return sentence(". ".join([*parts, sentence(seen)] if seen else parts))


def _amount(visit: Visit, finding: Finding) -> str:
    count = count_of(visit, finding.disorder)
    if count is not None:
        return f"on {count.affected} of {count.checked} plants"
    shares = [s.incidence for s in spots(visit) if s.disorder == finding.disorder and s.incidence is not None]
    return f"on about {shares[0]:.0f} % of the plants" if shares else ""


def _where(reach: Span) -> str:
    low, high = reach
    if low == high:
        return {0: "low on the plant", EAR: "on the ear leaf"}.get(low, f"on the {_leaf(low)}")
    return f"from the {_leaf(low)} up to the {_leaf(high)}"


def _leaf(rung: int) -> str:
    return (
        RUNGS[rung]
        .replace("below ear", "leaf below the ear")
        .replace("above the ear", "leaves above the ear")
    )


def _so_what(visit: Visit) -> tuple[str, ...]:
    made = [sentence(reason) for reason in visit.because[:2]]
    if visit.days_to_r6 and visit.row.action in ("spray", "hold", "scout", "sample"):
        low, high = visit.days_to_r6
        span = f"{low} to {high}" if low != high else f"{low}"
        made.append(f"From that day the kernels need about {span} more days to fill.")
    return tuple(made)


def stage_words(code: str | None) -> str:
    """A growth stage in plain words with its code: "milk (R3)"."""
    if not code:
        return ""
    names = {row.code: row.name for row in load().rows}
    ends = [part for part in code.split("-") if part]
    words = listed(_stage_name(end, names) for end in ends)
    return f"{words} ({code})"


def _stage_name(code: str, names: dict[str, str]) -> str:
    if code.startswith("V") and code[1:].isdigit():
        return f"{code[1:]} leaves with a collar"
    return names.get(code, code)


# ----------------------------------------------------------------------------- what now, by when


def _now(visits: Sequence[Visit], last: Visit, on: date) -> str:
    """The decision as it stands on that day; one that is out of date or carried out says so."""
    done = _done_since(visits, last)
    if done and done[-1].row.kind == "outcome":
        return "Nothing: the field is harvested"
    if done:
        return "Nothing now: it has been sprayed"
    if _out_of_date(last, on):
        return f"Look at the field first: what was decided on {short_day(last.on)} is out of date"
    return _NOW.get(last.row.action or "", sentence(last.row.action or "").rstrip("."))


def _out_of_date(last: Visit, on: date) -> bool:
    if last.row.action not in ("spray", "hold", "sample", "scout"):
        return False
    days = (last.row.spray_by, last.row.rescout_on)
    return any(named is not None and named < on for named in days)


def _done_since(visits: Sequence[Visit], last: Visit) -> list[Visit]:
    """What was done to the field after the decision."""
    later = visits[visits.index(last) + 1 :]
    return [v for v in later if v.sprayed or v.row.kind == "outcome"]


def _by_when(visits: Sequence[Visit], last: Visit, on: date) -> tuple[str, ...]:
    done = _done_since(visits, last)
    if done:
        return tuple(_was_done(v) for v in done)
    made, row = [], last.row
    if row.spray_by:
        made.append(_spray_day(row.spray_by, on, spray=row.action == "spray"))
    if row.rescout_on:
        verb = "The day to look again was" if row.rescout_on < on else "Look again on"
        why = f": {last.look_for}" if last.look_for else ""
        made.append(sentence(f"{verb} {day(row.rescout_on)}{why}"))
    elif last.look_for:
        made.append(sentence(f"What to look for: {last.look_for}"))
    return tuple(made)


def _spray_day(by: date, on: date, *, spray: bool) -> str:
    if by < on:
        return f"The last day that a spray could pay was {day(by)}."
    return (
        f"Spray by {day(by)} at the latest."
        if spray
        else f"The last day that a spray could pay is {day(by)}."
    )


def _was_done(visit: Visit) -> str:
    what = "Harvest" if visit.row.kind == "outcome" else "A spray"
    return f"{what} was noted on {day(visit.on)}."


# ----------------------------------------------------------------------------- the message


def message(page: GrowerPage) -> str:
    """The page as a phone message of at most 480 characters.

    What to do, by when and the first caution always stand; the reason takes what room is left.
    """
    told = f", {short_day(page.noted_on)}" if page.noted_on else ""
    now = [f"{page.now.upper()}.", *page.by_when[:2]]
    if page.by_when[:1] and page.by_when[0].startswith(f"{page.now} by "):
        now = [page.by_when[0].replace(page.now, page.now.upper(), 1), *page.by_when[1:2]]
    parts = [f"{clipped(page.field, 40)}{told}.", clipped(page.what[0], 115), *(clipped(n, 85) for n in now)]
    end = f"Mind: {clipped(page.cautions[0], 70)}" if page.cautions else ""
    room = MOST_CHARACTERS - len(" ".join([*parts, end])) - 1
    if page.stands and page.so_what and room >= _WORTH_SAYING:
        parts.append(clipped(f"Why: {page.so_what[0]}", room))
    return " ".join(part for part in [*parts, end] if part)
