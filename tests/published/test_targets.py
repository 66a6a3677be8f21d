"""Lots, newsvendors, reorder points and services against textbooks and a general-purpose library.

Every case of section 5 of the checks (its identifier stands beside it), random figures against stockpyl
1.0.2, and textbook examples whose data are from memory where it says so.
"""

import warnings
from math import sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inventory.planning.lead_demand import demand_in
from inventory.planning.targets import (
    eoq,
    eoq_with_backorders,
    eoq_with_breaks,
    expected_short,
    fill_rate_of,
    lead_demand_sd,
    loss_of_normal,
    newsvendor,
    newsvendor_normal,
    newsvendor_poisson,
    normal_cycle_service,
    normal_fill_rate,
    normal_reorder_for_cost,
    positions,
    reorder_for_cost,
    safety_stock,
)

with warnings.catch_warnings():
    # The library's own strings have escapes that newer Pythons warn of, as they are first compiled.
    warnings.simplefilter("ignore")
    from stockpyl import eoq as their_eoq
    from stockpyl import newsvendor as their_newsvendor
    from stockpyl import rq, ss

FEW = settings(max_examples=25, deadline=None)
figures = st.floats(0.5, 500)


def near(value: float) -> Any:
    """Within 0.01 %, as the checks have it."""
    return pytest.approx(value, rel=1e-4)


def test_economic_order_quantity() -> None:
    """K05-V01: Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., Example 3.1."""
    lot = eoq(1300, 8, 0.225)
    assert (lot.quantity, lot.cost_a_year) == near_both(304.0468, 68.4105)


def test_economic_order_quantity_with_backorders() -> None:
    """K05-V02: Snyder & Shen, Example 3.8."""
    lot = eoq_with_backorders(1300, 8, 0.225, 5)
    assert (lot.quantity, lot.cost_a_year) == near_both(310.8126, 66.9214)
    assert (lot.short_share, lot.most_waiting) == near_both(0.043062, 13.3843)


def test_all_units_discount() -> None:
    """K05-V03: Snyder & Shen, Example 3.5."""
    lot = eoq_with_breaks(1300, 8, 0.3, [(0, 0.75), (400, 0.72), (800, 0.68)])
    assert (lot.quantity, lot.cost_a_year) == near_both(800.0, 978.6)


def test_newsvendor_with_normal_demand() -> None:
    """K05-V04: Snyder & Shen, Example 4.3."""
    best = newsvendor_normal(50, 8, 0.18, 0.7)
    assert (best.quantity, best.cost) == near_both(56.6040, 1.99761)


def test_newsvendor_with_poisson_demand() -> None:
    """K05-V05: the data of Snyder & Shen, Example 4.1."""
    best = newsvendor_poisson(50, 0.18, 0.7)
    assert best.quantity == 56
    assert best.cost == near(1.797235)


LEAD_MEAN, LEAD_SD = 1300 / 12, 150 / sqrt(12)


def test_the_best_reorder_point_for_a_lot() -> None:
    """K05-V06: the data of Snyder & Shen, Example 5.2."""
    assert normal_reorder_for_cost(300, LEAD_MEAN, LEAD_SD, 0.225, 7.5) == near(129.4273)


def test_an_economic_lot_with_safety_stock() -> None:
    """K05-V07: Snyder & Shen, Example 5.5."""
    assert eoq(1300, 8, 0.225).quantity == near(304.0468)
    assert LEAD_MEAN + safety_stock(7.5 / (7.5 + 0.225), LEAD_SD) == near(190.3370)


def test_cycle_service_and_fill_rate_of_a_given_policy() -> None:
    """K05-V08: Chopra & Meindl, Supply Chain Management, safety inventory (recalled: 0.92, 25, 0.9975)."""
    mean, sd = 2 * 2500, lead_demand_sd(2, 500, 0, 2500)
    assert sd == near(707.107)
    assert 6000 - mean == 1000
    assert normal_cycle_service(6000, mean, sd) == near(0.92135)
    assert loss_of_normal(6000, mean, sd) == near(25.127)
    assert normal_fill_rate(6000, 10000, mean, sd) == near(0.997487)


def test_safety_stock_with_a_varying_lead_time() -> None:
    """K05-V09: Chopra & Meindl (recalled: 17,550 and 22,491)."""
    sd = lead_demand_sd(7, 500, 7, 2500)
    assert sd == near(17549.93)
    assert safety_stock(0.9, sd) == near(22491.1)


def test_base_stock_of_repair_parts() -> None:
    """Hopp & Spearman, Factory Physics, the chapter on inventory control: 14 a year, 45 days, lots of 4.

    Data from memory; the sums of a Poisson distribution of mean 1.726 are by hand.
    """
    pmf = demand_in(14, 14, 365, 45)
    assert [round(expected_short(pmf, stock), 3) for stock in (0, 1, 2, 6)] == [1.726, 0.904, 0.389, 0.003]
    assert fill_rate_of(pmf, 2, 4) == pytest.approx(1 - (0.389 - 0.003) / 4, abs=0.0005)


def test_a_case_of_reorder_point_and_lot_under_poisson_demand() -> None:
    """Snyder & Shen, Example 5.8 (seen in the library's docstring): r = 3 for lots of 5."""
    assert reorder_for_cost(demand_in(1.5, 1.5, 1, 2), 5, 20, 150) == 3


