"""The facts of one field as the decision rules want them: whole numbers, classes, days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from rules.agronomy.days import days_after_silk, order
from rules.facts import Atom, atoms_of
from rules.model import Earlier, Fact, StageReading, Status, Value
from rules.tables import Tables

_MM_AN_INCH = 25.4
_LENGTHS = (
    ("lesion_length_in", _MM_AN_INCH),
    ("lesion_size_in", _MM_AN_INCH),
    ("lesion_size_mm", 1.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spray:
    """An earlier fungicide spray: its date, the crop's stage then, the FRAC groups in it."""

    on: date | None
    stage: str | None
    groups: frozenset[str]


def middle(value: Value) -> float | None:
    """A number, or the middle of a range; None for anything else."""
    if isinstance(value, tuple):
        return sum(value) / 2
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    return None


def latest(facts: Iterable[Fact], attribute: str) -> Fact | None:
    """The last present fact of an attribute: a later word replaces an earlier one."""
    found = [f for f in facts if f.attribute == attribute and f.status is Status.PRESENT]
    return found[-1] if found else None


def number(facts: Sequence[Fact], attribute: str) -> float | None:
    """The last number said for an attribute."""
    fact = latest(facts, attribute)
    return middle(fact.value) if fact else None


def measured(facts: Sequence[Fact], on: date) -> tuple[Atom, ...]:
    """Whole-number atoms: month, temperature (F), severity in tenths, length in tenths of a millimetre."""
    made: list[Atom] = [("month", on.month)]
    temperature = _temperature(facts)
    if temperature is not None:
        made.append(("temperature", round(temperature)))
    severity = number(facts, "severity_pct")
    if severity is not None:
        made.append(("severity_tenths", round(severity * 10)))
    for attribute, factor in _LENGTHS:
        size = number(facts, attribute)
        if size is not None:
            made.append(("length_tmm", round(size * factor * 10)))
            break
    made += [(f"{f.attribute}.said", "yes") for f in facts if f.status is Status.PRESENT and _has_said(f)]
    return tuple(dict.fromkeys(made))


def _has_said(fact: Fact) -> bool:
    return isinstance(fact.value, date) or fact.attribute in ("spray_stage", "rain_in", "rain_mm")


def _temperature(facts: Sequence[Fact]) -> float | None:
    """The temperature spoken of, °F: as said, else the high, else from °C, else the low."""
    for attribute in ("temperature_f", "temperature_high_f"):
        value = number(facts, attribute)
        if value is not None:
            return value
    celsius = number(facts, "temperature_c")
    if celsius is not None:
        return celsius * 9 / 5 + 32
    return number(facts, "temperature_low_f")


def interval_atoms(facts: Sequence[Fact], on: date) -> tuple[Atom, ...]:
    """Whether the interval read off a label is longer than the days left to harvest."""
    interval = number(facts, "preharvest_interval_days")
    days = number(facts, "days_to_harvest")
    for attribute in ("planned_harvest", "earliest_harvest"):
        harvest = latest(facts, attribute)
        if harvest and isinstance(harvest.value, date):
            days = min(days if days is not None else float("inf"), (harvest.value - on).days)
    if interval is None or days is None or interval <= days:
        return ()
    return (("interval_too_long", "yes"),)


def base_atoms(facts: Sequence[Fact], on: date, group: str | None) -> tuple[Atom, ...]:
    """All atoms of the facts, with the measured ones and the stage group."""
    stage: tuple[Atom, ...] = (("stage_group", group),) if group else ()
    return tuple(dict.fromkeys((*atoms_of(facts), *measured(facts, on), *interval_atoms(facts, on), *stage)))


# ----------------------------------------------------------------------------- earlier sprays


def last_spray(facts: Sequence[Fact], earlier: Sequence[Earlier], tables: Tables) -> Spray | None:
    """The latest spray told of, in this note or in an earlier one of the case."""
    for said in (facts, *(e.facts for e in reversed(earlier))):
        if any(f.attribute in ("sprayed", "sprayed_on") and f.status is Status.PRESENT for f in said):
            return spray_of(said, tables)
    return None


def spray_of(facts: Sequence[Fact], tables: Tables) -> Spray:
    """The spray that these facts tell of."""
    on, stage = latest(facts, "sprayed_on"), latest(facts, "spray_stage")
    actives = [
        str(f.value) for f in facts if f.attribute == "active_ingredient" and f.status is Status.PRESENT
    ]
    groups = {tables.actives[a]["frac_group"] for a in actives if a in tables.actives}
    for f in facts:
        if f.attribute == "active_class" and f.status is Status.PRESENT:
            groups |= set(tables.classes.get(str(f.value), ()))
    return Spray(
        on=on.value if on and isinstance(on.value, date) else None,
        stage=str(stage.value) if stage else None,
        groups=frozenset(groups),
    )


def cover_atoms(spray: Spray | None, on: date, stage: StageReading, tables: Tables) -> tuple[Atom, ...]:
    """Whether the leaves in question were out when it was sprayed, and the days of cover left."""
    if spray is None:
        return ()
    made: list[Atom] = [("sprayed", "yes")]
    out, since = _leaves_out(spray, on, stage, tables), _days_since(spray, on, stage, tables)
    if out is not None:
        made.append(("sprayed_leaves", "out" if out else "not_out"))
    if since is not None:
        made.append(("cover_days_left", round(residual_days(spray, tables)) - since))
        made.append(("sprayed_on.said", "yes"))
    return tuple(made)


def residual_days(spray: Spray, tables: Tables) -> float:
    """Days that a spray of its classes covers (figures.toml)."""
    kind = {1: "cover_single_days", 3: "cover_three_way_days"}.get(len(spray.groups), "cover_mixture_days")
    return tables.figures[kind].value


def _days_since(spray: Spray, on: date, stage: StageReading, tables: Tables) -> int | None:
    if spray.on is not None:
        return (on - spray.on).days
    if spray.stage is None or stage.code is None:
        return None
    then, now = (days_after_silk(c, tables.agronomy) for c in (spray.stage, stage.code))
    return round(now - then)


def _leaves_out(spray: Spray, on: date, stage: StageReading, tables: Tables) -> bool | None:
    """Were all leaves out (tassel or later) on the day of the spray?"""
    if spray.stage is not None:
        return order(spray.stage, tables.agronomy) >= order("VT", tables.agronomy)
    if spray.on is None or stage.code is None:
        return None
    now = round(days_after_silk(stage.code, tables.agronomy))
    tassel = round(tables.figures["tassel_before_silk_days"].value)
    return spray.on >= on - timedelta(days=now + tassel)
