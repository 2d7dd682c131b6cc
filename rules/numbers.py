"""The figures that an answer shows, each with its range, unit and source."""

from __future__ import annotations

from collections.abc import Sequence

from rules.agronomy.money import break_even
from rules.model import Earlier, Fact, Number, StageReading
from rules.situation import number
from rules.tables import Tables


def numbers(
    tables: Tables, facts: Sequence[Fact], stage: StageReading, earlier: Sequence[Earlier]
) -> tuple[Number, ...]:
    """Days to black layer and, when price and cost were told, the break-even response."""
    made: list[Number] = []
    if stage.days_to_r6:
        low, high = stage.days_to_r6
        made.append(
            Number(name="days_to_r6", value=None, low=low, high=high, unit="days", sources=stage.sources)
        )
    made += [
        Number(name=p.name, value=p.value, low=p.low, high=p.high, unit=p.unit, sources=p.source)
        for p in tables.practice
        if stage.code in p.stages
    ]
    said = [f for note in earlier for f in note.facts] + list(facts)
    price, cost = number(said, "corn_price_usd_bu"), _cost(said)
    if price and cost:
        made.append(
            Number(
                name="break_even_bu_ac",
                value=round(break_even(cost, price), 1),
                low=None,
                high=None,
                unit="bu/ac",
                sources=("ntf19",),
            )
        )
    return tuple(made)


def _cost(facts: Sequence[Fact]) -> float | None:
    """Cost of a spray, USD/ac: the total if told, else product and application together."""
    total = number(facts, "total_cost_usd_ac")
    if total is not None:
        return total
    parts = [number(facts, a) for a in ("product_cost_usd_ac", "application_cost_usd_ac")]
    told = [p for p in parts if p is not None]
    return sum(told) if len(told) == len(parts) else None