@FEW
@given(figures, figures, figures, figures)
def test_lots_agree_with_the_library(a_year: float, order: float, holding: float, waiting: float) -> None:
    ours, late = eoq(a_year, order, holding), eoq_with_backorders(a_year, order, holding, waiting)
    assert (ours.quantity, ours.cost_a_year) == near_both(
        *their_eoq.economic_order_quantity(order, holding, a_year)
    )
    quantity, share, cost = their_eoq.economic_order_quantity_with_backorders(order, holding, waiting, a_year)
    assert (late.quantity, late.cost_a_year) == near_both(quantity, cost)
    assert late.short_share == near(share)


@FEW
@given(figures, figures, st.floats(0.05, 0.9), st.lists(st.integers(1, 300), min_size=1, max_size=3))
def test_price_breaks_agree_with_the_library(
    a_year: float, order: float, rate: float, steps: list[int]
) -> None:
    starts = np.cumsum([0, *steps]).tolist()
    prices = [10 * 0.93**number for number in range(len(starts))]
    ours = eoq_with_breaks(a_year, order, rate, list(zip(starts, prices, strict=True)))
    _, _, cost = their_eoq.economic_order_quantity_with_all_units_discounts(
        order, rate, a_year, starts, prices
    )
    assert ours.cost_a_year == near(cost)


@FEW
@given(st.floats(1, 80), st.floats(0.05, 0.4), st.floats(0.1, 9), st.floats(0.1, 9))
def test_newsvendors_agree_with_the_library(mean: float, spread: float, over: float, under: float) -> None:
    normal, counted = (
        newsvendor_normal(mean, mean * spread, over, under),
        newsvendor_poisson(mean, over, under),
    )
    assert (normal.quantity, normal.cost) == near_both(
        *their_newsvendor.newsvendor_normal(over, under, mean, mean * spread)
    )
    assert (counted.quantity, counted.cost) == near_both(
        *their_newsvendor.newsvendor_poisson(over, under, mean)
    )


@FEW
@given(st.lists(st.integers(0, 9), min_size=2, max_size=9).filter(any), st.integers(1, 9), st.integers(1, 9))
def test_newsvendors_of_any_distribution_agree_with_the_library(
    weights: list[int], over: int, under: int
) -> None:
    pmf = np.array(weights) / sum(weights)
    # Where the chance of enough meets the ratio exactly, the last digit of a float decides.
    assume(np.abs(np.cumsum(pmf) - under / (over + under)).min() > 1e-9)
    best = newsvendor(pmf, over, under)
    theirs = their_newsvendor.newsvendor_discrete(over, under, demand_pmf=dict(enumerate(pmf.tolist())))
    assert (best.quantity, best.cost) == near_both(*theirs)


@FEW
@given(st.floats(5, 300), st.floats(0.1, 0.6), st.integers(2, 400), st.floats(0.5, 5), st.floats(1, 60))
def test_normal_reorder_points_agree_with_the_library(
    mean: float, spread: float, lot: int, holding: float, waiting: float
) -> None:
    ours = normal_reorder_for_cost(lot, mean, mean * spread, holding, waiting)
    theirs = rq.r_q_optimal_r_for_q(lot, holding, waiting, mean, mean * spread, 1)
    cost = rq.r_q_cost(ours, lot, holding, waiting, 1, mean, mean * spread, 1)
    assert cost == near(rq.r_q_cost(theirs, lot, holding, waiting, 1, mean, mean * spread, 1))
    assert ours == pytest.approx(theirs, abs=1e-3 * mean)


@FEW
@given(st.floats(0.5, 8), st.integers(1, 3), st.integers(1, 30), st.integers(2, 60), st.integers(1, 200))
def test_reorder_points_under_poisson_demand_agree_with_the_library(
    rate: float, lead: int, holding: int, waiting: int, order: int
) -> None:
    _, lot, cost = rq.r_q_poisson_exact(holding, waiting, order, rate, lead)
    ours = reorder_for_cost(demand_in(rate, rate, 1, lead), int(lot), holding, waiting)
    assert rq.r_q_cost_poisson(ours, lot, holding, waiting, order, rate, lead) == near(cost)


@FEW
@given(st.floats(0.3, 8), st.integers(-2, 9), st.integers(1, 15), st.integers(1, 9), st.integers(1, 30))
def test_positions_under_review_agree_with_the_library(
    rate: float, reorder_at: int, lot: int, holding: int, waiting: int
) -> None:
    """The cost of reorder point and order-up-to level after Zheng & Federgruen (1991), period by period."""
    window = demand_in(rate, rate, 1, 1)
    shares = positions(np.pad(window, (0, lot))[None], np.array([lot]), np.array([1]))[0]
    chances = list(enumerate(window.tolist()))
    kept = sum(
        share * chance * (holding * max(0, y - asked) + waiting * max(0, asked - y))
        for y, share in enumerate(shares.tolist(), reorder_at + 1)
        for asked, chance in chances
    )
    orders = (1 - window[0]) * shares[-1]  # the highest position is left once in a cycle
    theirs = ss.s_s_cost_discrete(reorder_at, reorder_at + lot, holding, waiting, 7, True, rate)
    assert kept + 7 * orders == near(theirs)


def near_both(first: float, second: float) -> Any:
    return pytest.approx((first, second), rel=1e-4)
