"""The choice is a plain loop over parts, methods and origins, and finds what is plain to see."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning.forecasting import METHODS, Forecasts, count_score, forecast_many, sample_score

from .plain import NAN, PLAIN, Table, factors, row, tables, variance

ORIGINS = 5


def plain_scores(demand: list[float]) -> list[float]:
    """The mean score of each method over the last origins, out of what was known at each."""
    found = []
    for name, say in PLAIN.items():
        scores = []
        for origin in range(max(1, len(demand) - ORIGINS), len(demand)):
            past, came = demand[:origin], np.array([demand[origin]])
            if name == "bootstrap":
                scores.append(sample_score(np.array([past[-24:]]), came)[0])
                continue
            mean, level = say(past), sum(past[-12:]) / len(past[-12:])
            spread = variance(past, say, level if name == "seasonal" else mean)
            if name == "seasonal" and len(past) >= 24:
                spread *= factors(past, 12)[0]
            scores.append(count_score(np.array([mean]), np.array([spread]), came)[0])
        found.append(float(np.mean(scores)) if scores else NAN)
    return found


@settings(max_examples=25)
@given(table=tables(parts=2))
def test_scores_and_choice_are_the_plain_loop(table: Table) -> None:
    found = forecast_many(table, origins=ORIGINS)
    assert found.methods == METHODS == tuple(PLAIN)
    for number, demand in enumerate(table):
        known = [each for each in demand.tolist() if not np.isnan(each)]
        if not known:
            assert (found.method[number], found.mean[number], found.variance[number]) == ("none", 0, 0)
            continue
        expected = plain_scores(known)
        assert found.scores[number] == pytest.approx(expected, rel=1e-9, abs=1e-9, nan_ok=True)
        ends = [say(known) for say in PLAIN.values()]
        able = [n for n, end in enumerate(ends) if end > 0] or [0]
        scored = [n for n in able if not np.isnan(expected[n])]
        least = min((expected[n] for n in scored), default=NAN)
        near = [n for n in scored if expected[n] * 0.8 <= least * (1 + 1e-9) + 1e-12] or able
        assert found.method[number] == METHODS[near[0]]


@given(table=tables(), block=st.integers(1, 3))
def test_blocks_change_nothing_and_progress_is_told_after_each(table: Table, block: int) -> None:
    told: list[tuple[int, int]] = []
    kept = table.copy()
    whole = forecast_many(table, origins=3)
    cut = forecast_many(table, origins=3, block=block, progress=lambda done, all_: told.append((done, all_)))
    assert np.array_equal(table, kept, equal_nan=True)
    assert (whole.method == cut.method).all()
    for name in ("mean", "variance", "scores", "prior_share", "indices"):
        assert np.array_equal(getattr(whole, name), getattr(cut, name), equal_nan=True)
    assert told[-1] == (len(table), len(table)) and len(told) == -(-len(table) // block)


@given(table=tables(), steps=st.integers(1, 4), seed=st.integers(0, 3))
def test_every_part_gets_a_forecast_and_twice_the_same(table: Table, steps: int, seed: int) -> None:
    first, again = (forecast_many(table, origins=4, steps=steps, seed=seed) for _ in range(2))
    assert np.isfinite(first.mean).all() and (first.mean >= 0).all()
    assert np.isfinite(first.variance).all() and (first.variance >= 0).all()
    assert (first.method == again.method).all() and (first.mean == again.mean).all()
    assert np.array_equal(first.scores, again.scores, equal_nan=True)
    assert ((first.mean > 0) == (np.nan_to_num(table).sum(axis=1) > 0)).all()


def poisson(mean: Table | float, shape: tuple[int, int], seed: int = 4) -> Table:
    return np.random.default_rng(seed).poisson(mean, shape).astype(np.float64)


def chosen(found: Forecasts, name: str) -> float:
    return float((found.method == name).mean())


def test_marked_seasons_are_seen_and_foreseen() -> None:
    index = 1 + 0.8 * np.sin(np.arange(60) * np.pi / 6)
    found = forecast_many(poisson(20 * index, (50, 60)))
    assert chosen(found, "seasonal") > 0.9
    coming = [forecast.fan(12, (0.5,))[0] for forecast in map(found.one, range(50))]
    # Five years and an even one.
    assert np.mean(coming, axis=0) == pytest.approx(20 * (5 * index[:12] + 1) / 6, abs=0.8)


def test_even_demand_is_seldom_taken_for_seasons() -> None:
    assert chosen(forecast_many(poisson(2.0, (200, 60))), "seasonal") < 0.05


def test_seasons_wait_for_two_full_years_before_each_origin() -> None:
    index = 1 + 0.8 * np.sin(np.arange(60) * np.pi / 6)
    table = poisson(20 * index, (20, 60))
    table[:, :26] = NAN
    found = forecast_many(table)
    assert chosen(found, "seasonal") == 0 and np.isnan(found.scores[:, -1]).all()
    assert chosen(forecast_many(table, season=None), "seasonal") == 0


def test_what_died_is_forecast_low_but_never_as_nothing() -> None:
    table = poisson(3.0, (100, 60))
    table[:, 42:] = 0
    found = forecast_many(table)
    assert found.mean.max() < 1.0 and found.mean.min() > 0
    assert chosen(found, "sba") + chosen(found, "croston") == 0


def test_where_nothing_is_gained_the_first_method_stands() -> None:
    found = forecast_many(poisson(5.0, (200, 60)))
    assert chosen(found, METHODS[0]) > 0.9
    assert chosen(forecast_many(poisson(5.0, (200, 60)), gain=0.0), METHODS[0]) < 0.5


def test_a_sum_of_periods_is_scored_as_one_demand() -> None:
    """Ten months of 4 pieces, then 0 and 8 in turn: two months together are always 8."""
    table = np.array([row(0, [4] * 10 + [0, 8] * 10)], np.float64)
    single = forecast_many(table, methods=["moving_average"], origins=8)
    double = forecast_many(table, methods=["moving_average"], origins=8, steps=2)
    mean, spread = forecast_many(table[:, :28], methods=["moving_average"]).over(2)
    last = count_score(mean, spread, np.array([8.0]))
    assert double.scores[0, 0] == pytest.approx(last[0], rel=0.1)
    assert double.scores[0, 0] < single.scores[0, 0]


def test_a_young_part_leans_on_the_part_of_its_slot() -> None:
    table = [row(12, []), row(9, [0, 0, 0]), row(0, [1] * 12), row(12, []), row(9, [0, 0, 0])]
    found = forecast_many(np.array(table), methods=["ses"], prior_mean=[4.0, 4.0, 4.0, NAN, NAN])
    assert found.prior_share.tolist() == [1.0, 0.75, 0.0, 0.0, 0.0]
    assert found.mean.tolist() == pytest.approx([4.0, 3.0, 1.0, 0.0, 0.0])
    assert found.method.tolist() == ["prior", "ses", "ses", "none", "ses"]
    # A mixture, three parts Poisson demand of mean 4 and one part nothing at all.
    assert found.variance.tolist()[:2] == pytest.approx([4.0, 0.75 * 4 + 0.75 * 0.25 * 16])


def test_no_parts_and_a_single_period_are_no_trouble() -> None:
    assert len(forecast_many(np.empty((0, 12)))) == 0
    one = forecast_many([[3.0]])
    assert (one.method[0], one.mean[0], one.variance[0]) == ("ses", 3.0, 3.0)
    assert np.isnan(one.scores).all()
