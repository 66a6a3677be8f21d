"""What waiting costs, by rules that can be checked by hand; the days against a walk from day to day."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.planning.ordering import HORIZON_DAYS, PlanningError
from inventory.planning.targets import yearly_cost
from inventory.planning.waiting_cost import (
    Lot,
    Shares,
    best_saving,
    lying,
    missed,
    out_on,
    saving,
    waited_for,
)

TODAY = date(2026, 11, 30)
BY = Shares(missed=Fraction(1, 5), waiting=Fraction(1, 100), holding=Fraction(1, 5))

rates = st.fractions(0, 5, max_denominator=60)
money = st.decimals(0, 500, places=2)
changes = st.lists(st.tuples(st.integers(-20, 400), st.integers(-30, 60)), max_size=6)


def day(number: int) -> date:
    return TODAY + timedelta(days=number)


@given(changes, rates)
def test_the_day_a_part_is_out_is_the_first_bad_one_of_a_walk_through_the_year(
    given_changes: list[tuple[int, int]], rate: Fraction
) -> None:
    out = None
    for number in range(HORIZON_DAYS + 1):
        left = sum(pieces for when, pieces in given_changes if max(when, 0) <= number) - rate * number
        if left < 0:
            out = day(number)
            break
    assert out_on([(day(when), pieces) for when, pieces in given_changes], rate, TODAY) == out


def test_a_part_is_out_when_less_than_nothing_is_left() -> None:
    assert out_on([(TODAY, 4)], Fraction(1, 2), TODAY) == day(9)
    assert out_on([(TODAY, 4), (day(8), 10)], Fraction(1, 2), TODAY) == day(29)
    assert out_on([(TODAY, 4)], Fraction(0), TODAY) is None
    with pytest.raises(PlanningError):
        out_on([], Fraction(-1), TODAY)


def test_waiting_costs_what_is_missed_and_only_if_more_comes_too_late() -> None:
    rate, carried = Fraction(1, 2), Decimal("90.00")
    assert missed(rate, carried, day(5), day(9), BY) == Decimal("9.00")
    assert missed(rate, carried, day(5), None, BY) == Decimal("9.00")
    assert missed(rate, carried, day(5), day(5), BY) == Decimal("9.00")
    assert missed(rate, carried, day(5), day(4), BY) == 0
    assert missed(rate, carried, None, day(4), BY) == 0


def test_orders_wait_for_a_share_of_their_worth_and_what_lies_is_held() -> None:
    assert waited_for([Decimal("1200.00"), Decimal("34.50")], BY) == Decimal("12.35")
    assert waited_for([], BY) == 0
    assert lying(Decimal("3650"), BY) == Decimal("2.00")


def test_a_share_below_zero_is_none() -> None:
    with pytest.raises(PlanningError):
        Shares(missed=Fraction(-1))


@given(rates, money, st.integers(0, 90), st.integers(0, 90))
def test_more_demand_and_dearer_pieces_never_make_waiting_cheaper(
    rate: Fraction, carried: Decimal, out: int, again: int
) -> None:
    cost = missed(rate, carried, day(out), day(again), BY)
    assert cost >= 0 and cost == cost.quantize(Decimal("0.01"))
    assert missed(rate + 1, carried, day(out), day(again), BY) >= cost
    assert missed(rate, carried + 1, day(out), day(again), BY) >= cost
    assert missed(rate, carried, day(out), day(again + 1), BY) >= cost


@given(
    st.fractions(Fraction(1, 10), 5, max_denominator=50),
    st.integers(1, 60),
    st.integers(1, 200),
    st.decimals("0.10", 80, places=2),
    st.decimals("0.10", 80, places=2),
    st.decimals(0, 40, places=2),
)
def test_what_is_saved_is_the_difference_of_the_yearly_costs_of_the_lots(
    rate: Fraction, usual: int, more: int, price: Decimal, less: Decimal, order_cost: Decimal
) -> None:
    assume(usual + more <= rate * HORIZON_DAYS)
    a_year, holding = float(rate * 365), 0.2
    dear = yearly_cost(a_year, float(order_cost), holding, float(price), usual)
    cheap = yearly_cost(a_year, float(order_cost), holding, float(less), usual + more)
    found = saving(rate, Lot(usual, price), Lot(usual + more, less), order_cost, BY)
    expected = (dear - cheap) * float((usual + more) / rate) / 365
    assert float(found.money if found else 0) == pytest.approx(max(0, expected), abs=0.0051)
    assert found is None or found.days == (usual + more) / rate


def test_a_lot_that_lasts_beyond_a_year_saves_nothing() -> None:
    usual = Lot(10, Decimal("8.00"))
    assert saving(Fraction(1, 10), usual, Lot(37, Decimal("1.00")), Decimal(0), BY) is None
    assert saving(Fraction(1, 10), usual, Lot(36, Decimal("1.00")), Decimal(0), BY) is not None
    assert saving(Fraction(0), usual, Lot(11, Decimal("1.00")), Decimal(0), BY) is None


def test_of_several_breaks_the_one_that_saves_most_a_day_is_taken() -> None:
    breaks = [Lot(5, Decimal("7.90")), Lot(20, Decimal("7.00")), Lot(200, Decimal("6.90"))]
    found = best_saving(Fraction(1), Lot(10, Decimal("8.00")), breaks, Decimal(0), BY)
    assert found is not None and found[0] == breaks[1]
    # 20 pieces last 20 days: a euro less for each, and 30.00 more in stock at a fifth a year.
    assert found[1].money == Decimal("19.67") and found[1].a_day == Decimal("0.98")
    assert best_saving(Fraction(1), Lot(10, Decimal("8.00")), breaks[:1], Decimal(0), BY) is None


@pytest.mark.parametrize("larger", [0, 10])
def test_a_larger_lot_is_larger(larger: int) -> None:
    with pytest.raises(PlanningError):
        saving(Fraction(1), Lot(10, Decimal(8)), Lot(larger, Decimal(7)), Decimal(0), BY)
