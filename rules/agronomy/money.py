"""What a spray costs in bushels, and the odds that it comes back.  Context; never a veto.

Money in US dollars an acre and a bushel, yield in bushels an acre.  "Positive" is not
"profitable": keep the two words apart.
"""

from __future__ import annotations

from statistics import NormalDist

from rules.agronomy.errors import ImpossibleValue, OutsideTable, check_range
from rules.agronomy.shapes_loss import Response, TrialClass
from rules.agronomy.tables import Agronomy
from rules.model import Number

#: Kilograms in a bushel of corn, exact by trade definition (56 lb); kg/ha in a bu/ac.
KG_PER_BU = 56 * 0.45359237
KG_HA_PER_BU_AC = KG_PER_BU / 0.40468564224


def break_even(cost: float, price: float, cost_per_bushel: float = 0.0) -> float:
    """Extra bushels an acre that pay for ``cost`` dollars an acre.

    ``cost_per_bushel``: hauling and drying of each extra bushel.

    Raises:
        ImpossibleValue: a cost below 0, or a price that the bushel itself eats up.
    """
    check_range("cost", cost, 0, float("inf"), "$/ac")
    check_range("cost_per_bushel", cost_per_bushel, 0, float("inf"), "$/bu")
    if not price > cost_per_bushel:
        raise ImpossibleValue("price", price, f"above the {cost_per_bushel:g} $/bu that a bushel costs")
    return cost / (price - cost_per_bushel)


def break_even_number(cost: float, price: float, cost_per_bushel: float = 0.0) -> Number:
    """The break-even response as a figure of the answer."""
    value = break_even(cost, price, cost_per_bushel)
    return Number(
        name="break_even_bu_ac", value=round(value, 2), low=None, high=None, unit="bu/ac", sources=("ntf19",)
    )


def net(response: float, price: float, cost: float, cost_per_bushel: float = 0.0) -> float:
    """Dollars an acre left of a response in bushels an acre after its cost."""
    return response * (price - cost_per_bushel) - cost


def net_range(
    response: tuple[float, float], price: float, cost: float, cost_per_bushel: float = 0.0
) -> tuple[float, float]:
    """Dollars an acre left over a range of responses (low, high)."""
    if response[0] > response[1]:
        raise ImpossibleValue("response", response, "a range with the low end first")
    low, high = (net(end, price, cost, cost_per_bushel) for end in response)
    return low, high


def odds_of_covering(needed: float, mean: float, spread: float) -> float:
    """Chance (0 to 1) that a response passes ``needed``: a normal curve over fields.

    ``mean`` and ``spread`` (standard deviation between fields) in the unit of ``needed``.

    Raises:
        ImpossibleValue: a spread that is not above 0.
    """
    if not spread > 0:
        raise ImpossibleValue("spread", spread, "above 0")
    return 1 - NormalDist(mean, spread).cdf(needed)


def coarse(chance: float, tables: Agronomy) -> float:
    """A chance to the nearest step in which it may be told (5 %), never a bare 0 or 1."""
    check_range("chance", chance, 0, 1)
    step = tables.returns.odds.step
    return round(min(max(round(chance / step) * step, step), 1 - step), 2)


def response(active: str, tables: Agronomy) -> Response:
    """Mean responses and spread recorded for an active ingredient or mixture.

    Raises:
        OutsideTable: nothing recorded for it.
    """
    for item in tables.returns.response:
        if item.active == active:
            return item
    raise OutsideTable("active ingredient", active, ", ".join(i.active for i in tables.returns.response))


def trial_class(severity: float, tables: Agronomy) -> TrialClass:
    """Responses of the Illinois trials whose UNTREATED plots reached a severity (percent).

    Today's severity must not be put in here.
    """
    check_range("severity", severity, 0, 100, "%")
    reached = [item for item in tables.returns.trial_class if item.severity[0] <= severity]
    return reached[-1]
