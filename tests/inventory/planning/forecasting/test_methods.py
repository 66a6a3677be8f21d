"""Each method on columns is the plain loop over one part, and what holds of every one of them."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError, forecasting
from inventory.planning.forecasting import (
    METHODS,
    bootstrap,
    croston,
    moving_average,
    sba,
    seasonal,
    ses,
    tsb,
)

from .plain import NAN, PLAIN, Table, average, of_season, tables

by_name: dict[str, Callable[[Table], Table]] = {name: getattr(forecasting, name) for name in METHODS}
every_method = pytest.mark.parametrize("name", METHODS)


def test_every_method_has_a_plain_loop_to_be_held_to() -> None:
    assert set(METHODS) == set(PLAIN)


@every_method
@given(table=tables())
def test_a_column_is_forecast_as_the_plain_loop_does_from_what_was_before(name: str, table: Table) -> None:
    found = by_name[name](table)
    assert found.shape == (len(table), table.shape[1] + 1)
    for demand, said in zip(table, found, strict=True):
        for period in range(len(said)):
            past = [each for each in demand[:period].tolist() if not np.isnan(each)]
            expected = PLAIN[name](past) if past else NAN
            assert said[period] == pytest.approx(expected, rel=1e-12, abs=1e-12, nan_ok=True)


@every_method
@given(table=tables(), seed=st.integers(0, 9))
def test_what_comes_later_changes_no_forecast_before(name: str, table: Table, seed: int) -> None:
    period = seed % table.shape[1]
    changed = table.copy()
    changed[:, period:] = np.where(np.isnan(table[:, period:]), NAN, 7.0)
    before = slice(0, period + 1)
    assert np.array_equal(by_name[name](table)[:, before], by_name[name](changed)[:, before], equal_nan=True)


@every_method
@given(table=tables())
def test_no_part_depends_on_another_and_nothing_is_written_into_the_table(name: str, table: Table) -> None:
    kept = table.copy()
    together = by_name[name](table)
    assert np.array_equal(table, kept, equal_nan=True)
    for number, alone in enumerate(table):
        assert np.array_equal(by_name[name](alone)[0], together[number], equal_nan=True)


@every_method
@given(table=tables())
def test_demand_counted_in_pairs_is_forecast_twice_as_high_when_counted_in_pieces(
    name: str, table: Table
) -> None:
    assert by_name[name](table * 2) == pytest.approx(by_name[name](table) * 2, nan_ok=True)


@every_method
def test_even_demand_is_forecast_as_it_is_but_for_a_correction_of_bias(name: str) -> None:
    said = by_name[name](np.full((1, 36), 4.0))[0, -1]
    assert said == pytest.approx(4.0 * 0.95 if name == "sba" else 4.0)


@given(table=tables(), window=st.integers(1, 50))
def test_any_window_and_any_season(table: Table, window: int) -> None:
    means, seasons = moving_average(table, window), seasonal(table, max(2, window // 4))
    drawn_from = bootstrap(table, window)
    for number, demand in enumerate(table):
        past = [each for each in demand.tolist() if not np.isnan(each)]
        expected = average(past, window) if past else NAN
        assert means[number, -1] == pytest.approx(expected, nan_ok=True)
        assert drawn_from[number, -1] == pytest.approx(expected, nan_ok=True)
        assert seasons[number, -1] == pytest.approx(of_season(past, max(2, window // 4)), nan_ok=True)


def test_a_part_that_died_is_let_go_by_probability_and_held_on_to_by_interval() -> None:
    died = [[2.0] * 12 + [0.0] * 24]
    assert tsb(died)[0, -1] < 0.2 < 1.9 < croston(died)[0, -1]


@pytest.mark.parametrize("method", [ses, croston, sba])
@pytest.mark.parametrize("alpha", [0.0, -0.1, 1.01, NAN])
def test_a_constant_that_does_not_smooth_is_refused(method: Callable[..., Table], alpha: float) -> None:
    with pytest.raises(PlanningError, match="smoothing constant"):
        method([[1.0, 2.0]], alpha)
