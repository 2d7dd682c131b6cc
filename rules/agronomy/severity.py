"""Published relations between disease severity and yield, each with its scope.

None of them is a forecast: bands, with what they were measured on.
"""

from __future__ import annotations

from rules.agronomy.errors import OutsideTable, check_range
from rules.agronomy.loss import Loss
from rules.agronomy.shapes_loss import SeverityBand, SeverityRelation, SeveritySlope
from rules.agronomy.tables import Agronomy


def relations(disorder: str, tables: Agronomy) -> tuple[str, ...]:
    """Names of the relations published for a disorder; none for southern rust, and none may be made up."""
    book = tables.loss
    every: tuple[SeverityRelation, ...] = (*book.severity_band, *book.severity_slope, book.progress_line)
    return tuple(item.relation for item in every if item.disorder == disorder)


def severity_loss(relation: str, severity: float, tables: Agronomy) -> Loss:
    """The loss that a relation gives for a severity in percent.

    Raises:
        OutsideTable: no such relation.
        ImpossibleValue: a severity outside 0 to 100.
    """
    check_range("severity", severity, 0, 100, "%")
    for band in tables.loss.severity_band:
        if band.relation == relation:
            return _from_band(band, severity)
    for slope in tables.loss.severity_slope:
        if slope.relation == relation:
            return _from_slope(slope, severity)
    every: tuple[SeverityRelation, ...] = (*tables.loss.severity_band, *tables.loss.severity_slope)
    raise OutsideTable("relation", relation, ", ".join(item.relation for item in every))


def _from_band(band: SeverityBand, severity: float) -> Loss:
    """The rows that hold the severity; where two meet, or between two, both count."""
    below = [row for row in band.rows if row[0] <= severity]
    above = [row for row in band.rows if row[1] >= severity]
    rows = [row for row in below if row in above] or [below[-1], above[0]]
    return Loss(
        low=min(row[2] for row in rows),
        high=max(row[3] for row in rows),
        unit="%",
        scope=band.scope,
        sources=band.source,
    )


def _from_slope(slope: SeveritySlope, severity: float) -> Loss:
    beyond = f"measured up to {slope.x_max:g} % only" if severity > slope.x_max else ""
    return Loss(
        low=slope.slope_shown[0] * severity,
        high=slope.slope_shown[1] * severity,
        default=None if slope.slope is None else slope.slope * severity,
        unit=slope.unit,
        scope=slope.scope,
        sources=slope.source,
        beyond=beyond,
    )


def blight_yield(progress: float, tables: Agronomy) -> tuple[float, str]:
    """Yield (percent of healthy) at an area under the blight's progress curve, and how far it is beyond.

    Perkins & Pedersen 1987, Plant Disease 71:940; hindsight only, for it needs a season of ratings.
    """
    check_range("progress", progress, 0, float("inf"))
    line = tables.loss.progress_line
    left = line.intercept + line.slope * progress
    worst = 100 - line.loss_seen[1]
    beyond = (
        f"the trials saw losses of {line.loss_seen[0]:g} to {line.loss_seen[1]:g} % only"
        if left < worst
        else ""
    )
    return left, beyond


def rust_severity(leaves_with_pustule: float, tables: Agronomy, root_form: bool = False) -> float:
    """Common rust severity (percent of leaf area) from percent of leaves with a pustule.

    Pataky & Headrick 1988, Phytopathology 78:1155: two sweet corn hybrids, Illinois.
    ``root_form`` takes the published form in the square root.  Severity is never below 0.
    """
    check_range("leaves_with_pustule", leaves_with_pustule, 0, 100, "%")
    rule = tables.loss.rust_incidence
    terms = rule.root_coefficients if root_form else rule.coefficients
    value = sum(term * leaves_with_pustule**power for power, term in enumerate(terms))
    return max(0.0, value) ** (2 if root_form else 1)
