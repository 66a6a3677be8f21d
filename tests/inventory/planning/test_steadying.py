"""A part's spread leans on what is usual, the more the less often it sold; means move with all together."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.forecasting import Forecasts, forecast_many
from inventory.planning.steadying import LIKE, STEP, drift, steadied, usual

rows = st.lists(st.sampled_from([0, 0, 0, 1, 2, 9]), min_size=30, max_size=30)


def forecasts(values: list[list[int]]) -> Forecasts:
    return forecast_many(values, methods=["ses"])


def usual_by_hand(own: Forecasts) -> list[float]:
    """Part by part, each other part by its distance; to the same steps of size."""
    sizes = [math.log(row[row > 0].mean()) if (row > 0).any() else None for row in own.values]
    periods = [int((row > 0).sum()) for row in own.values]
    known = sum(size * n for size, n in zip(sizes, periods, strict=True) if size is not None)
    steps = [round((known / max(1, sum(periods)) if one is None else one) / STEP) for one in sizes]
    found = []
    for here in steps:
        near = [math.exp(-(((there - here) * STEP / LIKE) ** 2) / 2) for there in steps]
        pace = sum(weight * mean for weight, mean in zip(near, own.mean, strict=True))
        spread = sum(weight * variance for weight, variance in zip(near, own.variance, strict=True))
        found.append(spread / pace if pace else 1.0)
    return found


@given(st.lists(rows, min_size=1, max_size=6))
def test_what_is_usual_is_that_of_parts_that_go_in_like_numbers(values: list[list[int]]) -> None:
    own = forecasts(values)
    assert usual(own) == pytest.approx(usual_by_hand(own))


def test_all_in_dozens_are_as_lumpy_for_each_dozen() -> None:
    """The same sales told in another unit: a multiple of three moves all sizes by whole steps."""
    own = forecasts([[0, 0, 3, 0, 1, 0], [2, 2, 2, 0, 2, 1], [0, 9, 0, 0, 0, 7]])
    many = replace(own, values=9 * own.values, mean=9 * own.mean, variance=81 * own.variance)
    assert usual(many) == pytest.approx(9 * usual(own))


@pytest.mark.parametrize("lump", [10**3, 10**5, 10**8])
def test_one_part_that_goes_by_the_crate_moves_none_that_goes_by_ones(lump: int) -> None:
    chance = np.random.default_rng(7)
    calm = chance.poisson(0.7, (12, 24)).tolist()
    alone = usual(forecasts(calm))
    beside = usual(forecasts([*calm, [0] * 9 + [lump] + [0] * 14]))
    assert beside[:-1] == pytest.approx(alone, rel=0.01)
    assert beside[-1] > lump / 24


@given(st.lists(rows, min_size=1, max_size=5), st.integers(0, 50))
def test_all_means_move_by_one_share_and_each_spread_lies_between_its_own_and_the_usual(
    values: list[list[int]], leans: int
) -> None:
    own = forecasts(values)
    found, moved = steadied(own, leans=leans), drift(own)
    assert (found.method == own.method).all()
    assert found.mean == pytest.approx(moved * own.mean)
    if not own.mean.any():
        assert not found.variance.any()
        return
    other = usual(own) * own.mean
    low, high = moved * np.minimum(own.variance, other), moved * np.maximum(own.variance, other)
    assert (low - 1e-9 <= found.variance).all() and (found.variance <= high + 1e-9).all()


def test_a_part_alone_keeps_its_own() -> None:
    own = forecasts([[0, 3, 0, 0, 1, 0, 7]])
    assert steadied(own).dispersion == pytest.approx(own.dispersion)


def test_the_share_that_a_part_keeps_grows_with_its_sales() -> None:
    own = forecasts([[0, 0, 0, 9] * 2, [1, 1, 1, 1] * 2])
    other, moved = usual(own) * own.mean, drift(own)
    found = steadied(own, leans=6)
    kept = [2 / 8 * own.variance[0] + 6 / 8 * other[0], 8 / 14 * own.variance[1] + 6 / 14 * other[1]]
    assert found.variance == pytest.approx(moved * np.array(kept))
    assert steadied(own, leans=0).variance == pytest.approx(moved * own.variance)


def falling(parts: int, a_month: float, seed: int = 3) -> Forecasts:
    """Sales of many parts that fall by 2 in 100 each month, together."""
    chance = np.random.default_rng(seed)
    return forecasts(chance.poisson(a_month * 0.98 ** np.arange(48), (parts, 48)).tolist())


def test_trade_that_falls_off_is_followed_by_all_parts_together() -> None:
    own = falling(400, 3.0)
    coming = 400 * 3.0 * 0.98**48
    assert own.mean.sum() > 1.15 * coming
    assert steadied(own).mean.sum() == pytest.approx(coming, rel=0.05)


def test_trade_that_stays_is_left_alone() -> None:
    chance = np.random.default_rng(4)
    assert drift(forecasts(chance.poisson(2.0, (400, 48)).tolist())) == pytest.approx(1, abs=0.02)


def test_a_few_sales_tell_little_of_the_trade() -> None:
    """10 pieces expected in 12 months of variance 4: 1 / (1 + 48) of what was seen is believed."""
    own = replace(
        forecasts([[1] * 12]),
        mean=np.array([10 / 12]), variance=np.array([4.0]), expected=np.array([10.0]), came=np.array([20.0]),
    )  # fmt: skip
    assert drift(own) == pytest.approx(1 + 1 / 49)


def test_what_was_borrowed_does_not_drift() -> None:
    """A part without a past has the mean of its slot, whatever became of the others."""
    old = falling(400, 3.0).values
    new = np.full((1, 48), np.nan)
    own = forecast_many(np.vstack([old, new]), methods=["ses"], prior_mean=np.array([np.nan] * 400 + [1.5]))
    assert steadied(own).mean[-1] == 1.5
    assert (steadied(own).mean[:-1] < own.mean[:-1]).all()


def test_what_was_expected_is_counted_where_the_method_spoke() -> None:
    """Two origins; the part that came on sale in the last month was known at neither."""
    nan = float("nan")
    own = forecast_many([[4.0, 4.0, 4.0, 1.0], [nan, nan, nan, 7.0]], methods=["ses"], origins=2)
    assert own.expected.tolist() == [8.0, 0.0]
    assert own.came.tolist() == [5.0, 0.0]


def test_a_weight_below_nothing_is_refused() -> None:
    with pytest.raises(PlanningError, match="The periods that the usual part weighs"):
        steadied(forecasts([[1, 2]]), leans=-1)
