"""Tables, figures and files that cannot be replayed are refused, and it is said where and what to do."""

from typing import Any

import numpy as np
import pytest

from inventory.planning import PlanningError
from inventory.planning.backtest import (
    BadFigure,
    Rules,
    backtest,
    lead_chances,
    read_cents,
    read_table,
    sales,
)

NAN = float("nan")


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ([["many"]], "a table of numbers"),
        ([[1, 2], [1]], "a table of numbers"),
        ([1, 2, 3], "a row for each period"),
        ([], "a row for each period"),
        ([[1.5]], "Part 1, period 1: whole pieces from 0 to 1000000, not 1.5"),
        ([[0, 1], [0, -1]], "Part 2, period 2: whole pieces from 0 to 1000000, not -1"),
        ([[float("inf")]], "not inf"),
        ([[1], [NAN], [1]], "Part 1, period 2: no figure between two that there are"),
    ],
)
def test_a_table_that_is_none_is_refused(table: Any, message: str) -> None:
    with pytest.raises(PlanningError, match=message):
        sales(table)


def test_a_bad_figure_says_where_it_stands() -> None:
    with pytest.raises(BadFigure) as bad:
        sales([[0, 1], [0, -1]])
    assert (bad.value.part, bad.value.period) == (1, 1)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"lead": (0.5, 0.4)}, "make one whole"),
        ({"lead": ()}, "make one whole"),
        ({"lead": (*[0.0] * 61, 1.0)}, "no more than 60"),
        ({"review": 0}, "Periods from one look at the stock"),
        ({"review": 2, "refresh": 3}, "a multiple"),
        ({"warm_up": 0}, "Periods to learn from"),
        ({"warm_up": 40}, "No part has a period left to count after 40"),
        ({"least_sales": -1}, "Periods in which a part was asked for"),
        ({"wanted": 1}, "A wanted fill rate lies between 0 and 1"),
        ({"order_cents": -1}, "cost nothing or more"),
        ({"holding_rate": NAN}, "cost nothing or more"),
    ],
)
def test_figures_that_no_shop_has_are_refused(options: dict[str, Any], message: str) -> None:
    with pytest.raises(PlanningError, match=message):
        backtest(np.ones((40, 3)), Rules(**{"lead": (0, 0, 1.0), **options}))


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"cents": [1, 2]}, "one of at least 0 cents for each of 3 parts"),
        ({"cents": [1, 2, -3]}, "one of at least 0 cents"),
        ({"policies": []}, "at least one policy"),
    ],
)
def test_prices_and_policies_that_do_not_fit_are_refused(options: dict[str, Any], message: str) -> None:
    with pytest.raises(PlanningError, match=message):
        backtest(np.ones((40, 3)), Rules((0, 0, 1.0)), **options)


def test_an_order_cost_without_prices_is_refused() -> None:
    with pytest.raises(PlanningError, match="weighed against the prices"):
        backtest(np.ones((40, 3)), Rules((0, 0, 1.0), order_cents=500))


@pytest.mark.parametrize("lead", [-1, 61, NAN])
def test_a_lead_time_that_no_supplier_has_is_refused(lead: float) -> None:
    with pytest.raises(PlanningError, match="A lead time of 0 to 60 periods"):
        lead_chances(lead)


def test_a_lead_time_between_two_months_is_one_of_both() -> None:
    assert lead_chances(2) == (0, 0, 1)
    assert lead_chances(0) == (1,)
    assert lead_chances(1.75) == (0, 0.25, 0.75)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "names the month and then a part"),
        ("month\n2026-01\n", "names the month and then a part"),
        ("month;A;B\n", "separated by commas"),
        ("month,A,\n2026-01,1,2\n", "Column 3 has no heading"),
        ("month,A,A\n2026-01,1,2\n", "Two columns are headed A"),
        ("month,A\n", "a heading and no month"),
        ("month,A\n2026-01,1,2\n", "Line 2 has 3 cells, the heading 2"),
        ("month,A\nJanuary,1\n", "Line 2: 'January' is no month"),
        ("month,A\n2026-13,1\n", "'2026-13' is no month"),
        ("month,A\n2026-12,1\n2027-02,1\n", "Line 3: after 2026-12 comes 2027-01, not 2027-02"),
        ("month,A\n2026-01,1\n2026-01,1\n", "after 2026-01 comes 2026-02"),
        ("month,A\n2026-01,few\n", "A, 2026-01: 'few' is no number of pieces"),
        ("month,A\n2026-01,-1\n", "more returns than sales has 0"),
        ("month,A\n2026-01,2.5\n", "'2.5' is no number of pieces"),
        ("month,A\n2026-01,999999999\n", "A, 2026-01: whole pieces from 0 to 1000000"),
        ("month,A,B\n2026-01,1,1\n2026-02,1,\n2026-03,1,1\n", "B, 2026-02: no figure between two"),
        ('month,A\n2026-01,"1\n', "Line 2 is no line of a CSV file"),
    ],
)
def test_a_file_that_is_no_table_is_refused(text: str, message: str) -> None:
    with pytest.raises(PlanningError, match=message):
        read_table(text.splitlines(keepends=True))


def test_a_file_is_read_with_what_was_not_on_sale() -> None:
    found = read_table(["month,A, B \r\n", "2026-12, 3,\r\n", "\r\n", "2027-01,0,4.0\r\n"])
    assert found.months == ("2026-12", "2027-01")
    assert found.parts == ("A", "B")
    assert np.array_equal(found.values, np.array([[3, NAN], [0, 4]]), equal_nan=True)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("A,1,2\n", "line 1: a part and its price, not 3 cells"),
        ("part,price\nA,dear\n", "line 2: 'dear' is no price"),
        ("A,1\nA,2\n", "line 2: A has a price already"),
        ("A,-1\n", "'-1' is no price"),
        ("A,1\nB,0.005\n", "line 2: 0.005 is no whole number of cents"),
        ("A,1\n", "there is none for B and 1 more"),
        ("A,1\nB,1\n", "there is none for C. Each"),
    ],
)
def test_a_file_that_is_no_list_of_prices_is_refused(text: str, message: str) -> None:
    with pytest.raises(PlanningError, match=message):
        read_cents(text.splitlines(), ["A", "B", "C"])


def test_prices_come_in_any_order_and_may_be_more() -> None:
    assert read_cents(["part,price", "B,0.05", "D,9", "A,12.50"], ["A", "B"]).tolist() == [1250, 5]
