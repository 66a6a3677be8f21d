"""One purchase for one season: as many as make the last piece worth buying, the newsvendor's quantity.

`over` is what a piece left over costs, `under` what a piece missing does. The quantity is the smallest S with
P(demand <= S) >= under / (under + over) (Snyder & Shen, Fundamentals of Supply Chain Theory, chapter 4).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.planning.lead_demand import demand_in
from inventory.planning.ordering import PlanningError

from .normal import loss_of_normal
from .service import losses

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Purchase:
    """How many to have, and the expected cost of what is left over or missing then."""

    quantity: float
    cost: float


def newsvendor(pmf: Floats, over: float, under: float) -> Purchase:
    """`pmf[n]` is the chance that n pieces are asked for."""
    import numpy as np

    enough = np.cumsum(pmf) >= ratio(over, under) - 1e-12
    quantity = int(np.argmax(enough)) if enough.any() else len(pmf) - 1
    missing = float(losses(pmf[None])[0, quantity])
    left = quantity - float(pmf @ np.arange(len(pmf))) + missing
    return Purchase(quantity, over * left + under * missing)


def newsvendor_poisson(mean: float, over: float, under: float) -> Purchase:
    """The same for Poisson demand."""
    return newsvendor(demand_in(mean, mean, 1, 1), over, under)


def newsvendor_normal(mean: float, sd: float, over: float, under: float) -> Purchase:
    """The same for normal demand; the quantity is no whole number."""
    from scipy import stats

    quantity = float(stats.norm.ppf(ratio(over, under), mean, sd))
    missing = loss_of_normal(quantity, mean, sd)
    return Purchase(quantity, over * (quantity - mean + missing) + under * missing)


def ratio(over: float, under: float) -> float:
    """The share of seasons in which it should suffice."""
    if not (over > 0 and under > 0):
        raise PlanningError(
            f"What is left over and what is missing both cost something, not {over} and {under}."
        )
    return under / (under + over)
