"""How the shop of a replay buys and what that costs."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, inf

from inventory.planning.figures import whole
from inventory.planning.ordering import DAYS_PER_YEAR, PlanningError

# A period is a month wherever days or years matter: in what holding costs, and in what targets are told.
PERIOD_DAYS = DAYS_PER_YEAR / 12
MOST_PERIODS = 60


@dataclass(frozen=True)
class Rules:
    """The same for all policies and all parts.

    At the start of a period, one in `review`, the stock is looked at and what lacks is ordered. An order
    takes n whole periods with the chance `lead[n]`, and is on the shelf at the start of a period, before
    anybody asks: 0 is there at once. So an order has to last for lead time and review.

    refresh: from one forecast to the next, the review if it is 0. A part joins at the first refresh that has
    `warm_up` of its periods behind it, and `least_sales` periods in which it was asked for.
    wanted: the fill rate. waits: what is short is waited for; else the sale is lost. order_cents: what an
    order costs; holding_rate: a year on the shelf, of the price. seed: for lead times that are drawn.
    """

    lead: tuple[float, ...]
    review: int = 1
    refresh: int = 0
    warm_up: int = 24
    least_sales: int = 1
    wanted: float = 0.95
    waits: bool = True
    order_cents: float = 0.0
    holding_rate: float = 0.2
    seed: int = 0

    def __post_init__(self) -> None:
        if not self.lead or min(self.lead) < 0 or abs(sum(self.lead) - 1) > 1e-9:
            raise PlanningError("The chances of a lead time of 0, 1, 2... periods make one whole.")
        if self.longest > MOST_PERIODS:
            raise PlanningError(f"A lead time of no more than {MOST_PERIODS} periods.")
        whole(self.review, "Periods from one look at the stock to the next", 1)
        if whole(self.refresh, "Periods from one forecast to the next") == 0:
            object.__setattr__(self, "refresh", self.review)
        whole(self.warm_up, "Periods to learn from before the replay begins", 1)
        whole(self.least_sales, "Periods in which a part was asked for before its replay begins")
        if self.refresh % self.review:
            raise PlanningError("Forecasts are refreshed at reviews: their periods are a multiple of these.")
        if not 0 < self.wanted < 1:
            raise PlanningError(f"A wanted fill rate lies between 0 and 1: 0.95, not {self.wanted}.")
        if not (0 <= self.order_cents < inf and 0 <= self.holding_rate < inf):
            raise PlanningError("Ordering and holding cost nothing or more.")

    @property
    def longest(self) -> int:
        """The periods of the longest lead time."""
        return len(self.lead) - 1

    @property
    def lead_mean(self) -> float:
        return sum(n * chance for n, chance in enumerate(self.lead))

    @property
    def lead_variance(self) -> float:
        return sum((n - self.lead_mean) ** 2 * chance for n, chance in enumerate(self.lead))

    @property
    def covered(self) -> float:
        """The mean periods that an order has to last for: lead time and review."""
        return self.lead_mean + self.review


def lead_chances(lead: float) -> tuple[float, ...]:
    """The chances of 0, 1, 2... whole periods, of a lead time that may lie between two of them.

    1.75 periods is 1 with a chance of a quarter, else 2: each order's is drawn, the same for all policies.
    """
    if not 0 <= lead <= MOST_PERIODS:
        raise PlanningError(f"A lead time of 0 to {MOST_PERIODS} periods, not {lead}.")
    below = floor(lead)
    part = lead - below
    return (0.0,) * below + ((1.0 - part, part) if part else (1.0,))
