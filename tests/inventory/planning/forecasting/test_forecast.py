"""One part's forecast as a distribution, and the columns of all."""

import json
from dataclasses import asdict

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.forecasting import Forecast, count_pmf, forecast_many, sample_pmf

from .plain import Table, tables

INDICES = tuple(0.5 if month < 6 else 1.5 for month in range(12))


def mean_of(pmf: Table) -> float:
    return float(pmf @ np.arange(len(pmf)))


def test_over_some_periods_means_and_variances_add_up() -> None:
    forecast = Forecast("ses", 2.0, 5.0)
    assert forecast.dispersion == 2.5
    assert np.array_equal(forecast.pmf(3), count_pmf(6.0, 15.0))
    assert np.array_equal(forecast.pmf(0.5), count_pmf(1.0, 2.5))
    assert forecast.pmf(0).tolist() == [1.0]


def test_seasons_weigh_the_periods_to_come() -> None:
    forecast = Forecast("seasonal", 4.0, 6.0, INDICES)
    assert mean_of(forecast.pmf(6)) == pytest.approx(4 * 3.0)
    assert mean_of(forecast.pmf(12)) == pytest.approx(4 * 12.0)
    assert mean_of(forecast.pmf(18.5)) == pytest.approx(4 * (12 + 3 + 0.75))
    medians = forecast.fan(24, (0.5,))[0]
    assert medians.tolist() == ([2] * 6 + [6] * 6) * 2


def test_a_bootstrap_draws_from_what_was() -> None:
    forecast = Forecast("bootstrap", 1.0, 2.0, sample=(0.0, 0.0, 3.0))
    assert np.array_equal(forecast.pmf(4), sample_pmf([0, 0, 3], 4))
    assert forecast.fan(2, (0.5, 0.9)).tolist() == [[0, 0], [3, 3]]


@given(mean=st.floats(0.05, 30), dispersion=st.floats(1, 9), ahead=st.integers(1, 14))
def test_a_fan_opens_with_its_levels_and_cumulated_with_time(
    mean: float, dispersion: float, ahead: int
) -> None:
    forecast = Forecast("seasonal", mean, mean * dispersion, INDICES)
    single = forecast.fan(ahead, (0.1, 0.5, 0.9))
    together = forecast.fan(ahead, (0.1, 0.5, 0.9), cumulative=True)
    assert single.shape == together.shape == (3, ahead)
    assert (np.diff(single, axis=0) >= 0).all() and (np.diff(together, axis=0) >= 0).all()
    assert (np.diff(together, axis=1) >= 0).all()
    assert (single[:, 0] == together[:, 0]).all()


@given(table=tables(), periods=st.floats(0, 5))
@example(table=np.array([[1.0]]), periods=5e-324)
def test_one_part_says_what_its_row_of_the_columns_says(table: Table, periods: float) -> None:
    found = forecast_many(table, origins=3, gain=0.0)
    means, variances = found.over(periods)
    each = found.over(np.full(len(found), periods))
    assert np.array_equal(means, each[0]) and np.array_equal(variances, each[1])
    for number in range(len(found)):
        one = found.one(number)
        pmf = one.pmf(periods)
        assert (one.method, one.mean) == (found.method[number], found.mean[number])
        assert one.dispersion == pytest.approx(found.dispersion[number])
        assert pmf.sum() == pytest.approx(1)
        assert mean_of(pmf) == pytest.approx(means[number], rel=1e-3, abs=1e-6)


def test_a_bootstrap_chosen_from_the_columns_draws_from_its_last_two_years() -> None:
    table = np.tile([0.0, 0.0, 0.0, 9.0], 12)[None]
    one = forecast_many(table, methods=["bootstrap"]).one(0)
    assert one.sample == (0.0, 0.0, 0.0, 9.0) * 6
    assert one.mean == 2.25
    assert one.variance == pytest.approx(float(np.var(one.sample)))
    assert set(np.flatnonzero(one.pmf(2) > 1e-12)) == {0, 9, 18}


def test_a_forecast_is_plain_values_to_be_kept() -> None:
    found = forecast_many([[0.0, 2.0, 1.0, 4.0] * 12], methods=["seasonal"], season=4)
    one = found.one(0)
    assert one.indices is not None
    kept = json.loads(json.dumps(asdict(one)))
    again = Forecast(kept["method"], kept["mean"], kept["variance"], tuple(kept["indices"]))
    assert np.array_equal(again.pmf(3), one.pmf(3))


def test_periods_that_do_not_come_are_refused() -> None:
    forecast, many = Forecast("ses", 1.0, 1.0), forecast_many([[1.0, 2.0]])
    for wrong in (-1.0, float("nan"), float("inf")):
        with pytest.raises(PlanningError, match="Periods ahead"):
            forecast.pmf(wrong)
        with pytest.raises(PlanningError, match="Periods ahead"):
            many.over(wrong)
    with pytest.raises(PlanningError, match="Periods ahead"):
        forecast.fan(0)
    with pytest.raises(PlanningError, match="Levels"):
        forecast.fan(3, (0.5, 1.0))
