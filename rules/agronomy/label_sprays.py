"""The limits of a label that earlier sprays decide: how often, how soon, and the same mode of action.

The rule on modes of action: one single-site group by itself goes on once a season; the next
spray holds another group (University of California IPM, small grains; Crop Protection Network
CPN-2023).  Group codes are those of the FRAC Code List, where M stands for multi-site.
"""

from __future__ import annotations

from datetime import timedelta

from rules.agronomy.label_records import (
    EarlierSpray,
    Finding,
    Label,
    Situation,
    fits,
    not_shown,
    not_typed,
    refused,
)
from rules.agronomy.label_tables import LabelTables

_MULTI_SITE = "M"
_UNTOLD = "whether the field was sprayed before this season is not known"


def season_maximum(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """Is one more application within the season's most?"""
    del tables
    most = label.max_applications
    if most is None:
        return not_typed("max_applications", "the most applications a season")
    if at.sprays is None:
        return not_shown("max_applications", _UNTOLD)
    sure, maybe = _of_this_label(label, at)
    if len(sure) >= most:
        text = f"the label allows {_times(most)} a season, and it went on {_times(len(sure))} already"
        return refused("max_applications", text)
    if len(sure) + len(maybe) >= most:
        text = f"the label allows {_times(most)} a season, and {_spray(maybe[0])} may have been it"
        return not_shown("max_applications", text)
    return fits("max_applications", f"the label allows {_times(most)} a season")


def interval_between(label: Label, at: Situation, tables: LabelTables) -> Finding | None:
    """Is the last application of this label long enough ago?  None where it goes on only once."""
    del tables
    days = label.min_interval_days
    if days is None:
        once = label.max_applications == 1
        return None if once else not_typed("min_interval_days", "the days between applications")
    if at.sprays is None:
        return not_shown("min_interval_days", _UNTOLD)
    sure, maybe = _of_this_label(label, at)
    recent = [s for s in sure if s.on is not None and (at.on - s.on).days < days]
    if recent:
        on = max(s.on for s in recent if s.on is not None)
        from_ = on + timedelta(days=days)
        text = f"the label wants {days} days between applications; the last was on {on.isoformat()}"
        return refused("min_interval_days", f"{text}, so not before {from_.isoformat()}")
    unsure = [s for s in sure if s.on is None]
    unsure += [s for s in maybe if s.on is None or (at.on - s.on).days < days]
    if unsure:
        text = f"the label wants {days} days between applications, and {_spray(unsure[0])} may be too recent"
        return not_shown("min_interval_days", text)
    return fits("min_interval_days", f"the {days} days that the label wants between applications are kept")


def rotation(label: Label, at: Situation, tables: LabelTables) -> Finding:
    """Would one single-site mode of action go on by itself a second time?"""
    del tables
    if not label.frac_groups:
        return not_typed("frac_groups", "the modes of action (FRAC groups)")
    if at.sprays is None:
        return not_shown("frac_groups", _UNTOLD)
    (group, *others) = sorted(set(label.frac_groups))
    if others or group.startswith(_MULTI_SITE):
        return fits("frac_groups", f"modes of action: FRAC {' + '.join([group, *others])}")
    return _alone(group, at)


def _alone(group: str, at: Situation) -> Finding:
    earlier = _this_season(at)
    same = [s for s in earlier if set(s.groups) == {group}]
    if same:
        text = f"FRAC group {group} went on by itself in {_spray(same[-1])}"
        return refused("frac_groups", f"{text}: the next spray must hold another group")
    untold = [s for s in earlier if not s.groups]
    if untold:
        text = f"it is FRAC group {group} alone, and what was in {_spray(untold[-1])} is not known"
        return not_shown("frac_groups", text)
    return fits("frac_groups", f"FRAC group {group} alone, not sprayed by itself before this season")


# --------------------------------------------------------------------------- which sprays


def _this_season(at: Situation) -> list[EarlierSpray]:
    """Sprays of this year up to the day, and those whose day was not told."""
    told = at.sprays or ()
    return [s for s in told if s.on is None or (s.on.year == at.on.year and s.on <= at.on)]


def _of_this_label(label: Label, at: Situation) -> tuple[list[EarlierSpray], list[EarlierSpray]]:
    """Sprays that surely were this label's product, and those that may have been."""
    earlier = _this_season(at)
    sure = [s for s in earlier if s.label is not None and _name(s.label) == _name(label.name)]
    return sure, [s for s in earlier if s.label is None and _may_be(s, label)]


def _may_be(spray: EarlierSpray, label: Label) -> bool:
    """A group that the label does not hold shows that it was something else."""
    return not label.frac_groups or set(spray.groups) <= set(label.frac_groups)


def _name(name: str) -> str:
    return " ".join(name.split()).casefold()


def _spray(spray: EarlierSpray) -> str:
    return f"the spray of {spray.on.isoformat()}" if spray.on else "an earlier spray"


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"
