"""The table of demand is what a clerk with a stack of slips would write."""

from collections import defaultdict
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.demand import Event, Series, Total, last_successors, series
from inventory.planning.demand.calendar import Every
from inventory.planning.demand.events import Kind

START, UNTIL = date(2030, 1, 1), date(2030, 7, 10)
PARTS = ("hub", "nut", "old nut")
LINE = {"old nut": "nut"}
kinds: tuple[Kind, ...] = ("kit", "loose", "work", "lost", "return")
events = st.lists(
    st.builds(
        Event,
        st.sampled_from(PARTS),
        st.dates(START, UNTIL + timedelta(40)),
        st.integers(0, 5),
        st.sampled_from(kinds),
        stand_in=st.booleans(),
        one_off=st.booleans(),
    ),
    max_size=25,
)
flags = st.fixed_dictionaries({"lost": st.booleans(), "one_offs": st.booleans(), "stand_ins": st.booleans()})
ON_SALE = dict.fromkeys(("hub", "nut"), START)


def by_slips(slips: list[Event[str]], part: str, **wanted: bool) -> list[int]:
    """Each piece that goes out is a slip on the stack of its mark; what comes back takes the topmost off."""
    months = [0] * 6
    for mark in ((False, False), (False, True), (True, False), (True, True)):
        if (mark[0] and not wanted["stand_ins"]) or (mark[1] and not wanted["one_offs"]):
            continue
        mine = [
            slip
            for slip in slips
            if LINE.get(slip.part, slip.part) == part and (slip.stand_in, slip.one_off) == mark
        ]
        stack: list[int] = []
        for month in range(6):
            this = [slip for slip in mine if (slip.day.year, slip.day.month) == (2030, month + 1)]
            stack += [month] * sum(slip.quantity for slip in this if slip.kind in ("kit", "loose", "work"))
            for _ in range(sum(slip.quantity for slip in this if slip.kind == "return")):
                stack[-1:] = []
            if wanted["lost"]:
                months[month] += sum(slip.quantity for slip in this if slip.kind == "lost")
        for month in stack:
            months[month] += 1
    return months


@given(slips=events, wanted=flags)
def test_the_table_is_the_stack_of_slips(slips: list[Event[str]], wanted: dict[str, bool]) -> None:
    found = series(
        slips,
        ON_SALE,
        UNTIL,
        successors=LINE,
        lost=wanted["lost"],
        one_offs=wanted["one_offs"],
        stand_ins=wanted["stand_ins"],
    )
    assert found.parts == ("hub", "nut")
    assert found.periods == tuple(date(2030, month, 1) for month in range(1, 7))
    assert found.values.tolist() == [by_slips(slips, part, **wanted) for part in found.parts]


@given(slips=events)
def test_what_went_out_as_a_stand_in_can_be_told_apart(slips: list[Event[str]]) -> None:
    own, stood_in = ([slip for slip in slips if slip.stand_in == stand_in] for stand_in in (False, True))
    together, first_choice, alone = (
        series(each, ON_SALE, UNTIL, successors=LINE, stand_ins=stand_ins).values
        for each, stand_ins in ((slips, True), (slips, False), (stood_in, True))
    )
    assert (together - first_choice == alone).all()
    assert (first_choice == series(own, ON_SALE, UNTIL, successors=LINE).values).all()


@given(slips=events)
def test_weeks_hold_what_the_months_hold(slips: list[Event[str]]) -> None:
    """Until a day on which both a month and a week are over; returns may fall into another period."""
    over = date(2030, 7, 1)
    assert over.isoweekday() == 1
    sold = [slip for slip in slips if slip.kind != "return"]
    monthly, weekly = (series(sold, ON_SALE, over, successors=LINE, every=every) for every in PERIODS)
    assert np.nansum(monthly.values, axis=1).tolist() == np.nansum(weekly.values, axis=1).tolist()
    by_week: dict[tuple[str, date], int] = defaultdict(int)
    for slip in sold:
        by_week[LINE.get(slip.part, slip.part), slip.day - timedelta(slip.day.weekday())] += slip.quantity
    for part, values in zip(weekly.parts, weekly.values.tolist(), strict=True):
        assert values == [by_week[part, week] for week in weekly.periods]


