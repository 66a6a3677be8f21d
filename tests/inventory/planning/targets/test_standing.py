"""What given levels do, and what a month is like, against each part alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning.lead_demand import demand_in
from inventory.planning.lead_times import LeadColumns, fixed, lead_time
from inventory.planning.targets import (
    PartColumns,
    many_targets,
    months,
    part_columns,
    sentence,
    standings,
    why_lot,
)

LEADS = [fixed(14), lead_time([10, 20, 24, 33, 40], [0] * 5, 14), fixed(0)]


def columns(means: list[float], ratio: float, *, life: float = float("nan")) -> PartColumns:
    mean = np.array(means)
    return part_columns(
        mean=mean,
        variance=mean * ratio,
        period_days=30,
        leads=LeadColumns.of([LEADS[number % 3] for number in range(len(means))]),
        review_days=7,
        fill_rate=0.9,
        cents=500,
        order_cents=1500,
        life_days=life,
    )


means = st.lists(st.sampled_from([0.0, 0.05, 0.8, 4.0, 30.0]), min_size=1, max_size=5)


@settings(max_examples=30, deadline=None)
@given(means, st.sampled_from([1.0, 3.0]))
def test_the_levels_that_targets_chose_stand_as_the_targets_say(listed: list[float], ratio: float) -> None:
    parts = columns(listed, ratio)
    found = many_targets(parts)
    around = [found.reorder_at + step for step in (-1, 0, 1)]
    fills, worths = standings(parts, around, found.order_quantity)
    for row, mean in enumerate(listed):
        if not mean:
            assert np.isnan(fills[1][row]) and np.isnan(worths[1][row])
            continue
        assert fills[1][row] == pytest.approx(found.fill_rate[row], abs=1e-4)
        assert worths[1][row] == pytest.approx(found.money_cents[row], abs=0.6)
        assert fills[2][row] >= fills[1][row] and worths[2][row] >= worths[1][row]
        if found.reorder_at[row]:
            assert fills[0][row] < 0.9 + 1e-6
        else:
            assert np.isnan(fills[0][row])


def test_a_last_buy_has_no_standing() -> None:
    parts = columns([2.0], 1.0, life=100.0)
    found = many_targets(parts)
    fills, _ = standings(parts, [found.reorder_at], found.order_quantity)
    assert np.isnan(fills[0][0])


@settings(max_examples=30, deadline=None)
@given(means, st.sampled_from([1.0, 3.0]))
def test_a_month_is_that_of_each_part_alone(listed: list[float], ratio: float) -> None:
    empty, busy = months(columns(listed, ratio))
    for row, mean in enumerate(listed):
        pmf = demand_in(mean, mean * ratio, 30, 365 / 12)
        assert empty[row] == pytest.approx(pmf[0], abs=1e-7)
        assert busy[row] == int(np.argmax(np.cumsum(pmf) >= 0.95))


def test_each_row_has_its_own_sentence() -> None:
    parts = columns([0.8, 0.0, 4.0], 1.0)
    found = many_targets(parts)
    empty, busy = months(parts)
    said = [
        sentence(parts, found, (float(empty[row]), int(busy[row])), LEADS[row], "Corran", row)
        for row in range(3)
    ]
    assert said[0].startswith("Sells about 0.8 a month") and "Corran takes 14 days" in said[0]
    assert said[1] == "Nothing was asked for: keep none."
    assert said[2].startswith("Sells about 4.1 a month")
    assert why_lot(parts, found, 1) == "nothing to order"
    assert why_lot(parts, found, 2).startswith("the cheapest lot")
