"""The limits of a label that the field and the crop decide: disease, use, state, stage, harvest, method."""

from __future__ import annotations

from datetime import date, timedelta

from rules.agronomy.days import order
from rules.agronomy.harvest import earliest_harvest, interval_fits, latest_spray
from rules.agronomy.label_records import Finding, Label, Situation, fits, not_shown, not_typed, refused
from rules.agronomy.label_tables import (
    EVERYWHERE,
    LabelTables,
    method_of,
    state_code,
    state_name,
    use_of,
)
from rules.agronomy.tables import Agronomy


def disorder(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """Is the disease on the label?"""
    del tables
    if not label.disorders:
        return not_typed("disorders", "the diseases")
    if at.disorder is None:
        return not_shown("disorders", "which disease is to be sprayed is not known")
    name = at.disorder.replace("_", " ")
    if at.disorder in label.disorders:
        return fits("disorders", f"{name} is on the label")
    return refused("disorders", f"{name} is not on the label")


def use(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """Is the corn grown for something that the label covers?"""
    if not label.uses:
        return not_typed("uses", "the crop uses")
    found = use_of(at.use, tables) if at.use else None
    if found is None:
        return not_shown("uses", "what the corn is grown for is not known")
    if found.id in label.uses:
        return fits("uses", f"the label covers {found.say}")
    return refused("uses", f"the label does not cover {found.say}")


def state(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """May it be used in the field's state?"""
    if not label.states:
        return not_typed("states", "the states")
    code = state_code(at.state, tables) if at.state else None
    if code is None:
        return not_shown("states", "the field's state is not known")
    name = state_name(code, tables)
    if code in label.states or EVERYWHERE in label.states:
        return fits("states", f"it may be used in {name}")
    return refused("states", f"it may not be used in {name}")


# --------------------------------------------------------------------------- stage


def stage(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """Is the crop within the stages allowed?

    A stage that holds sub-stages (dent) fits only if all of it does.

    Raises:
        UnknownStage: the label or the situation names no stage of the calendar.
    """
    if label.stages is None:
        return not_typed("stages", "the crop stages")
    if at.stage is None:
        return not_shown("stages", "the crop's stage is not known")
    first, last = label.stages
    code, young, old = _standing(at.stage, at.milk_line, tables.agronomy)
    from_, to = _place(first, tables.agronomy)[0], _place(last, tables.agronomy)[1]
    window = f"the label allows {first} to {last}"
    if old < from_ or young > to:
        return refused("stages", f"{window}, and the crop is at {code}")
    if young < from_ or old > to:
        return not_shown("stages", f"{window}, and how far into {code} the crop is was not told")
    return fits("stages", f"{window}, and the crop is at {code}")


def _standing(code: str, milk_line: float | None, tables: Agronomy) -> tuple[str, int, int]:
    """The crop's stage, to the sub-stage where a milk line tells it, with the rows it may be in."""
    if milk_line is None:
        return (code, *_place(code, tables))
    lines = [(m.milk_line, m.stage) for m in tables.stages.milestone if m.milk_line is not None]
    reached = max(line for line in lines if line[0] <= milk_line)[1]
    return reached, order(reached, tables), order(reached, tables)


def _place(code: str, tables: Agronomy) -> tuple[int, int]:
    """First and last row of the calendar that a stage takes up."""
    start = order(code, tables)
    return start, start + sum(item.part_of == code for item in tables.rows)


# --------------------------------------------------------------------------- harvest


def likely_harvest(at: Situation, tables: LabelTables) -> date | None:
    """The earliest likely harvest: as given, else out of stage and use; None where neither is known.

    Shortest published days to black layer and the fastest drydown; silage at half milk line.
    """
    given = at.earliest_harvest
    if given is not None:
        return given if isinstance(given, date) else at.on + timedelta(days=given)
    found = use_of(at.use, tables) if at.use else None
    if found is None or at.stage is None:
        return None
    return earliest_harvest(at.on, at.stage, tables.agronomy, at.milk_line, found.crop_type)


def interval_of(label: Label, at: Situation, tables: LabelTables) -> int | None:
    """Days that the label wants before this use's harvest; None = not told."""
    found = use_of(at.use, tables) if at.use else None
    return dict(label.preharvest_days or ()).get(found.id) if found else None


def latest_day(label: Label, at: Situation, tables: LabelTables) -> date | None:
    """The last day to spray that leaves the label's days to the earliest likely harvest."""
    days, harvest = interval_of(label, at, tables), likely_harvest(at, tables)
    return None if days is None or harvest is None else latest_spray(harvest, days)


def preharvest(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """Are the label's days left before the earliest likely harvest?"""
    found = use_of(at.use, tables) if at.use else None
    if not label.preharvest_days or found is None:
        return _no_interval(label)
    days, harvest = interval_of(label, at, tables), likely_harvest(at, tables)
    if days is None:
        return not_typed("preharvest_days", f"the days before harvest of {found.say}")
    if harvest is None:
        return not_shown("preharvest_days", "the earliest likely harvest is not known")
    interval = interval_fits(at.on, harvest, days)
    have = f"the earliest likely harvest is {harvest.isoformat()}, {(harvest - at.on).days} days off"
    want = f"the label wants {days} days before a harvest of {found.say}"
    last = f"the last day to spray is {interval.latest_spray.isoformat()}"
    if interval.fits:
        return fits("preharvest_days", f"{want}, and {have}; {last}")
    return refused("preharvest_days", f"{want}, but {have}; {last}")


def _no_interval(label: Label) -> Finding:
    if not label.preharvest_days:
        return not_typed("preharvest_days", "the days before harvest")
    return not_shown("preharvest_days", "the days before harvest depend on what the corn is grown for")


# --------------------------------------------------------------------------- method


def method(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """May it be sprayed that way, in that volume of spray?"""
    if not label.methods:
        return not_typed("methods", "the ways of spraying")
    found = method_of(at.method, tables) if at.method else None
    if found is None:
        return not_shown("methods", "how it is to be sprayed is not known")
    if found.id not in label.methods:
        return refused("methods", f"the label does not allow spraying {found.say}")
    least = dict(label.min_gal_ac or ()).get(found.id)
    if least is None:
        return not_typed("min_gal_ac", f"the least spray volume {found.say}")
    if at.volume_gal_ac is not None and at.volume_gal_ac < least:
        text = f"the label wants {least:g} gal/ac of spray {found.say}, and {at.volume_gal_ac:g} is planned"
        return refused("min_gal_ac", text)
    return fits("methods", f"it may be sprayed {found.say}, in no less than {least:g} gal/ac of spray")
