"""The watch list: each hybrid's reaction as told, what the season showed, and on how much that rests."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assistant.reports.season import FieldSeason, Season, same_hybrid
from assistant.reports.visits import Finding, Told, Visit
from assistant.reports.wording import counted, listed
from rules.agronomy.sampling import wilson
from rules.agronomy.tables import load

GENERAL = "in general"


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Plants with a problem among plants looked at."""

    affected: int
    checked: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """One hybrid and one problem.

    ``fields`` of ``grown`` fields of the hybrid had it; ``count`` adds up the latest count of each
    field, and ``interval`` is its Wilson interval in percent; both are None where nobody counted.
    """

    hybrid: str
    disorder: str
    told: str
    fields: int
    grown: int
    best: str
    count: Count | None = None
    interval: tuple[float, float] | None = None

    @property
    def rests_on(self) -> str:
        """How little or much it rests on, in words."""
        seen = f"found in {self.fields} of {counted(self.grown, 'field')}"
        if self.count is None or self.interval is None:
            return f"{seen}; no plants counted"
        low, high = self.interval
        plants = f"{self.count.affected} of {counted(self.count.checked, 'plant')}"
        share = f"{plants}, which leaves room for {low:.0f} to {high:.0f} %"
        return f"{seen}; {share}" + ("; one field says little" if self.grown == 1 else "")


def watch_list(season: Season) -> tuple[Watched, ...]:
    """Every problem found on every hybrid that a note names, by hybrid, then by problem."""
    made: list[Watched] = []
    for hybrid in sorted({h for f in season.fields for h in f.hybrids}, key=lambda h: (h.casefold(), h)):
        grown = [f for f in season.fields if hybrid in f.hybrids]
        found = {x.disorder for f in grown for v in _of_hybrid(f, hybrid) for x in v.finds}
        made += [_watched(hybrid, disorder, grown) for disorder in sorted(found)]
    return tuple(made)


def _watched(hybrid: str, disorder: str, grown: list[FieldSeason]) -> Watched:
    seen = [tuple(_of_hybrid(f, hybrid)) for f in grown]
    counts = [c for visits in seen if (c := _latest_count(visits, disorder))]
    total = Count(affected=sum(c.affected for c in counts), checked=sum(c.checked for c in counts))
    standings = [x.standing for visits in seen for v in visits for x in v.finds if x.disorder == disorder]
    return Watched(
        hybrid=hybrid,
        disorder=disorder,
        told=_told(disorder, [v for visits in seen for v in visits]),
        fields=sum(any(x.disorder == disorder for v in visits for x in v.finds) for visits in seen),
        grown=len(grown),
        best=next(s for s in ("confirmed", "fits", "possible") if s in standings),
        count=total if counts else None,
        interval=wilson(total.affected, total.checked, confidence()) if counts else None,
    )


def confidence() -> float:
    """The confidence of the intervals, between 0 and 1."""
    return load().sampling.count.confidence


def _of_hybrid(field: FieldSeason, hybrid: str) -> Iterator[Visit]:
    """The visits that speak of the hybrid: in a field of two, those that name the other alone do not."""
    for visit in field.visits:
        named = {same_hybrid(str(name)) for name in visit.values("hybrid")}
        if not named or same_hybrid(hybrid) in named:
            yield visit


def _latest_count(visits: Iterable[Visit], disorder: str) -> Count | None:
    counts = [c for v in visits if (c := count_of(v, disorder))]
    return counts[-1] if counts else None


def count_of(visit: Visit, disorder: str) -> Count | None:
    """The plants that a visit counted for a problem; none of them where it was looked for in vain."""
    for finding in visit.finds:
        if finding.disorder == disorder:
            return _count(visit, finding)
    checked = _plants(visit.facts, "plants_checked")
    denied = [f for f in visit.facts if f.attribute == "problem" and f.status == "absent" and not f.earlier]
    if checked and any(f.value in (disorder, "any") for f in denied):
        return Count(affected=0, checked=checked)
    return None


def _count(visit: Visit, finding: Finding) -> Count | None:
    own, alone = visit.facts_of(finding), len(visit.finds) == 1
    affected = _plants(own, "plants_affected")
    if affected is None and alone:
        affected = _plants(visit.facts, "plants_affected")
    checked = _plants(own, "plants_checked") or _plants(visit.facts, "plants_checked")
    if affected is None or not checked or affected > checked:
        return None
    return Count(affected=affected, checked=checked)


def _plants(facts: Iterable[Told], attribute: str) -> int | None:
    own = [f.value for f in facts if f.attribute == attribute and f.present and not f.earlier]
    whole = [int(str(v)) for v in own if isinstance(v, int) and not isinstance(v, bool)]
    whole += [int(v) for v in own if isinstance(v, float) and v.is_integer()]
    return whole[-1] if whole else None


def _told(disorder: str, visits: Iterable[Visit]) -> str:
    """The reaction that the notes give, toward the problem if one says so, else in general."""
    toward: dict[str, None] = {}
    general: dict[str, None] = {}
    for visit in visits:
        aim = [str(v) for v in visit.values("rating_for")] or [f.disorder for f in visit.finds]
        for rating in map(str, visit.values("hybrid_rating")):
            if disorder in aim:
                toward[rating] = None
            elif not aim:
                general[rating] = None
    if toward:
        return listed(toward)
    return f"{listed(general)} {GENERAL}" if general else ""
