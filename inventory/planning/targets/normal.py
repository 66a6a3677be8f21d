"""The normal approximation, for comparison and for parts that go in large numbers.

It holds where the demand until the delivery is at least 10 pieces and its standard deviation at most half of
that (the rule of thumb of Silver, Pyke & Thomas, Inventory and Production Management in Supply Chains; from
memory). Elsewhere it counts on demand below zero and on a thin tail, and keeps too little of lumpy parts.
"""

from __future__ import annotations

from math import sqrt

from inventory.planning.ordering import PlanningError


def normal_holds(mean: float, sd: float) -> bool:
    """Whether demand of this mean and spread may be taken for normal."""
    return mean >= 10 and sd <= mean / 2


def lead_demand_sd(lead_mean: float, demand_sd: float, lead_sd: float, demand_mean: float) -> float:
    """The spread of the demand over a lead time that varies, in its unit of time."""
    return sqrt(lead_mean * demand_sd**2 + demand_mean**2 * lead_sd**2)


def safety_stock(cycle_service: float, sd: float) -> float:
    """What is kept above the mean demand until the delivery, for this cycle service."""
    from scipy import stats

    if not 0 < cycle_service < 1:
        raise PlanningError(f"A cycle service lies between 0 and 1, not {cycle_service}.")
    return float(stats.norm.ppf(cycle_service)) * sd


def normal_cycle_service(reorder_at: float, mean: float, sd: float) -> float:
    """The chance that `reorder_at` lasts until the delivery."""
    from scipy import stats

    return float(stats.norm.cdf(reorder_at, mean, sd))


def loss_of_normal(stock: float, mean: float, sd: float) -> float:
    """The expected pieces beyond `stock`."""
    from scipy import stats

    z = (stock - mean) / sd
    return float(sd * (stats.norm.pdf(z) - z * stats.norm.sf(z)))


def normal_fill_rate(reorder_at: float, lot: float, mean: float, sd: float) -> float:
    """The share of pieces served from the shelf.

    Without the pieces that were short already as the lot came, unlike the usual textbook formula: where the
    lot is large against the spread, the two are the same.
    """
    return 1 - (loss_of_normal(reorder_at, mean, sd) - loss_of_normal(reorder_at + lot, mean, sd)) / lot


def normal_reorder_for_fill(lot: float, mean: float, sd: float, wanted: float) -> float:
    """The reorder point with this fill rate."""
    from scipy import optimize

    if not 0 < wanted < 1:
        raise PlanningError(f"A fill rate lies between 0 and 1, not {wanted}.")
    low, high = mean - lot - 10 * sd, mean + 10 * sd
    return float(optimize.brentq(lambda r: normal_fill_rate(r, lot, mean, sd) - wanted, low, high, xtol=1e-9))


def normal_reorder_for_cost(lot: float, mean: float, sd: float, holding: float, waiting: float) -> float:
    """The reorder point of the least cost for a lot: see `reorder_for_cost`."""
    # The mean of the normal distribution function over the lot is 1 less the same difference of losses.
    return normal_reorder_for_fill(lot, mean, sd, waiting / (waiting + holding))