PERIODS: tuple[Every, Every] = ("month", "week")


@given(quantity=st.integers(0, 400), month=st.integers(1, 12))
def test_a_monthly_total_is_spread_over_weeks_and_loses_nothing(quantity: int, month: int) -> None:
    totals = [Total("hub", date(2029, month, 17), quantity)]
    weekly = series([], {"hub": date(2028, 12, 1)}, date(2030, 2, 1), every="week", totals=totals)
    first = date(2029, month, 1)
    assert weekly.values.sum() == quantity
    for week, pieces in zip(weekly.periods, weekly.values[0], strict=True):
        days = [week + timedelta(day) for day in range(7)]
        share = sum((day.year, day.month) == (2029, month) for day in days) * quantity
        length = ((first + timedelta(31)).replace(day=1) - first).days
        assert abs(pieces - share / length) < 1
    monthly = series([], {"hub": date(2028, 12, 1)}, date(2030, 2, 1), totals=totals)
    assert monthly.values[0, monthly.periods.index(first)] == quantity


def loose(part: str, day: date, quantity: int = 1, kind: Kind = "loose") -> Event[str]:
    return Event(part, day, quantity, kind)


def test_nothing_is_known_before_a_part_was_on_sale() -> None:
    on_sale = {"hub": date(2030, 1, 5), "nut": date(2030, 3, 31), "seal": date(2031, 1, 1)}
    found = series([loose("hub", date(2030, 2, 2), 3)], on_sale, date(2030, 5, 1))
    assert np.array_equal(
        found.values,
        np.array([[0, 3, 0, 0], [np.nan, np.nan, 0, 0], [np.nan] * 4]),
        equal_nan=True,
    )


def test_a_sale_shows_that_a_part_was_on_sale_sooner() -> None:
    found = series([loose("hub", date(2030, 2, 2), 3)], {"hub": date(2030, 4, 1)}, date(2030, 5, 1))
    assert found.periods[0] == date(2030, 2, 1)
    assert found.values.tolist() == [[3, 0, 0]]


def test_a_successor_has_the_history_of_its_whole_line() -> None:
    line = {"nut 1": "nut 2", "nut 2": "nut 3"}
    sold = [loose("nut 1", date(2030, 1, 9), 4), loose("nut 2", date(2030, 2, 9), 5)]
    on_sale = {"nut 1": date(2029, 12, 1), "nut 3": date(2030, 3, 1)}
    found: Series[str] = series(sold, on_sale, date(2030, 4, 1), successors=line)
    assert found.parts == ("nut 3",)
    assert found.values.tolist() == [[0, 4, 5, 0]]


def test_the_period_that_is_not_over_is_left_for_later() -> None:
    sold = [loose("hub", date(2030, 2, 9), 4), loose("hub", date(2030, 2, 10), 4, "return")]
    assert series(sold, {"hub": START}, date(2030, 2, 28)).values.tolist() == [[0]]
    assert series(sold, {"hub": START}, START).values.shape == (1, 0)
    assert series([], {}, UNTIL).values.shape == (0, 0)


def test_a_line_that_comes_back_to_itself_is_refused() -> None:
    assert last_successors({"a": "b", "b": "c", "d": "b"}) == {"a": "c", "b": "c", "d": "c"}
    with pytest.raises(PlanningError, match="superseded by itself"):
        last_successors({"a": "b", "b": "c", "c": "b"})


def test_demand_of_a_part_that_nobody_sells_is_refused() -> None:
    with pytest.raises(PlanningError, match="Demand of part 'gear', which is not on sale"):
        series([loose("gear", date(2030, 1, 1))], ON_SALE, UNTIL)
    with pytest.raises(PlanningError, match="Demand of part 'gear'"):
        series([], ON_SALE, UNTIL, totals=[Total("gear", START, 1)])


def test_slips_that_say_nothing_sensible_are_refused() -> None:
    with pytest.raises(PlanningError, match="A demand is one of kit, loose, work, lost, return"):
        loose("hub", START, 1, "gift")  # type: ignore[arg-type]  # As a file may have it.
    with pytest.raises(PlanningError, match="a whole number of at least 0"):
        loose("hub", START, -1)
    with pytest.raises(PlanningError, match="a whole number of at least 0"):
        Total("hub", START, -1)
