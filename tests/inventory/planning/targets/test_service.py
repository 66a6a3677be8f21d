"""Service of a reorder point and a lot, against sums over every position and every demand."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from inventory.planning import PlanningError
from inventory.planning.targets import (
    cycle_service_of,
    expected_short,
    fill_rate_of,
    reorder_for_cost,
    reorder_for_cycle,
    reorder_for_fill,
)

Floats = NDArray[np.float64]

weights = st.lists(st.integers(0, 9), min_size=2, max_size=12).filter(any)
pmfs = weights.map(lambda listed: np.array(listed) / sum(listed))
lots = st.integers(1, 9)


@given(pmfs, st.integers(0, 15))
def test_what_is_short_is_the_mean_of_what_lies_beyond(pmf: Floats, stock: int) -> None:
    by_hand = sum(chance * max(0, asked - stock) for asked, chance in enumerate(pmf))
    assert expected_short(pmf, stock) == pytest.approx(by_hand)


@given(pmfs, st.integers(0, 12), lots)
def test_a_piece_is_served_where_less_was_asked_for_than_its_position(pmf: Floats, r: int, lot: int) -> None:
    served = np.mean([pmf[:position].sum() for position in range(r + 1, r + lot + 1)])
    assert fill_rate_of(pmf, r, lot) == pytest.approx(served)


@given(pmfs, lots, st.floats(0.01, 0.99))
def test_no_smaller_reorder_point_serves_as_much(pmf: Floats, lot: int, wanted: float) -> None:
    r = reorder_for_fill(pmf, lot, wanted)
    assert fill_rate_of(pmf, r, lot) >= wanted - 1e-8
    assert r == 0 or fill_rate_of(pmf, r - 1, lot) < wanted


@given(pmfs, st.floats(0.01, 0.99))
def test_no_smaller_reorder_point_lasts_as_often(pmf: Floats, wanted: float) -> None:
    r = reorder_for_cycle(pmf, wanted)
    assert cycle_service_of(pmf, r) >= wanted - 1e-8
    assert r == 0 or cycle_service_of(pmf, r - 1) < wanted


@given(pmfs, lots, st.integers(1, 9), st.integers(1, 9))
def test_no_other_reorder_point_costs_less(pmf: Floats, lot: int, holding: int, waiting: int) -> None:
    def cost(r: int) -> Any:
        return sum(
            chance * (holding * max(0, y - asked) + waiting * max(0, asked - y)) / lot
            for y in range(r + 1, r + lot + 1)
            for asked, chance in enumerate(pmf)
        )

    found = reorder_for_cost(pmf, lot, holding, waiting)
    assert cost(found) == pytest.approx(min(map(cost, range(-lot - 1, len(pmf) + 1))))


def test_services_that_nobody_can_want() -> None:
    pmf = np.array([0.5, 0.5])
    for wanted in (0, 1, 95):
        with pytest.raises(PlanningError, match="between 0 and 1"):
            reorder_for_fill(pmf, 1, wanted)
        with pytest.raises(PlanningError, match="between 0 and 1"):
            reorder_for_cycle(pmf, wanted)
    with pytest.raises(PlanningError, match="at least one piece"):
        fill_rate_of(pmf, 1, 0)
    with pytest.raises(PlanningError, match="does not hold"):
        expected_short(pmf, -1)
