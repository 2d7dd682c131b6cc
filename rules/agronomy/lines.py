"""A straight line between the points of a published table."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence


def between(points: Sequence[tuple[float, float]], x: float) -> float:
    """The value at ``x`` on straight lines through ``points`` (two or more, x rising).

    Outside the points the nearest line is carried on; callers refuse such an ``x`` first.
    """
    place = bisect_left([px for px, _ in points], x)
    place = min(max(place, 1), len(points) - 1)
    (x0, y0), (x1, y1) = points[place - 1], points[place]
    return y0 + (x - x0) / (x1 - x0) * (y1 - y0)
