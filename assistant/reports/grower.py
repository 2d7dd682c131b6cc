"""What a grower needs to know of one field, in plain words: what, so what, what now, by when, cautions."""

from __future__ import annotations

from dataclasses import dataclass
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
    """One field on one page.  ``noted_on`` is the day of the visit it tells of, or None."""

    field: str
    on: date
    noted_on: date | None
    what: tuple[str, ...]
    so_what: tuple[str, ...]
    now: str
    by_when: tuple[str, ...]
    cautions: tuple[str, ...]
    question: str
    picture: Picture


def grower_page(season: Season, field: FieldSeason) -> GrowerPage:
    """The page as of the season's day, from the latest decision by then."""
    on = season.asked.on
    visits = [v for v in field.visits if v.on <= on]
    decided = [v for v in visits if v.row.action]
    last = decided[-1] if decided else None
    shown = FieldSeason(name=field.name, visits=tuple(visits), hybrids=field.hybrids)
    return GrowerPage(
        field=field.title,
        on=on,
        noted_on=last.on if last else None,
        what=_what(last, season) if last else ("Nobody has looked at this field yet this season.",),
        so_what=_so_what(last) if last else (),
        now=_NOW.get(last.row.action or "", "") if last else "Have it looked at",
        by_when=_by_when(last, on) + _since(visits, last) if last else (),
        cautions=tuple(sentence(c) for c in last.cautions) if last else (),
        question=last.ask if last else "",
        picture=progress(shown, season, series_of(season)),
    )


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
    made = [sentence(reason) for reason in visit.because[:3]]
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


def _by_when(visit: Visit, on: date) -> tuple[str, ...]:
    made, row = [], visit.row
    if row.spray_by:
        past = " That day has passed." if row.spray_by < on else ""
        last = "Spray by" if row.action == "spray" else "The last day that a spray could still pay is"
        made.append(f"{last} {day(row.spray_by)}{' at the latest' if row.action == 'spray' else ''}.{past}")
    if row.rescout_on:
        past = " That day has passed." if row.rescout_on < on else ""
        why = f": {visit.look_for}" if visit.look_for else ""
        made.append(sentence(f"Look again on {day(row.rescout_on)}{why}") + past)
    elif visit.look_for:
        made.append(sentence(f"What to look for: {visit.look_for}"))
    return tuple(made)


def _since(visits: list[Visit], last: Visit) -> tuple[str, ...]:
    """What was done after the decision."""
    later = visits[visits.index(last) + 1 :]
    made = [f"Since then, on {short_day(v.on)}, a spray was noted." for v in later if v.sprayed]
    made += [f"Harvest was noted on {short_day(v.on)}." for v in later if v.row.kind == "outcome"]
    return tuple(made)


# ----------------------------------------------------------------------------- the message


def message(page: GrowerPage) -> str:
    """The page as a phone message of at most 480 characters: what to do never gives way to the reasons."""
    told = f", {short_day(page.noted_on)}" if page.noted_on else ""
    lines = [f"{clipped(page.field, 50)}{told}.", clipped(page.what[0], 130), f"{page.now.upper()}."]
    lines += [clipped(each, 110) for each in page.by_when[:2]]
    text = " ".join(line for line in lines if line)
    extra = [f"Why: {page.so_what[0]}"] if page.so_what else []
    extra += [f"Mind: {page.cautions[0]}"] if page.cautions else []
    for each in sorted(extra, key=len):
        room = MOST_CHARACTERS - len(text) - 1
        if room >= len(each):
            text = f"{text} {each}"
        elif room >= MOST_CHARACTERS // 8:
            text = f"{text} {clipped(each, room)}"
    return text
