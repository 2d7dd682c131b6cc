"""Dates of a decision: the last useful day to spray, and the day to look again."""

from __future__ import annotations

from datetime import date, timedelta

from rules.agronomy.days import days_after_silk
from rules.tables import Tables

#: Stage groups in the order of the season.
GROUPS = ("ve_v5", "v6_v9", "v10_v18", "vt_r1", "r2", "r3", "r4", "r5", "r6")

_RANK = {"open": 0, "last_call": 0, "weak": 1, "judge": 2, "no": 3, "closed": 4}


def window_of(tables: Tables, plan: str, group: str | None) -> str:
    """The plan's window at this stage group: early, open, weak, last_call, judge, closed or unknown."""
    if group is None:
        return "unknown"
    window = tables.windows.get((plan, group))
    return window.window if window else "closed"


def closes_in(tables: Tables, plan: str, code: str, group: str) -> int | None:
    """Days from the stage ``code`` until the plan's window gets worse; None before tassel.

    Uses the default days after silking of the stage table.
    """
    now = days_after_silk(code, tables.agronomy)
    rank = _RANK.get(window_of(tables, plan, group))
    if rank is None:
        return None
    for later in GROUPS[GROUPS.index(group) + 1 :]:
        if _RANK.get(window_of(tables, plan, later), 0) > rank:
            return max(0, round(days_after_silk(_first_of(later, tables), tables.agronomy) - now))
    return None


def _first_of(group: str, tables: Tables) -> str:
    return next(row.code for row in tables.agronomy.rows if row.group == group)


def spray_by(on: date, days: int | None, lead_days: int) -> date:
    """The last day on which a spray is still useful, less what the applicator needs; never before ``on``."""
    return on + timedelta(days=max(0, (days or 0) - lead_days))


def rescout_on(on: date, days: int, closes: int | None, lead_days: int) -> date:
    """The day to look again: in ``days``, but before the window closes with the applicator's days in hand."""
    if closes is not None and closes > 0:
        days = min(days, max(1, closes - lead_days - 1))
    return on + timedelta(days=max(1, days))
