"""Where on the plant a problem was seen, or looked for and not seen, on one visit.

The ladder of leaf positions is only a way to draw: rungs counted from the ear leaf, the
leaf below which all is "low" and above which all is "top".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from assistant.reports.visits import Finding, Told, Visit

#: The rungs of the ladder, lowest first.
RUNGS = (
    "low leaves",
    "3rd below ear",
    "2nd below ear",
    "1st below ear",
    "ear leaf",
    "above the ear",
    "top leaves",
)  # fmt: skip
EAR = RUNGS.index("ear leaf")

_CANOPY = {
    "lower": (0, 0),
    "below_ear_leaf": (1, EAR - 1),
    "ear_leaf": (EAR, EAR),
    "above_ear_leaf": (EAR + 1, EAR + 1),
    "mid": (EAR - 1, EAR + 1),
    "upper": (EAR + 1, EAR + 2),
    "whole": (0, EAR + 2),
}
_PLACES = ("canopy_position", "leaf_from_ear")

Span = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One sight of a problem: the rungs it reached, or None where nobody said.

    ``clean`` is a place that was looked at and had nothing; ``disorder`` is None where the
    words did not tie the place to one problem.  Percents are of plants and of leaf area.
    """

    on: date
    disorder: str | None
    reach: Span | None
    clean: bool = False
    incidence: float | None = None
    severity: float | None = None


def spots(visit: Visit) -> tuple[Spot, ...]:
    """What one visit says about where; nothing where it says nothing about the plant."""
    made = [spot for finding in visit.finds for spot in _of_finding(visit, finding)]
    made += _elsewhere(visit)
    if not made and _clean(visit):
        made = [Spot(on=visit.on, disorder=None, reach=None, clean=True)]
    return tuple(made)


def _of_finding(visit: Visit, finding: Finding) -> Iterator[Spot]:
    facts = visit.facts_of(finding)
    if len(visit.finds) == 1:
        facts += _loose(visit)
    carried = finding.facts and not facts  # only the note before said it
    if not carried:
        yield Spot(
            on=visit.on, disorder=finding.disorder, reach=_reach(facts),
            incidence=_percent(facts, "incidence_pct"), severity=_percent(facts, "severity_pct"),
        )  # fmt: skip
    for span in _clean_spans(facts):
        yield Spot(on=visit.on, disorder=finding.disorder, reach=span, clean=True)


def _elsewhere(visit: Visit) -> list[Spot]:
    """Places found clean that no one problem owns."""
    if len(visit.finds) == 1:
        return []
    return [Spot(on=visit.on, disorder=None, reach=s, clean=True) for s in _clean_spans(_loose(visit))]


def _loose(visit: Visit) -> tuple[Told, ...]:
    """Facts of this note that belong to the field as a whole."""
    owned = {place for finding in visit.findings for place in finding.facts}
    return tuple(f for place, f in enumerate(visit.facts) if place not in owned and not f.earlier)


def _clean(visit: Visit) -> bool:
    """Whether the note says that the field was looked at and nothing was wrong."""
    denied = any(f.attribute == "problem" and f.status == "absent" and not f.earlier for f in visit.facts)
    return not visit.finds and (denied or bool(visit.row.action and not visit.row.found))


def _reach(facts: Iterable[Told]) -> Span | None:
    seen = [f for f in facts if f.present and f.attribute in _PLACES]
    exact = [s for f in seen if f.attribute == "leaf_from_ear" and (s := span(f))]
    broad = [s for f in seen if f.attribute == "canopy_position" and (s := span(f))]
    spans = exact + [s for s in broad if not any(_within(e, s) for e in exact)]
    return (min(low for low, _ in spans), max(high for _, high in spans)) if spans else None


def _clean_spans(facts: Iterable[Told]) -> list[Span]:
    spans = [span(f) for f in facts if f.status == "absent" and f.attribute in _PLACES]
    return sorted({s for s in spans if s})


def span(fact: Told) -> Span | None:
    """The rungs that a place covers; None where the fact names no place of the ladder."""
    if fact.attribute == "canopy_position":
        return _CANOPY.get(str(fact.value))
    low, high = fact.value if isinstance(fact.value, tuple) else (fact.value, fact.value)
    if not (_number(low) and _number(high)):
        return None
    rungs = sorted((_rung(float(str(low))), _rung(float(str(high)))))
    return rungs[0], rungs[1]


def _rung(leaf_from_ear: float) -> int:
    return max(0, min(len(RUNGS) - 1, EAR + round(leaf_from_ear)))


def _within(small: Span, large: Span) -> bool:
    """Whether a counted leaf is a closer word for a broad place; "low" takes in every leaf below the ear."""
    low, high = (0, EAR - 1) if large == _CANOPY["lower"] else large
    return low <= small[0] and small[1] <= high


def _percent(facts: Iterable[Told], attribute: str) -> float | None:
    for fact in facts:
        if fact.attribute == attribute and fact.present:
            value = fact.value
            if _number(value):
                return float(str(value))
            if isinstance(value, tuple) and all(_number(v) for v in value):
                return sum(float(v) for v in value) / len(value)
    return None


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
