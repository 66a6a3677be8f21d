"""The newsvendor's quantity, and the last buy, against the cost of every quantity."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from inventory.planning import PlanningError
from inventory.planning.targets import (
    expected_short,
    last_buy,
    newsvendor,
    newsvendor_normal,
    newsvendor_poisson,
)

Floats = NDArray[np.float64]

weights = st.lists(st.integers(0, 9), min_size=2, max_size=12).filter(any)
pmfs = weights.map(lambda listed: np.array(listed) / sum(listed))
costs = st.integers(1, 50)


@given(pmfs, costs, costs)
def test_no_other_quantity_costs_less(pmf: Floats, over: int, under: int) -> None:
    def cost(had: int) -> Any:
        return sum(
            chance * (over * max(0, had - asked) + under * max(0, asked - had))
            for asked, chance in enumerate(pmf)
        )

    best = newsvendor(pmf, over, under)
    assert best.cost == pytest.approx(cost(int(best.quantity)))
    assert best.cost == pytest.approx(min(map(cost, range(len(pmf)))))
    assert last_buy(pmf, over=over, under=under) == best.quantity


@given(st.floats(0.1, 80), costs, costs)
def test_poisson_is_the_same_by_its_chances(mean: float, over: int, under: int) -> None:
    best = newsvendor_poisson(mean, over, under)
    rng = np.random.default_rng(5)
    asked = rng.poisson(mean, 200_000)
    left, missing = np.maximum(best.quantity - asked, 0), np.maximum(asked - best.quantity, 0)
    assert best.cost == pytest.approx(np.mean(over * left + under * missing), rel=0.03, abs=0.02)


def test_the_normal_one_is_near_for_large_numbers() -> None:
    counted, normal = newsvendor_poisson(400, 2, 7), newsvendor_normal(400, 20, 2, 7)
    assert counted.quantity == pytest.approx(normal.quantity, abs=1)
    assert counted.cost == pytest.approx(normal.cost, rel=0.01)


@given(pmfs, st.floats(0.05, 0.95), st.integers(1, 5))
def test_a_last_buy_serves_what_is_wanted_and_not_a_pack_more(pmf: Floats, wanted: float, pack: int) -> None:
    bought = last_buy(pmf, fill_rate=wanted, pack=pack)
    asked = expected_short(pmf, 0)
    assert bought % pack == 0
    assert expected_short(pmf, bought) <= (1 - wanted) * asked + 1e-7
    assert bought < pack or expected_short(pmf, bought - pack) > (1 - wanted) * asked


def test_what_is_asked_in_vain() -> None:
    with pytest.raises(PlanningError, match="both cost something"):
        newsvendor(np.array([0.5, 0.5]), 0, 1)
    with pytest.raises(PlanningError, match="wanted fill rate"):
        last_buy(np.array([0.5, 0.5]), over=1)
