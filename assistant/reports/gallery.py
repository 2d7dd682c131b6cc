"""The pictures by name."""

from __future__ import annotations

from assistant.reports.axis import series_of
from assistant.reports.drawing import Picture
from assistant.reports.picture_evidence import hybrids, laboratory
from assistant.reports.picture_progress import progress
from assistant.reports.picture_season import decisions, first_finds
from assistant.reports.picture_strips import strips
from assistant.reports.season import FieldSeason, Season


def picture(season: Season, name: str) -> Picture:
    """The picture of that name; progress is that of the season's first field."""
    series = series_of(season)
    if name == "progress":
        field = season.fields[0] if season.fields else FieldSeason(name=None, visits=())
        return progress(field, season, series)
    if name in ("strips", "decisions", "laboratory"):
        return {"strips": strips, "decisions": decisions, "laboratory": laboratory}[name](season)
    return {"first_finds": first_finds, "hybrids": hybrids}[name](season, series)
