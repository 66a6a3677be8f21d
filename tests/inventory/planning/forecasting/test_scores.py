"""The score is its definition, and honesty pays."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning.forecasting import count_pmf, count_score, sample_score
from inventory.planning.forecasting.resampling import drawn_sums, windows

NAN = float("nan")


def defined(pmf: list[float], came: int) -> float:
    enough = np.cumsum(np.append(pmf, np.zeros(max(0, came + 1 - len(pmf)))))
    return float(((enough - (np.arange(len(enough)) >= came)) ** 2).sum())


def scored(mean: float, variance: float, came: float) -> float:
    return float(count_score(np.array([mean]), np.array([variance]), np.array([came]))[0])


@given(mean=st.floats(0.01, 200), dispersion=st.floats(1.01, 40) | st.just(1.0), came=st.integers(0, 300))
def test_the_score_of_a_count_is_its_definition(mean: float, dispersion: float, came: int) -> None:
    expected = defined(count_pmf(mean, mean * dispersion).tolist(), came)
    assert scored(mean, mean * dispersion, came) == pytest.approx(
        expected, rel=1e-5 if mean * dispersion <= 100 else 1e-4, abs=1e-6
    )


@given(sample=st.lists(st.integers(0, 9), min_size=1, max_size=8), came=st.integers(0, 12))
def test_the_score_of_a_sample_is_its_definition_whatever_is_not_known(sample: list[int], came: int) -> None:
    expected = defined((np.bincount(sample) / len(sample)).tolist(), came)
    holes = np.array([[NAN, *sample, NAN]])
    assert sample_score(holes, np.array([float(came)]))[0] == pytest.approx(expected)


@given(
    mean=st.floats(0.2, 20),
    dispersion=st.floats(1, 8),
    other_mean=st.floats(0.2, 20),
    other_dispersion=st.floats(1, 8),
)
def test_nobody_gains_on_average_by_forecasting_what_is_not_so(
    mean: float, dispersion: float, other_mean: float, other_dispersion: float
) -> None:
    truth = count_pmf(mean, mean * dispersion)
    came = np.arange(len(truth), dtype=np.float64)

    def on_average(said: float, spread: float) -> float:
        return float(truth @ count_score(np.full_like(came, said), np.full_like(came, said * spread), came))

    honest, other = on_average(mean, dispersion), on_average(other_mean, other_dispersion)
    assert honest <= other + 1e-6


@pytest.mark.parametrize("mean", [1e-6, 0.01, 1.0, 1e3, 1e6])
@pytest.mark.parametrize("excess", [0.0, 1e-9, 1e-4, 1e-2, 1.0, 1e3])
@pytest.mark.parametrize("came", [0.0, 1.0, 1e3, 1e6])
def test_no_figures_make_it_fail(mean: float, excess: float, came: float) -> None:
    score = scored(mean, mean * (1 + excess), came)
    assert -1e-6 <= score <= abs(came - mean) + mean + 1


@pytest.mark.parametrize(
    ("mean", "dispersion"),
    [(20.0, 2.0), (200.0, 11.0), (50.0, 2.0), (1_000.0, 1.1), (800.0, 1.01), (0.5, 1.001)],
)
def test_one_way_of_reckoning_takes_over_from_another_without_a_step(mean: float, dispersion: float) -> None:
    """Beside 20 failures, beside a variance of 100, and far in the last way and the second."""
    for near in (mean * 0.999, mean * 1.001):
        came = float(round(mean * 1.1))
        expected = defined(count_pmf(near, near * dispersion).tolist(), int(came))
        assert scored(near, near * dispersion, came) == pytest.approx(expected, rel=1e-4, abs=1e-7)


def test_a_forecast_of_nothing_costs_what_comes() -> None:
    assert [scored(0.0, 4.0, came) for came in (0.0, 1.0, 5.0)] == [0.0, 1.0, 5.0]


def test_what_is_not_known_has_no_score() -> None:
    for figures in ((NAN, 1.0, 1.0), (1.0, NAN, 1.0), (1.0, 1.0, NAN)):
        assert np.isnan(scored(*figures))
    assert np.isnan(sample_score(np.array([[NAN, NAN]]), np.array([1.0]))[0])
    assert np.isnan(sample_score(np.array([[1.0, 2.0]]), np.array([NAN]))[0])


def test_draws_score_on_average_as_what_they_are_drawn_from() -> None:
    """All pairs of draws of a fair coin, 2 came: the coin's own score is 1.25."""
    pairs = np.array([[first, second] for first in (0.0, 1.0) for second in (0.0, 1.0)])
    assert sample_score(pairs, np.full(4, 2.0), drawn=True).mean() == pytest.approx(1.25)
    assert sample_score(np.array([[0.0, 1.0]]), np.array([2.0]))[0] == pytest.approx(1.25)


def test_sums_are_drawn_from_what_is_known_and_the_same_again_for_the_same_seed() -> None:
    table = np.array([[NAN, NAN, 5.0, 5.0], [0.0, 1.0, 2.0, 3.0], [NAN] * 4])
    samples = windows(table, [4], window=3)
    assert np.array_equal(samples[:, 0], [[NAN, 5.0, 5.0], [1.0, 2.0, 3.0], [NAN] * 3], equal_nan=True)
    sums = drawn_sums(samples, 3, seed=5, draws=2000)[:, 0]
    assert (sums[0] == 15).all() and np.isnan(sums[2]).all()
    assert set(sums[1]) == {3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0}
    assert sums[1].mean() == pytest.approx(6.0, abs=0.15)
    assert np.array_equal(sums, drawn_sums(samples, 3, seed=5, draws=2000)[:, 0], equal_nan=True)
    assert not np.array_equal(sums[1], drawn_sums(samples, 3, seed=6, draws=2000)[1, 0])
