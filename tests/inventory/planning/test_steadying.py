"""A part's spread leans on what is usual, the more the less often it sold; means stay as they are."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.forecasting import Forecasts, forecast_many
from inventory.planning.steadying import steadied

rows = st.lists(st.sampled_from([0, 0, 0, 1, 2, 9]), min_size=30, max_size=30)


def forecasts(values: list[list[int]]) -> Forecasts:
    return forecast_many(values, methods=["ses"])


@given(st.lists(rows, min_size=1, max_size=5), st.integers(0, 50))
def test_each_spread_lies_between_its_own_and_the_usual(values: list[list[int]], leans: int) -> None:
    own = forecasts(values)
    found = steadied(own, leans=leans)
    assert (found.mean == own.mean).all() and (found.method == own.method).all()
    if not own.mean.any():
        assert not found.variance.any()
        return
    usual = own.variance.sum() / own.mean.sum() * own.mean
    low, high = np.minimum(own.variance, usual), np.maximum(own.variance, usual)
    assert (low - 1e-9 <= found.variance).all() and (found.variance <= high + 1e-9).all()


def test_a_part_alone_keeps_its_own() -> None:
    own = forecasts([[0, 3, 0, 0, 1, 0, 7]])
    assert steadied(own).variance == pytest.approx(own.variance)


def test_the_share_that_a_part_keeps_grows_with_its_sales() -> None:
    own = forecasts([[0, 0, 0, 9] * 2, [1, 1, 1, 1] * 2])
    usual = own.variance.sum() / own.mean.sum()
    found = steadied(own, leans=6)
    assert found.variance[0] == pytest.approx(2 / 8 * own.variance[0] + 6 / 8 * usual * own.mean[0])
    assert found.variance[1] == pytest.approx(8 / 14 * own.variance[1] + 6 / 14 * usual * own.mean[1])
    assert (steadied(own, leans=0).variance == own.variance).all()


def test_a_weight_below_nothing_is_refused() -> None:
    with pytest.raises(PlanningError, match="The periods that the usual part weighs"):
        steadied(forecasts([[1, 2]]), leans=-1)
