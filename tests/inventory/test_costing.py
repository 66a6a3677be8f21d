"""The arithmetic of costs: exact to the last step, whatever comes and goes. No database."""

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.costing import STEP, at_average, leaving, rounded, share_out, still_here

amounts = st.integers(0, 10**10).map(lambda steps: Decimal(steps).scaleb(-4))
pieces = st.integers(1, 10_000)
weights = st.lists(st.integers(0, 1000), min_size=1, max_size=8)
# What comes in (pieces, cost) or goes out (a share of what is there, in thousandths).
events = st.lists(st.one_of(st.tuples(pieces, amounts), st.integers(0, 1000)), max_size=40)


@given(amounts, pieces, st.data())
def test_what_leaves_is_the_average_to_half_a_step(value: Decimal, on_hand: int, data: st.DataObject) -> None:
    quantity = data.draw(st.integers(0, on_hand))
    gone = leaving(value, on_hand, quantity)
    exact = Fraction(value) * quantity / on_hand
    assert abs(Fraction(gone) - exact) <= Fraction(STEP) / 2
    assert 0 <= gone <= value


@given(events)
def test_whatever_came_and_went_is_there_to_the_last_step(sequence: list[tuple[int, Decimal] | int]) -> None:
    on_hand, value, came, went = 0, Decimal(0), Decimal(0), Decimal(0)
    for event in sequence:
        if isinstance(event, tuple):
            on_hand, value, came = on_hand + event[0], value + event[1], came + event[1]
        else:
            quantity = on_hand * event // 1000
            gone = leaving(value, on_hand, quantity) if quantity else Decimal(0)
            on_hand, value, went = on_hand - quantity, value - gone, went + gone
        assert value >= 0
        assert came - went == value
        assert on_hand or value == 0
    if on_hand:
        assert leaving(value, on_hand, on_hand) == value


@given(amounts, pieces)
def test_pieces_that_leave_one_by_one_leave_nothing_behind(value: Decimal, on_hand: int) -> None:
    left, here = value, min(on_hand, 200)
    for there in range(here, 0, -1):
        left -= leaving(left, there, 1)
    assert left == 0


@given(amounts, weights)
def test_shares_add_up_and_none_is_off_by_a_step(amount: Decimal, among: list[int]) -> None:
    shares = share_out(amount, among)
    total = sum(among) or len(among)
    fair = [Fraction(amount) * (weight if any(among) else 1) / total for weight in among]
    assert sum(shares) == amount
    assert all(abs(Fraction(share) - part) < Fraction(STEP) for share, part in zip(shares, fair, strict=True))


@given(amounts, weights)
def test_the_largest_remainders_get_what_is_over(amount: Decimal, among: list[int]) -> None:
    """By brute force: no step can be moved from one to another and bring the worst share nearer."""
    total = sum(among) or len(among)
    fair = [Fraction(amount) * (weight if any(among) else 1) / total for weight in among]
    off = [Fraction(share) - part for share, part in zip(share_out(amount, among), fair, strict=True)]
    assert max(off) - min(off) <= Fraction(STEP)


@given(amounts, pieces, pieces)
def test_a_late_charge_is_borne_by_the_pieces_that_can_be_here(
    share: Decimal, came: int, on_hand: int
) -> None:
    absorbed = still_here(share, came, on_hand)
    assert 0 <= absorbed <= share
    assert absorbed == share or on_hand < came


def test_nobody_is_charged_for_what_is_not_there() -> None:
    assert still_here(Decimal("9.00"), 3, 0) == 0
    assert share_out(Decimal(0), [2, 1]) == [0, 0]


def test_equal_weights_and_none_share_alike_the_first_first() -> None:
    assert share_out(Decimal("0.0003"), [0, 0]) == [Decimal("0.0002"), Decimal("0.0001")]
    assert share_out(Decimal("10.00"), [Decimal("1.5"), Fraction(1, 3)]) == [
        Decimal("8.1818"),
        Decimal("1.8182"),
    ]


@pytest.mark.parametrize("among", [[], [-1, 2]])
def test_shares_need_somebody_and_no_weight_below_nothing(among: list[int]) -> None:
    with pytest.raises(ValueError, match="share"):
        share_out(Decimal(1), among)


def test_an_amount_below_nothing_or_between_two_steps_is_refused() -> None:
    with pytest.raises(ValueError, match="below 0"):
        share_out(Decimal(-1), [1])
    with pytest.raises(ValueError, match="round it first"):
        share_out(Decimal("0.00005"), [1])
    assert rounded(Decimal("0.00015")) == Decimal("0.0002")


@pytest.mark.parametrize(("on_hand", "quantity"), [(1, 2), (0, 1), (3, -1)])
def test_more_than_is_there_cannot_leave(on_hand: int, quantity: int) -> None:
    with pytest.raises(ValueError, match="cannot leave"):
        leaving(Decimal(1), on_hand, quantity)


def test_of_nothing_there_is_no_average() -> None:
    with pytest.raises(ValueError, match="No average"):
        at_average(Decimal(1), 0, 1)


def test_the_arithmetic_loads_no_framework() -> None:
    look = "import sys, inventory.costing; print([m for m in ('django', 'psycopg') if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", look], capture_output=True, check=True, text=True)
    assert said.stdout.strip() == "[]"
