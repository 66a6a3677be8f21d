"""What a replay comes to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .rules import PERIOD_DAYS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .replay import Replay
    from .rules import Rules
    from .table import Sales

    Figures = NDArray[np.float64]

YEAR_DAYS = 365


@dataclass(frozen=True)
class Outcome:
    """One policy over all counted periods, in which a part is on sale and its replay has settled.

    wanted: the service that its levels were set for. fill_rate: the share of pieces handed over at once;
    parts_fill_rate: the mean of the parts' own, of those that were asked for.
    cycle_service: the share of months of a part without a piece short; stock_outs: the months with one.
    stock: mean pieces on the shelves of all parts, halfway through a period; stock_cents: what they cost.
    cost_cents: of holding and ordering, in all counted periods.
    """

    policy: str
    wanted: float
    asked: int
    served: int
    parts_fill_rate: float
    cycle_service: float
    stock_outs: int
    stock: float
    stock_cents: int
    orders: int
    cost_cents: int

    @property
    def fill_rate(self) -> float:
        return self.served / self.asked if self.asked else 1.0


def outcome(name: str, wanted: float, sales: Sales, cents: Figures, rules: Rules, done: Replay) -> Outcome:
    """Add up a replay."""
    import numpy as np

    counted = sales.counted(rules).T
    asked, served = np.where(counted, done.asked, 0), np.where(counted, done.served, 0)
    by_part = asked.sum(axis=0)
    some = by_part > 0
    short = asked > served
    months = max(1, int(counted.any(axis=1).sum()))
    stock = np.where(counted, (done.on_shelf + done.on_hand) / 2, 0.0).sum(axis=0) / months
    orders = int((counted & (done.ordered > 0)).sum())
    years = months * PERIOD_DAYS / YEAR_DAYS
    value = float(stock @ cents)
    return Outcome(
        policy=name,
        wanted=wanted,
        asked=int(by_part.sum()),
        served=int(served.sum()),
        parts_fill_rate=float((served.sum(axis=0)[some] / by_part[some]).mean()) if some.any() else 1.0,
        cycle_service=1 - float(short.sum()) / max(1, int(counted.sum())),
        stock_outs=int(short.sum()),
        stock=float(stock.sum()),
        stock_cents=round(value),
        orders=orders,
        cost_cents=round(value * rules.holding_rate * years + orders * rules.order_cents),
    )
