"""What no table of demand is, and figures that no choice can be made by, are refused with what to do."""

from collections.abc import Callable
from typing import Any

import pytest

from inventory.planning import PlanningError, forecasting
from inventory.planning.demand import classify
from inventory.planning.forecasting import METHODS, forecast_many

NAN = float("nan")
TAKERS: list[Callable[[Any], object]] = [
    *(getattr(forecasting, name) for name in METHODS),
    forecast_many,
    classify,
]
BAD = {
    "hole": ([[1, NAN, 2]], "Row 0 has no demand for period 1 after it was on sale: give 0 for none"),
    "end": ([[1, 2, 3], [1, 2, NAN]], "Row 1 has no demand for period 2"),
    "below": ([[1, -2, 3]], "Row 0, period 1: a demand of at least 0, not -2"),
    "endless": ([[1, float("inf")]], "Row 0, period 1: a demand of at least 0, not inf"),
    "ragged": ([[1, 2], [1]], "as many periods in each row"),
    "words": ([["many"]], "a table of numbers"),
    "deep": ([[[1.0]]], "not 3 dimensions"),
}


@pytest.mark.parametrize("taker", TAKERS, ids=lambda taker: taker.__name__)
@pytest.mark.parametrize("name", BAD)
def test_every_taker_of_a_table_refuses_it(taker: Callable[[Any], object], name: str) -> None:
    table, message = BAD[name]
    with pytest.raises(PlanningError, match=message):
        taker(table)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"methods": ["guess"]}, "Methods: some of ses"),
        ({"methods": []}, "Methods: some of ses"),
        ({"methods": ["ses", "ses"]}, "each once"),
        ({"origins": 0}, "Origins: a whole number of at least 1"),
        ({"steps": 1.5}, "Steps: a whole number"),
        ({"season": 1}, "Periods in a year: a whole number of at least 2"),
        ({"gain": 1.0}, "a share below 1"),
        ({"gain": NAN}, "a share below 1"),
        ({"young": 0}, "Young: a whole number"),
        ({"block": True}, "Rows in a block: a whole number"),
        ({"prior_mean": [1.0]}, "Prior means: one of at least 0 for each of 2 parts"),
        ({"prior_mean": [1.0, -1.0]}, "Prior means: one of at least 0"),
        ({"prior_mean": [1.0, float("inf")]}, "Prior means: one of at least 0"),
    ],
)
def test_figures_that_no_choice_is_made_by_are_refused(options: dict[str, Any], message: str) -> None:
    with pytest.raises(PlanningError, match=message):
        forecast_many([[1, 2, 3], [0, 1, 0]], **options)
