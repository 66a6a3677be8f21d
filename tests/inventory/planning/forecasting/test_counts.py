"""Distributions as arrays: sums of periods, quantiles, and what cannot be laid out."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.forecasting import count_pmf, quantiles, sample_pmf
from inventory.planning.forecasting.counts import cut

samples = st.lists(st.integers(0, 6), min_size=1, max_size=5)


@given(mean=st.floats(0.001, 3000), dispersion=st.floats(1, 60))
def test_mean_and_variance_are_those_asked_for(mean: float, dispersion: float) -> None:
    pmf = count_pmf(mean, mean * dispersion)
    counts = np.arange(len(pmf))
    assert pmf.min() >= 0 and pmf.sum() == pytest.approx(1)
    # What is cut off beyond one in a thousand million still weighs a little in the moments.
    assert pmf @ counts == pytest.approx(mean, rel=2e-3)
    assert pmf @ (counts - mean) ** 2 == pytest.approx(mean * dispersion, rel=2e-2)


@given(mean=st.floats(0.001, 100), share=st.floats(0, 1))
def test_less_variance_than_mean_is_poisson_demand(mean: float, share: float) -> None:
    assert np.array_equal(count_pmf(mean, mean * share), count_pmf(mean, mean))


@pytest.mark.parametrize("dispersion", [1 + 1e-9, 1 + 1e-6, 1 + 1e-5, 1 + 1e-3])
def test_demand_hardly_wider_than_poisson_is_hardly_another(dispersion: float) -> None:
    even, wide = count_pmf(800.0, 800.0), count_pmf(800.0, 800.0 * dispersion)
    length = min(len(even), len(wide))
    assert np.abs(even[:length] - wide[:length]).max() < dispersion - 1 + 1e-9


@given(sample=samples, periods=st.integers(0, 4))
def test_drawing_every_way_gives_the_same(sample: list[int], periods: int) -> None:
    ways = [sum(drawn) for drawn in product(sample, repeat=periods)]
    expected = np.bincount(ways) / len(ways)
    found = sample_pmf(sample, periods)
    assert found == pytest.approx(np.append(expected, np.zeros(9))[: len(found)], abs=1e-12)
    assert found.sum() == pytest.approx(1)


@given(sample=samples, periods=st.integers(0, 3), part=st.floats(0.1, 0.9))
def test_a_part_of_a_period_is_a_whole_one_that_often(sample: list[int], periods: int, part: float) -> None:
    found = sample_pmf(sample, periods + part)
    fewer, more = sample_pmf(sample, periods), sample_pmf(sample, periods + 1)
    expected = more * part
    expected[: len(fewer)] += fewer * (1 - part)
    assert found == pytest.approx(expected[: len(found)])
    assert found @ np.arange(len(found)) == pytest.approx((periods + part) * np.mean(sample))


@given(pmf=samples.filter(any), level=st.floats(0.01, 0.99))
def test_a_quantile_is_the_least_number_that_is_enough(pmf: list[int], level: float) -> None:
    chances = np.array(pmf) / sum(pmf)
    found = int(quantiles(chances, [level])[0])
    assert chances[: found + 1].sum() >= level - 1e-9
    assert chances[:found].sum() < level


def test_a_level_met_exactly_is_met() -> None:
    assert quantiles(np.full(10, 0.1), [0.1, 0.3, 0.7, 0.95]).tolist() == [0, 2, 6, 9]


def test_what_lies_beyond_is_less_likely_than_one_in_a_thousand_million() -> None:
    pmf = np.array([0.5, 0.5 - 3e-9, 2.5e-9, 0.5e-9])
    assert len(cut(pmf)) == 3
    assert len(count_pmf(0.0, 5.0)) == 1


@pytest.mark.parametrize(("mean", "variance"), [(-1, 1), (1, -1), (float("nan"), 1), (1, float("inf"))])
def test_figures_that_no_demand_has_are_refused(mean: float, variance: float) -> None:
    with pytest.raises(PlanningError, match="A mean and a variance of at least 0"):
        count_pmf(mean, variance)


def test_what_is_too_wide_or_empty_is_refused_with_the_reason() -> None:
    with pytest.raises(PlanningError, match="too wide to lay out"):
        count_pmf(1.0, 1e9)
    with pytest.raises(PlanningError, match="too wide to lay out"):
        count_pmf(1e9, 1e9)
    with pytest.raises(PlanningError, match="too many to lay out"):
        sample_pmf([1, 1_000_000], 12)
    with pytest.raises(PlanningError, match="A sample to draw from"):
        sample_pmf([], 1)
    with pytest.raises(PlanningError, match="A sample to draw from"):
        sample_pmf([1, -2], 1)
    with pytest.raises(PlanningError, match="Levels lie between 0 and 1"):
        quantiles(np.ones(1), [1.0])
