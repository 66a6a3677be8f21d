"""Forecasts of intermittent demand, their distributions and their score, against outside sources.

Croston, Operational Research Quarterly 23 (1972); Syntetos and Boylan, Int. J. Forecasting 21 (2005);
Teunter, Syntetos and Babai, European J. Operational Research 214 (2011): the methods from memory, the series
made up, the figures worked out separately by the recursions. Then all of them, period by period, against
statsforecast 2.1.1, which fixes Croston's constant at 0.1 and reckons in single precision (2e-6).
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from statsforecast.models import TSB, CrostonClassic, CrostonSBA, SimpleExponentialSmoothing, WindowAverage

from inventory.planning.forecasting import (
    count_pmf,
    count_score,
    croston,
    moving_average,
    sample_pmf,
    sample_score,
    sba,
    ses,
    tsb,
)

A = [0, 0, 3, 0, 0, 0, 5, 0, 2, 0, 0, 4]
B = [2, 0, 0, 1, 0, 4, 0, 0, 0, 3, 0, 0]
E = [1, 1, 0, 2, 1, 0, 1, 3, 0, 1, 1, 2]

Column = NDArray[np.float64]


@pytest.mark.parametrize(
    ("demand", "alpha", "by_croston", "by_sba"),
    [
        (A, 0.1, 1.060515, 1.007489),
        (A, 0.2, 1.110512, 0.999461),
        (B, 0.1, 1.416881, 1.346037),
        (B, 0.2, 1.186508, 1.067857),
    ],
)
def test_size_over_interval(demand: list[int], alpha: float, by_croston: float, by_sba: float) -> None:
    """K06-V01 and V02: first demand and its position, from 1, begin; only a period with demand moves them."""
    assert croston(demand, alpha)[0, -1] == pytest.approx(by_croston, abs=1e-5)
    assert sba(demand, alpha)[0, -1] == pytest.approx(by_sba, abs=1e-5)


@pytest.mark.parametrize(
    ("demand", "alpha_size", "alpha_probability", "forecast"),
    [(A, 0.2, 0.1, 0.892198), (E, 0.1, 0.3, 1.103712)],
)
def test_size_times_probability(
    demand: list[int], alpha_size: float, alpha_probability: float, forecast: float
) -> None:
    """K06-V03 and V04: the first demand, and 1 or 0 for the first period, begin."""
    assert tsb(demand, alpha_size, alpha_probability)[0, -1] == pytest.approx(forecast, abs=1e-5)


def made_up(parts: int = 40, periods: int = 48) -> Column:
    """Every degree of rareness and lumpiness."""
    chance = np.random.default_rng(11)
    sizes = chance.negative_binomial(2, chance.uniform(0.1, 0.9, (parts, 1)), (parts, periods)) + 1
    asked = chance.random((parts, periods)) < chance.uniform(0.1, 1, (parts, 1))
    return np.where(asked, sizes, 0).astype(float)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (croston, CrostonClassic()),
        (sba, CrostonSBA()),
        (lambda table: tsb(table, 0.3, 0.15), TSB(alpha_d=0.3, alpha_p=0.15)),
        (lambda table: ses(table, 0.2), SimpleExponentialSmoothing(alpha=0.2)),
    ],
)
def test_every_period_is_forecast_as_statsforecast_does(
    ours: Callable[[Column], Column], theirs: Any
) -> None:
    table = made_up()
    found = ours(table)
    for row, demand in enumerate(table):
        said = theirs.forecast(y=demand, h=1, fitted=True)
        expected = np.concatenate([said["fitted"], said["mean"]])
        assert found[row] == pytest.approx(expected, rel=2e-6, abs=1e-9, nan_ok=True)


def test_the_mean_of_the_last_periods_is_that_of_statsforecast() -> None:
    table = made_up()
    found = moving_average(table, 7)
    for row, demand in enumerate(table):
        for end in range(7, len(demand) + 1):
            expected = WindowAverage(window_size=7).forecast(y=demand[:end], h=1)["mean"][0]
            assert found[row, end] == pytest.approx(expected, rel=2e-6)


def test_a_distribution_is_poisson_or_negative_binomial_as_scipy_has_them() -> None:
    """Variance 9 at mean 3 is a chance of 1/3 and 1.5 failures."""
    even, wide = count_pmf(3.0, 3.0), count_pmf(3.0, 9.0)
    assert even == pytest.approx(stats.poisson.pmf(np.arange(len(even)), 3.0), abs=2e-9)
    assert wide == pytest.approx(stats.nbinom.pmf(np.arange(len(wide)), 1.5, 1 / 3), abs=2e-9)


def test_two_throws_of_a_die_are_its_distribution_twice_over() -> None:
    """Every schoolbook: 1/36 for 2, 6/36 for 7, 1/36 for 12."""
    two = sample_pmf([1, 2, 3, 4, 5, 6], 2)
    assert two * 36 == pytest.approx([0, 0, 1, 2, 3, 4, 5, 6, 5, 4, 3, 2, 1])


def test_the_score_of_an_ensemble_worked_by_hand() -> None:
    """Definition of Epstein (1969). Members 0, 1 and 3; 2 came: (1/3)^2 + (2/3)^2 + (1/3)^2 = 2/3."""
    assert sample_score(np.array([[0.0, 1.0, 3.0]]), np.array([2.0]))[0] == pytest.approx(2 / 3)


@pytest.mark.parametrize(
    ("mean", "variance"),
    [(0.3, 0.3), (4.0, 4.0), (0.3, 2.0), (4.0, 30.0), (9.0, 13.5), (250.0, 900.0), (900.0, 1800.0)],
)
def test_the_closed_forms_of_the_score_are_its_definition(mean: float, variance: float) -> None:
    """The sum over all counts of (P(demand <= k) - [what came <= k])^2, by SciPy's distributions.

    The last two are wide enough for the normal value with its corrections, right to a ten-thousandth.
    """
    chance = mean / variance
    law = stats.poisson(mean) if chance == 1 else stats.nbinom(mean * chance / (1 - chance), chance)
    counts = np.arange(4000)
    for came in (0, 1, 3, 240, 300):
        defined = float(((law.cdf(counts) - (counts >= came)) ** 2).sum())
        found = count_score(np.array([mean]), np.array([variance]), np.array([float(came)]))
        assert found[0] == pytest.approx(defined, rel=1e-9 if variance < 100 else 1e-4)
