"""What the words of one note claim about the stage: a code, a range, an edge, a milk line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil

from rules.agronomy.days import (
    DaysLeft,
    days_after_silk,
    days_left,
    following,
    left_at_milk_line,
    left_before_silk,
    main_stage,
    middle_of,
    order,
    preceding,
    row,
)
from rules.agronomy.tables import Agronomy
from rules.model import Basis, Fact, Relation


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a crop stands: its stage, days after silking, and days left to black layer.

    ``left`` may run below 0 for a crop past its date; ``rough_left`` is a range too rough
    to show by itself (early leaf stages) that may be carried forward.
    """

    code: str
    after: float
    left: tuple[int, int] | None
    basis: Basis
    sources: tuple[str, ...]
    rough_left: tuple[int, int] | None = None
    ripe: bool = False


def claimed(facts: tuple[Fact, ...], tables: Agronomy) -> Standing | None:
    """The standing that a milk line or a named stage gives; the milk line was seen, so it rules."""
    lines = [fact for fact in facts if fact.attribute == "milk_line"]
    if lines:
        return _at_line(lines[-1], tables)
    stages = [fact for fact in facts if fact.attribute == "growth_stage"]
    return _named(stages, tables) if stages else None


def _at_line(fact: Fact, tables: Agronomy) -> Standing:
    low, high = fact.value if isinstance(fact.value, tuple) else (fact.value, fact.value)
    ends = sorted((_as_number(low), _as_number(high)))
    return _line(ends[0], ends[1], tables)


def _line(low: float, high: float, tables: Agronomy) -> Standing:
    """Between two milk lines (fractions from the crown), ``low`` the younger."""
    young, old = left_at_milk_line(low, tables), left_at_milk_line(high, tables)
    ripe = low >= 1
    return Standing(
        code="R6" if ripe else "R5",
        after=(middle_of("R5", tables, low) + middle_of("R5", tables, high)) / 2,
        left=(old.low, young.high),
        basis=Basis.SEEN,
        sources=young.sources + old.sources,
        ripe=ripe,
    )


def _as_number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else 0.0


def _named(facts: list[Fact], tables: Agronomy) -> Standing:
    """Stages said to have been reached make a range; else the last one that was placed."""
    reached = [f for f in facts if f.relation in (None, Relation.AT)]
    if reached:
        ends = sorted((code for f in reached for code in _ends(f)), key=lambda code: order(code, tables))
        return _between(ends[0], ends[-1], tables)
    for relation, place in _PLACED.items():
        told = [f for f in facts if f.relation is relation]
        if told:
            first, last = _ends(told[-1])
            return place(last if relation is Relation.AFTER else first, tables)
    raise AssertionError("a relation is one of four")


def _ends(fact: Fact) -> tuple[str, str]:
    first, _, last = str(fact.value).partition("-")
    return first, last or first


def _between(first: str, last: str, tables: Agronomy) -> Standing:
    """From one stage to another; the field is at the first, which all of it has reached."""
    young, old = _left(first, tables), _left(last, tables)
    line = row(first, tables)
    return Standing(
        code=line.part_of or first,
        after=(middle_of(first, tables) + middle_of(last, tables)) / 2,
        left=None if days_left(first, tables) is None else (old.low, young.high),
        rough_left=(old.low, young.high),
        basis=Basis.SAID,
        sources=_sources((first, last), tables),
        ripe=first == tables.rows[-1].code,
    )


def _nearing(code: str, tables: Agronomy) -> Standing:
    """At the edge, not yet over it: still the stage before, late."""
    return _edge(_row_before(code, tables), code, preceding(code, tables), tables)


def _after(code: str, tables: Agronomy) -> Standing:
    """At the edge and over it: the next stage, early (dent has its own next, quarter milk line)."""
    if code == tables.rows[-1].code:
        return _between(code, code, tables)
    following_row = _row_after(code, tables)
    edge = _edge(code, following_row, main_stage(following_row, tables), tables)
    oldest = _left(following(code, tables), tables).low
    return _with_left(edge, oldest)


def _before(code: str, tables: Agronomy) -> Standing:
    """Somewhere before; the latest it can be is the stage before."""
    stage = preceding(code, tables)
    standing = _between(stage, stage, tables)
    return _with_left(standing, _left(code, tables).low)


def _with_left(standing: Standing, low: int) -> Standing:
    """The same with a nearer end of the days left."""
    left = None if standing.left is None else (low, standing.left[1])
    rough = None if standing.rough_left is None else (low, standing.rough_left[1])
    return replace(standing, left=left, rough_left=rough)


def _edge(younger: str, older: str, code: str, tables: Agronomy) -> Standing:
    """Between two stages: at most half the step away from the older one's start."""
    young, old = _left(younger, tables), _left(older, tables)
    rough = (old.low, ceil((young.high + old.high) / 2))
    return Standing(
        code=code,
        after=days_after_silk(older, tables),
        left=None if days_left(younger, tables) is None else rough,
        rough_left=rough,
        basis=Basis.SAID,
        sources=_sources((younger, older), tables),
    )


def _row_before(code: str, tables: Agronomy) -> str:
    """The stage or sub-stage just before; before tassel the last leaf stage reckoned with."""
    if order(code, tables) <= order("R1", tables):
        return preceding(code, tables)
    return tables.rows[order(code, tables) - 1].code


def _row_after(code: str, tables: Agronomy) -> str:
    if order(code, tables) < order("R1", tables):
        return following(code, tables)
    return tables.rows[order(code, tables) + 1].code


def _left(code: str, tables: Agronomy) -> DaysLeft:
    return days_left(code, tables) or left_before_silk(code, tables)


def _sources(codes: tuple[str, ...], tables: Agronomy) -> tuple[str, ...]:
    """What the code and, where they are shown, its days rest on."""
    found: tuple[str, ...] = ()
    for code in codes:
        left = days_left(code, tables)
        found += row(code, tables).source if left is None else left.sources
    return tuple(dict.fromkeys(found))


#: How a stage that was not reached places the crop, the surest first.
_PLACED = {Relation.NEARING: _nearing, Relation.AFTER: _after, Relation.BEFORE: _before}
