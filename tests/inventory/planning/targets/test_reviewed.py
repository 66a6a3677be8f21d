"""Service with reviews, against the chain of positions summed by hand and against a shop replayed by days."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from inventory.planning.lead_demand import demand_in
from inventory.planning.targets import Reviewed

from .replaying import replay, standing_positions

Floats = NDArray[np.float64]

MEANS = st.floats(0.02, 3)
MORE = st.floats(0, 3)
DAYS = st.integers(1, 9)


def shelf(mean: float, more: float, lead: int, review: int, pack: int, lot: int) -> Reviewed:
    before, through, window = (
        demand_in(mean, mean * (1 + more), 1, days) for days in (lead, lead + review, review)
    )
    width = len(through)
    return Reviewed(
        np.pad(before, (0, max(0, width - len(before))))[None, :width],
        through[None],
        np.pad(window, (0, lot))[None],
        np.array([pack]),
    )


def fill_by_hand(
    mean: float, more: float, lead: int, review: int, pack: int, lot: int, reorder_at: int
) -> float:
    """What comes to wait between one delivery and the next, over every position and every demand."""
    before, through, window = (
        demand_in(mean, mean * (1 + more), 1, days) for days in (lead, lead + review, review)
    )
    waits = sum(
        share * (pmf @ np.maximum(np.arange(len(pmf)) - (reorder_at + 1 + above), 0)) * sign
        for above, share in enumerate(standing_positions(window, lot, pack))
        for pmf, sign in ((through, 1), (before, -1))
    )
    return float(1 - waits / (mean * review))


@settings(max_examples=60)
@given(MEANS, MORE, DAYS, DAYS, st.integers(1, 5), st.integers(1, 4), st.integers(0, 12))
def test_fill_rates_are_the_sums_over_positions_and_demands(
    mean: float, more: float, lead: int, review: int, pack: int, packs: int, reorder_at: int
) -> None:
    case = (mean, more, lead, review, pack, pack * packs)
    told = shelf(*case).standing(np.array([reorder_at]), np.array([pack * packs])).fill_rate[0]
    assert told == pytest.approx(min(1, max(0, fill_by_hand(*case, reorder_at))), abs=1e-5)


@given(MEANS, MORE, DAYS, DAYS, st.integers(1, 12), st.floats(0.3, 0.99))
def test_no_smaller_reorder_point_reaches_the_wanted_fill_rate(
    mean: float, more: float, lead: int, review: int, lot: int, wanted: float
) -> None:
    one, lots = shelf(mean, more, lead, review, 1, lot), np.array([lot])
    found = one.reorder_for_fill(lots, np.array([wanted]))
    assert one.standing(found, lots).fill_rate[0] >= wanted - 1e-7
    assert found[0] == 0 or one.standing(found - 1, lots).fill_rate[0] < wanted + 1e-7


@pytest.mark.parametrize(
    ("mean", "variance", "lead", "review", "reorder_at", "lot", "pack"),
    [
        (0.05, 0.05, 21, 1, 2, 4, 1),
        (0.05, 0.15, 21, 7, 3, 6, 1),
        (0.3, 1.2, 14, 7, 9, 10, 5),
        (0.3, 1.2, 14, 7, 9, 20, 5),
        (2.0, 5.0, 10, 5, 33, 40, 40),
        (2.0, 2.0, 3, 30, 70, 1, 1),
        (0.02, 0.08, 60, 30, 3, 2, 1),
    ],
)
def test_a_shop_replayed_day_by_day_serves_as_much(
    mean: float, variance: float, lead: int, review: int, reorder_at: int, lot: int, pack: int
) -> None:
    """400,000 days; within a point of the fill rate, and 3 % of the stock."""
    rng = np.random.default_rng(7)
    share = min(1.0, mean / variance)
    days = 400_000
    demand = (
        rng.poisson(mean, days)
        if share == 1
        else rng.negative_binomial(mean * share / (1 - share), share, days)
    )
    seen = replay(demand, [lead], review, (reorder_at, reorder_at + lot - pack + 1, pack, 1))
    told = shelf(mean, max(0.0, variance / mean - 1), lead, review, pack, lot).standing(
        np.array([reorder_at]), np.array([lot])
    )
    assert told.fill_rate[0] == pytest.approx(seen.fill_rate, abs=0.01)
    # The mean on hand is taken at the two ends of a review: a little too much where it is long.
    assert told.on_hand[0] == pytest.approx(seen.on_hand, rel=0.03, abs=0.02)


def test_the_fall_below_the_reorder_point_before_a_review_counts() -> None:
    """Reviewed each month instead of each day, the same levels serve clearly less."""
    daily, monthly = (shelf(1, 1, 10, review, 1, 10) for review in (1, 30))
    levels = np.array([14]), np.array([10])
    assert daily.standing(*levels).fill_rate[0] > 0.9
    assert monthly.standing(*levels).fill_rate[0] < 0.75
