"""Order quantities and dates, against plain loops that count."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError, daily_rate, lasts_until, order_by, order_quantity

TODAY = date(2026, 3, 9)

positions = st.integers(-50, 200)
packs = st.integers(1, 30)
rates = st.fractions(0, 20, max_denominator=400)


@given(positions, st.integers(0, 200), packs, packs)
def test_an_order_is_the_smallest_that_reaches_the_target_in_whole_packs(
    position: int, up_to: int, pack: int, least: int
) -> None:
    quantity = order_quantity(position, up_to, pack, least)
    counted = 0
    if position < up_to:
        while counted < least or position + counted < up_to:
            counted += pack
    assert quantity == counted


@given(st.lists(st.integers(0, 1000), min_size=1, max_size=60), st.integers(1, 9))
def test_the_rate_scales_with_demand_and_does_not_care_for_its_order(monthly: list[int], times: int) -> None:
    rate = daily_rate(monthly)
    assert daily_rate([times * quantity for quantity in monthly]) == times * rate
    assert daily_rate(sorted(monthly)) == rate
    assert daily_rate(monthly + monthly) == rate


def test_the_rate_of_a_year_is_what_was_sold_by_365_days() -> None:
    assert daily_rate([0, 3, 0, 1] * 3) == Fraction(12, 365)
    assert daily_rate([]) == 0


@given(positions, rates)
def test_stock_lasts_as_many_days_as_one_can_take_from_it(position: int, rate: Fraction) -> None:
    left, days = Fraction(position), 0
    while left - rate >= 0 and days <= 365 and position > 0:
        left, days = left - rate, days + 1
    expected = None if days > 365 else TODAY + timedelta(days=days)
    assert lasts_until(position, rate, TODAY) == expected


@given(positions, rates, st.integers(0, 400))
def test_ordering_on_the_last_day_is_in_time_and_never_before_today(
    position: int, rate: Fraction, lead_days: int
) -> None:
    day = order_by(position, rate, lead_days, TODAY)
    end = lasts_until(position, rate, TODAY) or TODAY + timedelta(days=365)
    assert day >= TODAY
    assert day == TODAY or day + timedelta(days=lead_days) == end


@given(positions, rates, st.integers(0, 400), st.integers(0, 50))
def test_more_stock_is_never_more_urgent(position: int, rate: Fraction, lead_days: int, more: int) -> None:
    assert order_by(position + more, rate, lead_days, TODAY) >= order_by(position, rate, lead_days, TODAY)


def test_the_figures_of_an_example() -> None:
    """4 pieces at 6 a month last 20 days (6 x 12 / 365 = 0.197 a day); 21 days of delivery are too many."""
    rate = daily_rate([6] * 12)
    assert lasts_until(4, rate, TODAY) == date(2026, 3, 29)
    assert order_by(4, rate, 21, TODAY) == TODAY
    assert order_by(4, rate, 7, TODAY) == date(2026, 3, 22)
    assert order_quantity(4, 18, pack=5, least=10) == 15


@pytest.mark.parametrize(
    ("call", "arguments"),
    [
        (order_quantity, (1, 5, 0, 1)),
        (order_quantity, (1, 5, 1, 0)),
        (order_quantity, (1, 5, -2, 1)),
        (order_quantity, (-9, -5, 1, 1)),
        (daily_rate, ([3, -1],)),
        (lasts_until, (3, Fraction(-1), TODAY)),
        (order_by, (3, Fraction(-1), 5, TODAY)),
        (order_by, (3, Fraction(1), -5, TODAY)),
    ],
)
def test_nonsense_is_refused(call: object, arguments: tuple[object, ...]) -> None:
    assert callable(call)
    with pytest.raises(PlanningError):
        call(*arguments)
