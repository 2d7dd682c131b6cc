"""One field's facts, sorted: what belongs to the field, what to each problem, what was sprayed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from rules.agronomy.days import stage_group
from rules.agronomy.stage import read_stage
from rules.facts import Atom
from rules.model import Earlier, Fact, Relation, StageReading, Status
from rules.situation import Spray, base_atoms, cover_atoms, last_spray
from rules.tables import Tables
from rules.timing import window_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """The facts of one field on one day, as the rules take them.

    ``shared`` facts belong to the field; ``problems`` are groups of indexes into
    ``facts``; ``group`` is the stage group; ``extra`` are atoms of an earlier spray,
    a find nearby, a clean field.
    """

    on: date
    facts: tuple[Fact, ...]
    shared: tuple[Fact, ...]
    problems: tuple[tuple[int, ...], ...]
    stage: StageReading
    group: str | None
    extra: tuple[Atom, ...]

    def of(self, problem: Sequence[int]) -> tuple[Fact, ...]:
        """The facts that speak of one problem: the field's and its own."""
        return (*self.shared, *(self.facts[i] for i in problem))

    def atoms(self, problem: Sequence[int] = ()) -> tuple[Atom, ...]:
        """All that the rules may see of one problem (or of the field alone)."""
        return (*base_atoms(self.of(problem), self.on, self.group), *self.extra)


def sort(
    tables: Tables,
    facts: Sequence[Fact],
    problems: Sequence[Sequence[int]],
    on: date,
    earlier: Sequence[Earlier],
) -> Case:
    """Sorts the facts of one field.  Without groups, all signs belong to one problem."""
    facts = tuple(facts)
    spray = last_spray(facts, earlier, tables)
    stage = read_stage(facts, on, (*earlier, *_staged(spray)), tables.agronomy)
    group = _group(tables, facts, stage)
    groups = problems or (tuple(i for i, f in enumerate(facts) if is_sign(tables, f)),)
    real = tuple(tuple(g) for g in groups if _is_problem(tables, [facts[i] for i in g]))
    taken = {i for g in groups for i in g}
    shared = tuple(f for i, f in enumerate(facts) if i not in taken)
    extra = cover_atoms(spray, on, stage, tables)
    return Case(
        on=on,
        facts=facts,
        shared=(*shared, *_remembered(tables, facts, earlier)),
        problems=real,
        stage=stage,
        group=group,
        extra=(*extra, *_known_here(earlier), *(() if real else _looked(tables, facts, group))),
    )


def _staged(spray: Spray | None) -> tuple[Earlier, ...]:
    """The stage told of a dated spray is an observation of the crop on that day."""
    if spray is None or spray.on is None or spray.stage is None:
        return ()
    return (Earlier(on=spray.on, facts=(Fact(attribute="growth_stage", value=spray.stage),)),)


def is_sign(tables: Tables, fact: Fact) -> bool:
    """Does the fact belong to a problem, rather than to the field?"""
    attribute = tables.attributes.get(fact.attribute)
    return attribute is not None and attribute.sign


def _is_problem(tables: Tables, facts: Iterable[Fact]) -> bool:
    """Is something there?  A denial, a place or a count alone is no problem."""
    return any(
        f.status is Status.PRESENT
        and f.value != "any"
        and f.attribute not in ("leaf_surface", "plant_part")
        and tables.attributes[f.attribute].group in ("seen", "named")
        for f in facts
        if f.attribute in tables.attributes
    )


def _group(tables: Tables, facts: Sequence[Fact], stage: StageReading) -> str | None:
    """The stage group; a crop about to tassel counts as tasselling, as the published rule means it."""
    if stage.code is None:
        return None
    nearing = any(
        f.attribute == "growth_stage" and f.relation is Relation.NEARING and f.value == "VT" for f in facts
    )
    return "vt_r1" if nearing else stage_group(stage.code, tables.agronomy)


def _remembered(tables: Tables, facts: Sequence[Fact], earlier: Sequence[Earlier]) -> tuple[Fact, ...]:
    """Crop facts (hybrid, history, previous crop) of earlier notes that this one does not restate."""
    said = {f.attribute for f in facts}
    kept: dict[str, Fact] = {}
    for note in earlier:
        for f in note.facts:
            attribute = tables.attributes.get(f.attribute)
            if attribute and attribute.group == "crop" and f.attribute not in said:
                kept[f.attribute] = f
    return tuple(kept.values())


def _known_here(earlier: Sequence[Earlier]) -> tuple[Atom, ...]:
    """What earlier notes of the case named as so: the next look is likely to meet it again."""
    named = {
        str(f.value)
        for note in earlier
        for f in note.facts
        if f.attribute == "problem" and f.status is Status.PRESENT and not f.hedged and f.value != "any"
    }
    return tuple(("known_here", name) for name in sorted(named))


def _looked(tables: Tables, facts: Sequence[Fact], group: str | None) -> tuple[Atom, ...]:
    """Atoms of a field where nothing was found, or where only a find nearby was told."""
    near = [str(f.value) for f in facts if f.attribute == "nearby_find" and f.status is Status.PRESENT]
    denied = any(f.status is Status.ABSENT and is_sign(tables, f) for f in facts)
    passed_by = any(f.attribute == "scouted" and f.status is not Status.PRESENT for f in facts)
    made: list[Atom] = [("clean", "yes")] if denied else [("only_near", "yes")] if near else []
    if passed_by and not denied:
        made.append(("not_walked", "yes"))
    plans = {tables.plan_of.get(d, "none") for name in near for d in tables.claims.get(name, (name,))}
    if any(window_of(tables, plan, group) != "closed" for plan in plans - {"none"}):
        made.append(("near_window", "yes"))
    return tuple(made)
