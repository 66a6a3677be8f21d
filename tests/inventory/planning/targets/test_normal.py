"""Where the normal approximation holds, and where it keeps too little."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.lead_demand import demand_in
from inventory.planning.targets import (
    fill_rate_of,
    normal_fill_rate,
    normal_holds,
    normal_reorder_for_fill,
    reorder_for_fill,
    safety_stock,
)


@given(st.floats(10, 400), st.floats(1, 3), st.floats(0.8, 0.99), st.integers(1, 4))
def test_where_it_holds_the_whole_pieces_around_it_are_within_two_points(
    mean: float, over: float, wanted: float, lots: int
) -> None:
    sd, lot = (mean * over) ** 0.5, int(mean * lots)
    assume(normal_holds(mean, sd))
    exact = normal_reorder_for_fill(lot, mean, sd, wanted)
    assume(exact >= 0)
    pmf = demand_in(mean, mean * over, 1, 1)
    assert fill_rate_of(pmf, int(np.floor(exact)), lot) < wanted + 0.02
    assert fill_rate_of(pmf, int(np.ceil(exact)), lot) > wanted - 0.02


def test_where_it_does_not_it_serves_less_than_it_says() -> None:
    mean, variance, lot = 0.6, 3.0, 2
    assert not normal_holds(mean, variance**0.5)
    pmf = demand_in(mean, variance, 1, 1)
    said = normal_reorder_for_fill(lot, mean, variance**0.5, 0.98)
    assert fill_rate_of(pmf, int(np.ceil(said)), lot) < 0.97
    assert reorder_for_fill(pmf, lot, 0.98) > np.ceil(said)


@given(st.floats(1, 100), st.floats(0.5, 30), st.floats(1, 200), st.floats(0.5, 0.999))
def test_the_reorder_point_gives_the_rate(mean: float, sd: float, lot: float, wanted: float) -> None:
    reorder_at = normal_reorder_for_fill(lot, mean, sd, wanted)
    assert normal_fill_rate(reorder_at, lot, mean, sd) == pytest.approx(wanted, abs=1e-6)


def test_services_that_nobody_can_want() -> None:
    with pytest.raises(PlanningError, match="between 0 and 1"):
        safety_stock(1, 3)
    with pytest.raises(PlanningError, match="between 0 and 1"):
        normal_reorder_for_fill(5, 3, 2, 0)
