"""How many to order at a time: the lot whose yearly cost of ordering, holding and buying is least.

Economic order quantity (Harris 1913) with planned backorders and with all-units price breaks as textbooks
have them (Snyder & Shen, Fundamentals of Supply Chain Theory, chapter 3). A holding cost is money a piece
and year: the yearly rate times what a piece costs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Lot:
    """A quantity to order at a time, and what that costs a year."""

    quantity: float
    cost_a_year: float


@dataclass(frozen=True)
class LotWithBackorders(Lot):
    """`short_share` of the demand waits, and never more than `most_waiting` pieces at once."""

    short_share: float
    most_waiting: float


def eoq(demand_a_year: float, order_cost: float, holding: float) -> Lot:
    """The economic order quantity; its cost is of ordering and holding, not of the pieces."""
    _above_zero(demand_a_year=demand_a_year, order_cost=order_cost, holding=holding)
    return Lot(sqrt(2 * demand_a_year * order_cost / holding), sqrt(2 * demand_a_year * order_cost * holding))


def eoq_with_backorders(
    demand_a_year: float, order_cost: float, holding: float, waiting: float
) -> LotWithBackorders:
    """The same where a piece that a customer waits for costs `waiting` a year."""
    _above_zero(waiting=waiting)
    plain = eoq(demand_a_year, order_cost, holding)
    stretch = sqrt((holding + waiting) / waiting)
    short = holding / (holding + waiting)
    quantity = plain.quantity * stretch
    return LotWithBackorders(quantity, plain.cost_a_year / stretch, short, quantity * short)


def eoq_with_breaks(
    demand_a_year: float, order_cost: float, holding_rate: float, breaks: Sequence[tuple[float, float]]
) -> Lot:
    """The best lot where from each quantity on all pieces have its price: (from, price), the first from 0.

    `holding_rate` is a year's, of the price. The cost includes the pieces.
    """
    _above_zero(holding_rate=holding_rate)
    best = None
    for number, (start, price) in enumerate(breaks):
        end = breaks[number + 1][0] if number + 1 < len(breaks) else float("inf")
        quantity = max(eoq(demand_a_year, order_cost, holding_rate * price).quantity, start)
        cost = yearly_cost(demand_a_year, order_cost, holding_rate, price, quantity)
        if quantity < end and (best is None or cost < best.cost_a_year):
            best = Lot(quantity, cost)
    if best is None:
        raise PlanningError("Price breaks: at least one price, the first from quantity 0.")
    return best


def yearly_cost(
    demand_a_year: float, order_cost: float, holding_rate: float, price: float, quantity: float
) -> float:
    """Buying, ordering and holding for a year in lots of `quantity`."""
    return demand_a_year * price + order_cost * demand_a_year / quantity + holding_rate * price * quantity / 2


def whole_lots(
    a_year: Floats, order_cents: Floats, holding_rate: Floats, starts: Whole, cents: Floats, limits: Limits
) -> Whole:
    """The best lot of each part in whole packs: `starts` and `cents` are its price breaks, (parts, breaks).

    A break that a part has not is NaN cents. A break that asks for more than `limits.most` is not taken.
    """
    import numpy as np

    best = np.full(a_year.shape, np.inf)
    lot = limits.low.copy()
    for number in range(starts.shape[1]):
        price = cents[:, number]
        low = _up(np.maximum(starts[:, number], limits.low), limits.pack)
        with np.errstate(divide="ignore", invalid="ignore"):
            free = np.sqrt(2 * a_year * order_cents / (holding_rate * price))
        # Nothing to order with, or nothing to hold: the least lot, or the most.
        free = np.where(np.isnan(free), 0.0, free)
        most = np.maximum(limits.most, low)
        wanted = np.clip(free, low, most)
        reachable = ~np.isnan(price) & ((low <= limits.most) | (number == 0))
        for lots in (np.maximum(wanted // limits.pack * limits.pack, low), _up(wanted, limits.pack)):
            cost = yearly_costs(a_year, order_cents, holding_rate, price, lots)
            better = reachable & (cost < best - 1e-9)
            best[better] = cost[better]
            lot[better] = lots[better].astype(np.int64)
    return lot


@dataclass(frozen=True)
class Limits:
    """Of each part: whole packs, `low` the least that can be ordered, `most` what one wants at most."""

    pack: Whole
    low: Whole
    most: Floats

    @classmethod
    def of(cls, pack: Whole, least: Whole, most: Floats) -> Limits:
        import numpy as np

        low = _up(np.maximum(least, pack), pack).astype(np.int64)
        return cls(pack, low, np.maximum(most, low))

    def rows(self, chosen: Whole) -> Limits:
        return Limits(self.pack[chosen], self.low[chosen], self.most[chosen])


def yearly_costs(a_year: Floats, order: Floats, rate: Floats, price: Floats, lots: Floats | Whole) -> Floats:
    """`yearly_cost` of many parts."""
    costs: Floats = a_year * price + order * a_year / lots + rate * price * lots / 2
    return costs


def unit_cents(lot: Whole, starts: Whole, cents: Floats) -> Floats:
    """What a piece costs in lots of this size."""
    import numpy as np

    price = cents[:, 0].copy()
    for number in range(1, starts.shape[1]):
        reached = (lot >= starts[:, number]) & ~np.isnan(cents[:, number])
        price[reached] = cents[reached, number]
    return price


def _up(quantity: Floats | Whole, pack: Whole) -> Floats:
    import numpy as np

    packs: Floats = np.ceil(quantity / pack) * pack
    return packs


def _above_zero(**figures: float) -> None:
    for name, figure in figures.items():
        if not figure > 0:
            raise PlanningError(f"{name.replace('_', ' ')}: a number above 0, not {figure}.")
