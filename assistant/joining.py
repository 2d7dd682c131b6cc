"""An open case, and how the next line joins it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from rules.model import Check, Consultation, Fact, Scene, Status
from rules.tables import Tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """What the last answer left open: its facts, problems, and the check it asked for.

    ``note`` is the entry that was answered; ``notes`` how many entries with facts are joined in it.
    """

    case: str | None
    field: str | None
    on: date
    facts: tuple[Fact, ...]
    problems: tuple[tuple[int, ...], ...]
    check: Check | None
    note: str | None = None
    notes: int = 1


def opened(scene: Scene, consultation: Consultation, case: str | None, field: str | None, on: date) -> Open:
    """The case as this answer leaves it open."""
    return Open(
        case=case,
        field=field,
        on=on,
        facts=scene.facts,
        problems=tuple(p.facts for p in consultation.problems),
        check=consultation.next_check,
    )


#: Signs that, two or more together and without the asked one, describe a problem of its own.
_DESCRIBES = frozenset(
    {"lesion_form", "lesion_colour", "lesion_shape", "mold_colour", "yellowing_pattern", "problem"}
)


def join(open_case: Open, scene: Scene, tables: Tables, on: date) -> Scene:
    """The open case's facts with those of the next line: the later word replaces the earlier."""
    del on
    new = list(scene.facts)
    old = [replace(f, earlier=True) for f in open_case.facts]
    kept = [i for i, f in enumerate(old) if not any(_replaces(tables, n, f) for n in new)]
    place = {i: n for n, i in enumerate(kept)}
    problems = [[place[i] for i in p if i in place] for p in open_case.problems]
    shift = len(kept)
    signs = [shift + i for i, f in enumerate(new) if _sign(tables, f)]
    if problems and not _another(open_case, scene, new):
        problems[0].extend(signs)
    elif scene.problems:
        problems.extend([shift + i for i in p] for p in scene.problems)
    elif signs:
        problems.append(signs)
    return replace(
        scene,
        facts=(*(old[i] for i in kept), *new),
        problems=tuple(tuple(p) for p in problems if p),
    )


def _sign(tables: Tables, fact: Fact) -> bool:
    attribute = tables.attributes.get(fact.attribute)
    return attribute is not None and attribute.sign


def _another(open_case: Open, scene: Scene, new: Iterable[Fact]) -> bool:
    """Does the line describe another problem, rather than answer or add to the open one?"""
    attributes = {f.attribute for f in new if f.status is Status.PRESENT}
    asked = open_case.check.attribute if open_case.check else None
    return asked not in attributes and len(attributes & _DESCRIBES) > 1 and len(scene.problems) > 0


def _replaces(tables: Tables, new: Fact, old: Fact) -> bool:
    if new.attribute != old.attribute:
        return False
    attribute = tables.attributes.get(new.attribute)
    if attribute is None or new.value == old.value:
        return True
    if old.status in (Status.NOT_CHECKED, Status.CANNOT_TELL) or old.hedged:
        return True
    return attribute.one or attribute.kind in ("number", "stage", "date", "yes")
