"""Lead times from receipts, and from the offer while there are few."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.lead_times import FULL, LeadColumns, LeadTime, fixed, lead_time

receipts = st.lists(st.integers(0, 90), max_size=20)


def test_without_deliveries_the_offer_speaks_and_says_so() -> None:
    lead = lead_time([], [], 21)
    assert (lead.mean_days, lead.sd_days, lead.pmf) == (21, 0, None)
    assert lead.source == "the offer's figure: no delivery yet"
    assert (lead.receipts, lead.late_share) == (0, 0.0)


def test_many_deliveries_speak_for_themselves() -> None:
    lead = lead_time([20, 20, 20, 20, 30, 34], [0, -2, 0, 0, 9, 13], 7)
    assert (lead.mean_days, lead.source) == (24, "6 deliveries")
    assert lead.late_share == pytest.approx(1 / 3)
    assert lead.sd_days == pytest.approx(np.std([20, 20, 20, 20, 30, 34]))


def test_the_offer_stands_in_for_each_delivery_missing_to_five() -> None:
    lead = lead_time([40], [19], 21)
    assert lead.spread[0] == (21, 40)
    assert lead.spread[1] == pytest.approx((0.8, 0.2))
    assert lead.source == "1 delivery and the offer's figure"
    assert lead.late_share == 1


def test_where_nothing_is_offered_one_delivery_has_to_do() -> None:
    lead = lead_time([12], [0], None)
    assert (lead.mean_days, lead.source) == (12, "1 delivery")


@given(receipts, st.integers(0, 90))
def test_mean_and_spread_are_those_of_the_distribution(days: list[int], offered: int) -> None:
    lead = lead_time(days, [0] * len(days), offered)
    told, chances = (np.array(figures) for figures in lead.spread)
    assert chances.sum() == pytest.approx(1)
    assert told @ chances == pytest.approx(lead.mean_days)
    assert (told - lead.mean_days) ** 2 @ chances == pytest.approx(lead.sd_days**2)
    assert set(told) <= {*days, offered}


@given(receipts.filter(lambda days: len(days) >= FULL), st.integers(0, 90))
def test_five_deliveries_leave_nothing_of_the_offer(days: list[int], offered: int) -> None:
    assert lead_time(days, [0] * len(days), offered).mean_days == pytest.approx(np.mean(days))


def test_columns_hold_the_spread_of_each_part() -> None:
    leads = [lead_time([20, 30, 20, 20, 20], [0] * 5, 20), fixed(7)]
    columns = LeadColumns.of(leads)
    assert columns.days.tolist() == [[20, 30], [7, 0]]
    assert columns.weights.tolist() == [[0.8, 0.2], [1, 0]]
    assert columns.mean == pytest.approx([22, 7])
    assert LeadColumns.of([]).days.shape == (0, 1)


@pytest.mark.parametrize(
    ("days", "late", "offered", "said"),
    [
        ([], [], None, "ask the supplier"),
        ([3], [], 3, "Each receipt"),
        ([-1], [0], 3, "whole number of at least 0"),
        ([99999], [0], 3, "no more than 3650"),
        ([], [], 4000, "no more than 3650"),
    ],
)
def test_figures_that_no_delivery_has(
    days: list[int], late: list[int], offered: int | None, said: str
) -> None:
    with pytest.raises(PlanningError, match=said):
        lead_time(days, late, offered)


def test_a_spread_without_its_days_is_refused() -> None:
    with pytest.raises(PlanningError, match="distribution over days"):
        LeadTime(21, 3, None, 0, 0, "made up")
    with pytest.raises(PlanningError, match="one whole"):
        LeadColumns(np.array([[3.0]]), np.array([[0.5]]))
