"""The target of one part, with its reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from inventory.planning.figures import whole
from inventory.planning.lead_demand import demand_in, demand_over
from inventory.planning.lead_times import LeadColumns, LeadTime
from inventory.planning.ordering import PlanningError

from .columns import MOST_LOT_DAYS, NO_LIMIT, PartColumns, part_columns
from .many import many_targets
from .saying import Why, why

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Demand:
    """The demand of one period. A `history` of whole periods speaks in place of mean and variance."""

    mean: float
    variance: float
    period_days: float
    history: tuple[int, ...] | None = None

    @classmethod
    def seen(cls, history: Sequence[int], period_days: float) -> Demand:
        """As past periods had it, all of them and the empty ones too."""
        if not history:
            raise PlanningError("A history has at least one period, the empty ones too.")
        mean = sum(history) / len(history)
        variance = sum((value - mean) ** 2 for value in history) / len(history)
        return cls(mean, variance, period_days, tuple(history))


@dataclass(frozen=True)
class Terms:
    """What buying and keeping costs. `breaks` are further prices, each (from so many pieces, price of each).

    `holding_rate` is what a year on the shelf costs, of the price; an order is for no more than
    `most_lot_days` of demand unless the supplier's pack or least order is.
    """

    price: Decimal
    order_cost: Decimal = Decimal(0)
    holding_rate: Decimal = Decimal("0.2")
    pack: int = 1
    least: int = 1
    breaks: tuple[tuple[int, Decimal], ...] = ()
    most_lot_days: int = MOST_LOT_DAYS


@dataclass(frozen=True)
class LastBuy:
    """For a part that will not be had again, or is replaced: the days for which it is still asked for.

    What a piece left over costs in the end, and what one missing does; None for a wanted service instead.
    """

    days: float
    left_over: Decimal | None = None
    missing: Decimal | None = None


@dataclass(frozen=True)
class PartTarget:
    """Order when the position (free and to come) is at `reorder_at` or below, up to `up_to`, in whole packs.

    `order_quantity` is what that comes to at the reorder point. `fill_rate` is the share of pieces served
    from the shelf at once, `cycle_service` the chance that the reorder point lasts over lead time and
    review. `money` is what is tied up on the shelf on average; of a last buy, what it costs.
    `up_to` is 0 for a part that is not to be bought.
    """

    reorder_at: int
    up_to: int
    order_quantity: int
    fill_rate: float
    cycle_service: float
    money: Decimal
    why: Why


def target(
    demand: Demand,
    lead: LeadTime,
    terms: Terms,
    *,
    fill_rate: float | None = None,
    cycle_service: float | None = None,
    review_days: float = 1,
    shelf_limit: int | None = None,
    ends: LastBuy | None = None,
    supplier: str = "the supplier",
) -> PartTarget:
    """The least reorder point that gives the wanted fill rate, or cycle service, with the cheapest lot.

    The same as `many_targets` for this part alone. Raises PlanningError for figures that nothing can have.
    """
    columns = _columns(demand, lead, terms, fill_rate, cycle_service, review_days, shelf_limit, ends)
    drawn = None if demand.history is None else Drawn(demand, lead, review_days, ends)
    found = many_targets(columns, demands=drawn)
    month = demand_in(demand.mean, demand.variance, demand.period_days, 365 / 12, history=demand.history)
    reasons = why(columns, found, month, lead, supplier)
    return PartTarget(
        reorder_at=int(found.reorder_at[0]),
        up_to=int(found.up_to[0]),
        order_quantity=int(found.order_quantity[0]),
        fill_rate=float(found.fill_rate[0]),
        cycle_service=float(found.cycle_service[0]),
        money=Decimal(int(found.money_cents[0])).scaleb(-2),
        why=reasons,
    )


def _columns(
    demand: Demand, lead: LeadTime, terms: Terms, fill_rate: float | None, cycle_service: float | None,
    review_days: float, shelf_limit: int | None, ends: LastBuy | None,
) -> PartColumns:  # fmt: skip
    import numpy as np

    nan = float("nan")
    prices = sorted([(0, terms.price), *terms.breaks])
    if len({start for start, _ in prices}) < len(prices):
        raise PlanningError("Price breaks start at different quantities, above 0.")
    return part_columns(
        mean=np.array([demand.mean]), variance=demand.variance, period_days=demand.period_days,
        leads=LeadColumns.of([lead]), review_days=review_days,
        fill_rate=nan if fill_rate is None else fill_rate,
        cycle_service=nan if cycle_service is None else cycle_service,
        starts=np.array([[start for start, _ in prices]]),
        cents=np.array([[_cents(price) for _, price in prices]]),
        order_cents=_cents(terms.order_cost), holding_rate=float(terms.holding_rate),
        pack=whole(terms.pack, "A pack", 1), least=whole(terms.least, "A least order", 1),
        shelf_limit=NO_LIMIT if shelf_limit is None else whole(shelf_limit, "The most that fits"),
        most_lot_days=terms.most_lot_days, life_days=nan if ends is None else ends.days,
        over_cents=nan if ends is None or ends.left_over is None else _cents(ends.left_over),
        under_cents=nan if ends is None or ends.missing is None else _cents(ends.missing),
    )  # fmt: skip


def _cents(money: Decimal) -> float:
    if not isinstance(money, Decimal) or not money.is_finite() or money < 0:
        raise PlanningError(f"Money is a decimal number of at least 0, not {money!r}.")
    return float(money * 100)


class Drawn:
    """The demand of one part as its history has it, in place of means and variances."""

    def __init__(self, demand: Demand, lead: LeadTime, review_days: float, ends: LastBuy | None) -> None:
        self.demand, self.lead, self.review_days, self.ends = demand, lead, review_days, ends

    def _over(self, lead: LeadTime, more_days: float) -> Floats:
        one = self.demand
        return demand_over(one.mean, one.variance, one.period_days, lead, more_days, history=one.history)

    def _in(self, days: float) -> Floats:
        one = self.demand
        return demand_in(one.mean, one.variance, one.period_days, days, history=one.history)

    def a_day(self) -> Floats:
        import numpy as np

        return np.array([self.demand.mean / self.demand.period_days])

    def reach(self) -> Whole:
        import numpy as np

        longest = self._over(self.lead, self.review_days) if self.ends is None else self._in(self.ends.days)
        return np.array([len(longest) - 1])

    def rows(self, chosen: Whole) -> Drawn:  # noqa: ARG002  There is one part alone.
        return self

    def before(self, width: int) -> Floats:
        return _wide(self._over(self.lead, 0), width)

    def through(self, width: int) -> Floats:
        return _wide(self._over(self.lead, self.review_days), width)

    def window(self, width: int) -> Floats:
        return _wide(self._in(self.review_days), width)

    def life(self, width: int) -> Floats:
        return _wide(self._in(0 if self.ends is None else self.ends.days), width)


def _wide(pmf: Floats, width: int) -> Floats:
    import numpy as np

    return np.pad(pmf[:width], (0, max(0, width - len(pmf))))[None]
