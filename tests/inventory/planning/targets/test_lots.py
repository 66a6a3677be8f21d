"""Lots in whole packs with price breaks, against trying every one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.lead_times import LeadColumns
from inventory.planning.targets import (
    eoq,
    eoq_with_backorders,
    eoq_with_breaks,
    many_targets,
    part_columns,
    yearly_cost,
)

BREAKS = st.lists(
    st.tuples(st.integers(2, 60), st.integers(100, 1999)), max_size=2, unique_by=lambda two: two[0]
)


@given(
    st.integers(1, 80),
    st.integers(1, 5000),
    st.sampled_from([0.1, 0.25, 1.0]),
    BREAKS,
    st.integers(1, 12),
    st.integers(1, 30),
    st.sampled_from([90, 365, 730]),
)
def test_no_other_lot_in_whole_packs_costs_less(
    a_year: int, order: int, rate: float, breaks: list[tuple[int, int]], pack: int, least: int, most_days: int
) -> None:
    # Prices fall as quantities rise, as suppliers have it.
    prices = sorted((cents for _, cents in breaks), reverse=True)
    ladder = [(0, 2000), *zip(sorted(start for start, _ in breaks), prices, strict=True)]
    found = many_targets(
        part_columns(
            mean=np.array([float(a_year)]), variance=a_year, period_days=365,
            leads=LeadColumns.fixed(np.array([20.0])), fill_rate=0.9,
            starts=np.array([[start for start, _ in ladder]]),
            cents=np.array([[float(c) for _, c in ladder]]),
            order_cents=order, holding_rate=rate, pack=pack, least=least, most_lot_days=most_days,
        )
    )  # fmt: skip

    def cost(lot: int) -> float:
        price = next(cents for start, cents in reversed(ladder) if lot >= start)
        return yearly_cost(a_year, order, rate, price, lot)

    low = -(-max(least, pack) // pack) * pack
    most = max(low, int(a_year / 365 * most_days + 1e-9))
    lots = [lot for lot in range(low, most + 1) if lot % pack == 0]
    chosen = int(found.order_quantity[0])
    # The horizon is kept but for the one rounding up to a pack.
    assert chosen % pack == 0
    assert low <= chosen < most + pack
    assert cost(chosen) <= min(map(cost, lots)) + 1e-6
    assert found.unit_cents[0] == next(cents for start, cents in reversed(ladder) if chosen >= start)


@given(st.floats(1, 1e4), st.floats(0.1, 500), st.floats(0.01, 50))
def test_the_economic_lot_is_the_cheapest(a_year: float, order: float, holding: float) -> None:
    best = eoq(a_year, order, holding)
    for factor in (0.5, 0.99, 1.0, 1.01, 2.0):
        lot = best.quantity * factor
        assert best.cost_a_year <= order * a_year / lot + holding * lot / 2 + 1e-6


@given(st.floats(1, 1e4), st.floats(0.1, 500), st.floats(0.01, 50), st.floats(0.01, 50))
def test_waiting_customers_make_the_lot_larger_and_cheaper(
    a_year: float, order: float, holding: float, waiting: float
) -> None:
    plain, late = eoq(a_year, order, holding), eoq_with_backorders(a_year, order, holding, waiting)
    assert late.quantity > plain.quantity
    assert late.cost_a_year < plain.cost_a_year
    short, lot = late.most_waiting, late.quantity
    cost = order * a_year / lot + holding * (lot - short) ** 2 / (2 * lot) + waiting * short**2 / (2 * lot)
    assert late.cost_a_year == pytest.approx(cost)


def test_figures_that_nothing_costs() -> None:
    with pytest.raises(PlanningError, match="holding"):
        eoq(10, 5, 0)
    with pytest.raises(PlanningError, match="waiting"):
        eoq_with_backorders(10, 5, 1, 0)
    with pytest.raises(PlanningError, match="at least one price"):
        eoq_with_breaks(10, 5, 0.2, [])
