"""Columns say what the same events one by one say."""

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning.demand import Event, Total, series, series_of_columns
from inventory.planning.demand.by_columns import EventColumns, OnSale, TotalColumns
from inventory.planning.demand.laid_out import BACK, MISSED, ONE_OFF, OUT, STAND_IN
from inventory.planning.ordering import PlanningError

START = date(2029, 11, 20)
DAYS = st.integers(0, 200).map(lambda day: START + timedelta(day))
PARTS = [3, 5, 8, 9]
SUCCESSORS: dict[int, int] = {5: 8}
STREAMS = {"lost": MISSED, "return": BACK}
events = st.builds(
    Event,
    st.sampled_from(PARTS),
    DAYS,
    st.integers(0, 9),
    st.sampled_from(["kit", "loose", "work", "lost", "return"]),
    st.booleans(),
    st.booleans(),
)
totals = st.builds(Total, st.sampled_from(PARTS), DAYS, st.integers(0, 90))


def whole(values: list[int]) -> Any:
    return np.array(values, np.int64)


def columns(of: list[Event[int]]) -> EventColumns:
    return EventColumns(
        whole([event.part for event in of]),
        whole([event.day.toordinal() for event in of]),
        whole([event.quantity for event in of]),
        whole([STREAMS.get(event.kind, OUT) for event in of]),
        whole([STAND_IN * event.stand_in + ONE_OFF * event.one_off for event in of]),
    )


def total_columns(of: list[Total[int]]) -> TotalColumns:
    return TotalColumns(
        whole([total.part for total in of]),
        whole([total.month.toordinal() for total in of]),
        whole([total.quantity for total in of]),
    )


def on_sale(of: dict[int, date]) -> OnSale:
    return OnSale(whole(list(of)), whole([day.toordinal() for day in of.values()]))


@given(
    st.lists(events, max_size=30),
    st.lists(totals, max_size=12),
    st.lists(DAYS, min_size=4, max_size=4),
    DAYS,
    st.sampled_from(["month", "week"]),
    st.booleans(),
    st.booleans(),
    st.booleans(),
)
def test_the_table_is_that_of_the_events_one_by_one(
    asked: list[Event[int]],
    months: list[Total[int]],
    since: list[date],
    until: date,
    every: Any,
    lost: bool,
    one_offs: bool,
    stand_ins: bool,
) -> None:
    sold_since = dict(zip(PARTS, since, strict=True))
    options = {"every": every, "lost": lost, "one_offs": one_offs, "stand_ins": stand_ins}
    slow = series(asked, sold_since, until, totals=months, successors=SUCCESSORS, **options)
    fast = series_of_columns(
        columns(asked), total_columns(months), on_sale(sold_since), until, successors=SUCCESSORS, **options
    )
    assert (fast.parts, fast.periods) == (slow.parts, slow.periods)
    np.testing.assert_array_equal(fast.values, slow.values)


def test_demand_of_a_part_that_is_not_on_sale_is_refused() -> None:
    for part in (4, 99):
        for known in ({3: START}, {}):
            with pytest.raises(PlanningError, match=f"Demand of part {part}"):
                series_of_columns(
                    columns([Event(part, START, 1, "kit")]), total_columns([]), on_sale(known), START
                )


def test_nothing_at_all_is_an_empty_table() -> None:
    empty = series_of_columns(columns([]), total_columns([]), on_sale({}), START)
    assert (empty.parts, empty.periods, empty.values.shape) == ((), (), (0, 0))
