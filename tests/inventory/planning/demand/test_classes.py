"""Classes on columns are those of one part at a time."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError, classes_by_value
from inventory.planning.demand import abc, classify, kinds
from tests.inventory.planning.forecasting.plain import Table, tables

NAN = float("nan")


@given(table=tables(periods=20))
def test_each_part_by_hand(table: Table) -> None:
    found = classify(table)
    for number, demand in enumerate(table.tolist()):
        known = [each for each in demand if not np.isnan(each)]
        sizes = [each for each in known if each]
        if not sizes:
            assert (found.adi[number], found.kind[number]) == (float("inf"), "unsold")
            assert np.isnan(found.cv2[number])
            continue
        adi, cv2 = len(known) / len(sizes), float(np.var(sizes) / np.mean(sizes) ** 2)
        assert found.adi[number] == pytest.approx(adi)
        assert found.cv2[number] == pytest.approx(cv2, abs=1e-12)
        often, even = adi <= 1.32, cv2 <= 0.49
        assert (
            found.kind[number]
            == {
                (True, True): "smooth",
                (True, False): "erratic",
                (False, True): "intermittent",
                (False, False): "lumpy",
            }[often, even]
        )


def test_demand_counted_in_pairs_is_of_the_same_class() -> None:
    table = np.array([[0, 0, 3, 0, 5, 0, 2], [1, 2, 1, 9, 1, 1, 2], [NAN, NAN, 4, 4, 4, 4, 4]])
    assert classify(table).kind.tolist() == classify(table * 2).kind.tolist()
    assert classify(table).kind.tolist() == ["intermittent", "erratic", "smooth"]


def test_a_figure_on_the_line_belongs_to_the_more_regular_class() -> None:
    assert kinds([1.32], [0.49]).tolist() == ["smooth"]


@given(
    values=st.lists(st.integers(0, 30) | st.integers(0, 10**9), max_size=12),
    cuts=st.tuples(st.integers(1, 100), st.integers(1, 100)).map(sorted),
)
def test_a_column_of_cents_is_classed_as_money_is(values: list[int], cuts: list[int]) -> None:
    money = {number: Decimal(cents) / 100 for number, cents in enumerate(values)}
    expected = classes_by_value(money, a_percent=cuts[0], b_percent=cuts[1])
    column = np.array(values, np.int64)
    assert abc(column, (cuts[0] / 100, cuts[1] / 100)).tolist() == [expected[number] for number in money]


def test_values_may_be_floats_as_well() -> None:
    assert abc([0.0, 79.5, 15.5, 5.0]).tolist() == ["C", "A", "A", "C"]


@pytest.mark.parametrize(
    ("values", "cuts", "message"),
    [
        ([1, -1], (0.8, 0.95), "an amount of at least 0"),
        ([1.0, NAN], (0.8, 0.95), "an amount of at least 0"),
        ([[1]], (0.8, 0.95), "one number for each part"),
        (["much"], (0.8, 0.95), "one number for each part"),
        ([1 << 60, 1 << 60], (0.8, 0.95), "too many cents"),
        ([1], (0.95, 0.8), "rising shares up to 1"),
        ([1], (0.0, 0.8), "rising shares up to 1"),
        ([1], (0.8, 1.1), "rising shares up to 1"),
    ],
)
def test_what_is_no_value_or_no_cut_is_refused(
    values: list[float], cuts: tuple[float, float], message: str
) -> None:
    with pytest.raises(PlanningError, match=message):
        abc(values, cuts)
