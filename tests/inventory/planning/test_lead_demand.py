"""Demand over a lead time, against SciPy's distributions, sums by hand and all draws from a history."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from inventory.planning import PlanningError
from inventory.planning.chances import TAIL
from inventory.planning.lead_demand import demand_in, demand_over, many, tables
from inventory.planning.lead_times import LeadColumns, LeadTime, fixed, lead_time

Floats = NDArray[np.float64]

means = st.floats(0.01, 60)
over_poisson = st.floats(0, 6)  # variance / mean - 1
leads = st.lists(st.integers(0, 60), min_size=1, max_size=9).map(
    lambda days: lead_time(days, [0] * len(days), 14)
)


def moments(pmf: Floats) -> tuple[float, float]:
    pieces = np.arange(len(pmf))
    mean = float(pmf @ pieces)
    return mean, float(pmf @ (pieces - mean) ** 2)


def negative_binomial(pieces: NDArray[np.int64], mean: float, variance: float) -> Floats:
    share = mean / variance
    chances: Floats = stats.nbinom.pmf(pieces, mean * share / (1 - share), share)
    return chances


@given(means, st.floats(0.1, 4))
def test_even_demand_is_poisson(mean: float, periods: float) -> None:
    pmf = demand_in(mean, mean / 2, 30, 30 * periods)
    expected = stats.poisson.pmf(np.arange(len(pmf)), mean * periods)
    assert pmf == pytest.approx(expected, abs=3 * TAIL)


@given(means, st.floats(0.01, 6), st.floats(0.1, 4))
def test_uneven_demand_is_negative_binomial(mean: float, more: float, periods: float) -> None:
    pmf = demand_in(mean, mean * (1 + more), 30, 30 * periods)
    expected = negative_binomial(np.arange(len(pmf)), mean * periods, mean * periods * (1 + more))
    assert pmf == pytest.approx(expected, abs=3 * TAIL)


def test_large_numbers_come_by_logarithms() -> None:
    pmf = demand_in(3000, 9000, 30, 60)
    assert pmf == pytest.approx(negative_binomial(np.arange(len(pmf)), 6000, 18000), abs=3 * TAIL)


@given(means, over_poisson, leads, st.integers(0, 30))
def test_a_varying_lead_time_is_mixed_in_exactly(
    mean: float, more: float, lead: LeadTime, review: int
) -> None:
    pmf = demand_over(mean, mean * (1 + more), 30, lead, review)
    parts = [demand_in(mean, mean * (1 + more), 30, days + review) for days in lead.spread[0]]
    expected = sum(
        weight * np.pad(part, (0, 10000 - len(part)))
        for part, weight in zip(parts, lead.spread[1], strict=True)
    )
    assert np.pad(pmf, (0, 10000 - len(pmf))) == pytest.approx(expected, abs=5 * TAIL)


@given(means, over_poisson, leads, st.integers(0, 30))
def test_mean_and_variance_of_the_mixture(mean: float, more: float, lead: LeadTime, review: int) -> None:
    """The law of total variance."""
    variance = mean * (1 + more)
    told = moments(demand_over(mean, variance, 30, lead, review))
    days = lead.mean_days + review
    assert told[0] == pytest.approx(mean / 30 * days, rel=1e-4, abs=1e-6)
    assert told[1] == pytest.approx(
        variance / 30 * days + (mean / 30 * lead.sd_days) ** 2, rel=1e-3, abs=1e-5
    )


@given(means, over_poisson, leads)
def test_the_chances_make_one_and_end_where_they_are_nothing(
    mean: float, more: float, lead: LeadTime
) -> None:
    pmf = demand_over(mean, mean * (1 + more), 30, lead, 7)
    assert pmf.sum() == pytest.approx(1, abs=1e-12)
    assert pmf.min() >= 0
    assert pmf[-1] <= 1e-3 or len(pmf) == 1


@settings(max_examples=30)
@given(st.lists(st.tuples(means, over_poisson, leads, st.integers(1, 30)), min_size=1, max_size=8))
def test_many_parts_are_as_each_alone(parts: list[tuple[float, float, LeadTime, int]]) -> None:
    mean = np.array([part[0] for part in parts])
    variance = mean * np.array([1 + part[1] for part in parts])
    review = np.array([float(part[3]) for part in parts])
    seen = []
    for rows, table in many(mean, variance, 30, LeadColumns.of([part[2] for part in parts]), review):
        for row, told in zip(rows.tolist(), table, strict=True):
            alone = demand_over(mean[row], variance[row], 30, parts[row][2], parts[row][3])
            width = max(len(alone), len(told))
            assert np.pad(told, (0, width - len(told))) == pytest.approx(
                np.pad(alone, (0, width - len(alone))), abs=3 * TAIL
            )
            seen.append(row)
    assert sorted(seen) == list(range(len(parts)))


@given(st.lists(st.integers(1, 3_000_000), max_size=40))
def test_tables_hold_each_part_once_and_are_not_large(widths: list[int]) -> None:
    column = np.array(widths, np.int64)
    seen = []
    for rows, width in tables(column):
        assert width == column[rows].max()
        assert len(rows) == 1 or len(rows) * width <= 1 << 17
        seen += rows.tolist()
    assert sorted(seen) == list(range(len(widths)))


histories = st.lists(st.integers(0, 4), min_size=1, max_size=4)


@given(histories, st.integers(0, 3))
def test_whole_periods_are_all_the_draws_from_the_history(history: list[int], periods: int) -> None:
    pmf = demand_in(0, 0, 7, 7 * periods, history=history)
    sums = [sum(draw) for draw in product(history, repeat=periods)]
    expected = np.bincount(sums, minlength=len(pmf)) / len(sums)
    assert pmf == pytest.approx(expected[: len(pmf)], abs=3 * TAIL)


@given(histories, st.floats(0.05, 2.95))
def test_part_of_a_period_has_its_share_of_the_mean(history: list[int], periods: float) -> None:
    mean, variance = moments(demand_in(0, 0, 10, 10 * periods, history=history))
    assert mean == pytest.approx(np.mean(history) * periods, abs=1e-6)
    if np.var(history) > np.mean(history):  # more than Poisson's: nothing hinders a variance in proportion
        assert variance == pytest.approx(np.var(history) * periods, abs=1e-5)


def test_a_history_mixes_lead_times_too() -> None:
    lead = lead_time([10, 20, 10, 20, 10], [0] * 5, 10)
    pmf = demand_over(0, 0, 10, lead, 0, history=[0, 3])
    assert pmf == pytest.approx([0.6 / 2 + 0.4 / 4, 0, 0, 0.6 / 2 + 0.4 / 2, 0, 0, 0.4 / 4])


def test_what_nobody_asks_for() -> None:
    assert demand_in(0, 0, 30, 60).tolist() == [1]
    assert demand_in(0, 0, 30, 60, history=[0, 0]).tolist() == [1]
    assert demand_over(5, 9, 30, fixed(0), 0).tolist() == [1]


@pytest.mark.parametrize(
    ("mean", "variance", "history", "said"),
    [
        (-1, 1, None, "at least 0"),
        (float("nan"), 1, None, "at least 0"),
        (0, 1, None, "mean above 0"),
        (1e9, 1e9, None, "packs"),
        (0, 0, [], "at least one period"),
        (0, 0, [-1], "at least 0"),
        (0, 0, [10_000_000], "packs"),
    ],
)
def test_demand_that_nothing_has(mean: float, variance: float, history: list[int] | None, said: str) -> None:
    with pytest.raises(PlanningError, match=said):
        demand_in(mean, variance, 30, 30, history=history)
