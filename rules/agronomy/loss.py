"""What leaf loss, disease and early death take, and what is still to be made.

Percent of normal yield unless a unit is given.  Published relations keep their scope: most
come from sweet corn, inoculated plots, or one epidemic, and are never shown as a point.
"""

from __future__ import annotations

from dataclasses import dataclass

from rules.agronomy.days import adjuster_leaf, leaf_number, order
from rules.agronomy.errors import OutsideTable, check_range
from rules.agronomy.lines import between
from rules.agronomy.shapes_loss import LeafLossRow, Part
from rules.agronomy.tables import Agronomy


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """A loss as a band, with its unit and the scope in which it was measured.

    ``beyond`` says in what way the question goes past what was measured.
    """

    low: float
    high: float
    unit: str
    scope: str
    sources: tuple[str, ...]
    default: float | None = None
    beyond: str = ""


# --------------------------------------------------------------------------- leaf-loss chart


def chart_row(stage: str, tables: Agronomy) -> str | None:
    """The chart's row for a growth stage; None before the first row.

    Leaf stages go by the adjusters' count.  Between two rows the nearest earlier stage
    holds, which can only overstate the loss once tassel is out.
    """
    number, rows = leaf_number(stage), tables.leaf_loss
    if number is not None and adjuster_leaf(number, tables) < tables.stages.adjuster.first_row:
        return None
    place = order(stage, tables)
    reached = [r for r in rows if r.stage is not None and order(r.stage, tables) <= place]
    return reached[-1].row if reached else None


def leaf_loss(row: str, destroyed: float, tables: Agronomy) -> float | None:
    """Percent of yield lost when ``destroyed`` percent of the leaf area dies at a chart row.

    A straight line between columns; None below the first column, where the chart is silent.
    Position on the plant is unknown to it: it is no ceiling.

    Raises:
        OutsideTable: no such row.
        ImpossibleValue: a percentage outside 0 to 100.
    """
    check_range("leaf area destroyed", destroyed, 0, 100, "%")
    cells = _row(row, tables).cells
    if destroyed < cells[0][0]:
        return None
    return between(cells, destroyed)


def _row(name: str, tables: Agronomy) -> LeafLossRow:
    for row in tables.leaf_loss:
        if row.row == name:
            return row
    raise OutsideTable("row", name, ", ".join(row.row for row in tables.leaf_loss))


def with_kernel_damage(damage: float, chart_loss: float) -> float:
    """Direct kernel damage and leaf loss together, percent: damage + (100 - damage) x chart loss."""
    check_range("kernel damage", damage, 0, 100, "%")
    check_range("chart loss", chart_loss, 0, 100, "%")
    return damage + (100 - damage) * chart_loss / 100


def yield_after_removal(stage: str, part: Part, removed: float, tables: Agronomy) -> float | None:
    """Yield left (percent of check) when part of the canopy was removed in a trial; None if not tried."""
    for item in tables.loss.position:
        if item.used and (item.stage, item.part, item.removed) == (stage, part, removed):
            return item.yield_left
    return None


# --------------------------------------------------------------------------- still to be made


def to_be_made(stage: str, tables: Agronomy, milk_line: float | None = None) -> float | None:
    """Percent of yield still to be made: the most that can be saved.  None before dent (no figure).

    With a milk line (0 to 1 from the crown) a straight line between the quarters.
    """
    made = tables.loss.to_be_made
    if milk_line is not None:
        return _at_milk_line(milk_line, tables)
    reached = [item for item in made if order(item.stage, tables) <= order(stage, tables)]
    return reached[-1].percent if reached else None


def _at_milk_line(milk_line: float, tables: Agronomy) -> float:
    check_range("milk_line", milk_line, 0, 1)
    lines = {m.stage: m.milk_line for m in tables.stages.milestone if m.milk_line is not None}
    points = [(lines[item.stage], item.percent) for item in tables.loss.to_be_made if item.stage in lines]
    return between(points, milk_line)


# --------------------------------------------------------------------------- early death


def early_death(days_early: int, tables: Agronomy) -> float:
    """Percent of yield lost when a plant dies so many days before black layer (Iowa rule of thumb)."""
    check_range("days_early", days_early, 0, tables.stages.milestone[-1].after, "days")
    rule = tables.loss.early_death
    first = min(days_early, rule.first_days)
    return first * rule.first_percent_per_day + (days_early - first) * rule.later_percent_per_day


def kill_loss(stage: str, tables: Agronomy, leaves_only: bool = False) -> float:
    """Percent of yield lost when the plant, or its leaves alone, are killed at a stage.

    Raises:
        OutsideTable: a stage for which no figure was published.
    """
    for item in tables.loss.kill_loss:
        if item.used and item.stage == stage:
            return item.leaves_only if leaves_only else item.whole_plant
    raise OutsideTable("stage", stage, ", ".join(i.stage for i in tables.loss.kill_loss if i.used))
