"""Counts of plants are samples: how sure a count makes a threshold.

The estimate decides once it rests on enough stops; the Wilson interval only advises.
Thresholds are rules of thumb and disease clusters, so nobody is sent back for a hundred
plants.  Percent is 0 to 100.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from statistics import NormalDist

from rules.agronomy.errors import ImpossibleValue, check_range
from rules.agronomy.tables import Agronomy


class Passed(StrEnum):
    """How a count stands against a threshold."""

    CLEARLY = "clearly_passed"
    CLEARLY_NOT = "clearly_not"
    NEAR = "near"
    STATED = "stated"  # a percentage without a count, taken as it was given


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A share of plants (percent) against a threshold.

    ``passed`` is the estimate's own word; ``enough_stops`` is None when nobody said how
    many stops it rests on; ``more_plants`` would settle a near case, None when no
    reasonable number would.
    """

    percent: float
    low: float
    high: float
    verdict: Passed
    passed: bool
    enough_stops: bool | None = None
    more_plants: int | None = None


def incidence(affected: int, checked: int) -> float:
    """Percent of plants affected.

    Raises:
        ImpossibleValue: no plants checked, or more affected than checked.
    """
    if checked < 1:
        raise ImpossibleValue("plants_checked", checked, "at least 1 plant")
    check_range("plants_affected", affected, 0, checked, "plants")
    return 100 * affected / checked


def wilson(affected: float, checked: float, confidence: float) -> tuple[float, float]:
    """Wilson score interval of a share, as percent (Wilson 1927, J. Am. Stat. Assoc. 22:209).

    Raises:
        ImpossibleValue: counts that cannot be, or a confidence that is not between 0 and 1.
    """
    check_range("plants_affected", affected, 0, checked, "plants")
    if not 0 < confidence < 1 or checked <= 0:
        raise ImpossibleValue("confidence", confidence, "between 0 and 1, with at least one plant")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share, spread = affected / checked, z * z / checked
    centre = (share + spread / 2) / (1 + spread)
    half = z * sqrt(share * (1 - share) / checked + spread / (4 * checked)) / (1 + spread)
    return 100 * max(0.0, centre - half), 100 * min(1.0, centre + half)


def judge(
    affected: int, checked: int, threshold: float, tables: Agronomy, stops: int | None = None
) -> Judged:
    """A count of plants against a threshold in percent of plants."""
    rule = tables.sampling.count
    percent = incidence(affected, checked)
    check_range("threshold", threshold, 0, 100, "%")
    low, high = wilson(affected, checked, rule.confidence)
    verdict = _verdict(low, high, threshold)
    return Judged(
        percent=percent,
        low=low,
        high=high,
        verdict=verdict,
        passed=percent >= threshold,
        enough_stops=None if stops is None else stops >= rule.stops,
        more_plants=_more(percent, checked, threshold, tables) if verdict is Passed.NEAR else None,
    )


def judge_percent(percent: float, threshold: float) -> Judged:
    """A percentage without a count: taken as stated."""
    check_range("incidence", percent, 0, 100, "%")
    check_range("threshold", threshold, 0, 100, "%")
    return Judged(
        percent=percent, low=percent, high=percent, verdict=Passed.STATED, passed=percent >= threshold
    )


def _verdict(low: float, high: float, threshold: float) -> Passed:
    if low >= threshold:
        return Passed.CLEARLY
    return Passed.CLEARLY_NOT if high < threshold else Passed.NEAR


def _more(percent: float, checked: int, threshold: float, tables: Agronomy) -> int | None:
    """Fewest more plants that would settle it if the share stayed as it is."""
    rule = tables.sampling.count
    for more in range(1, rule.most_more_plants + 1):
        plants = checked + more
        low, high = wilson(plants * percent / 100, plants, rule.confidence)
        if _verdict(low, high, threshold) is not Passed.NEAR:
            return more
    return None
