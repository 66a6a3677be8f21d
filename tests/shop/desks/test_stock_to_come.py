"""Stock to come, day by day, against counting by hand; and weeks out of months."""

from __future__ import annotations

from datetime import date, timedelta
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning.demand import Calendar
from inventory.planning.demand.calendar import days_of_month
from shop.desks.planning.expected import asked_of, by_week
from shop.desks.planning.history_chart import Expected
from shop.desks.planning.projecting import Asked, Change, project

TODAY = date(2026, 1, 17)
MONTHS = Calendar("month")


def month(ahead: int) -> date:
    return MONTHS.first_day(MONTHS.number(TODAY) + ahead)


def asked(*figures: tuple[float, float, float]) -> list[Asked]:
    """Means with the figures that 1 of 10 lie below and above, from this month on."""
    return [Asked(month(ahead), mean, low, high) for ahead, (mean, low, high) in enumerate(figures)]


quantities = st.floats(0, 400)
figures = st.lists(
    st.tuples(quantities, quantities, quantities).map(lambda one: (one[0], min(one), max(one))), max_size=5
)
changes = st.lists(st.tuples(st.integers(-9, 160), st.integers(-60, 120)), max_size=8)


@given(st.integers(0, 500), changes, figures)
def test_each_day_is_what_was_there_and_came_less_what_left_and_was_asked_for(
    here: int, moved: list[tuple[int, int]], ahead: list[tuple[float, float, float]]
) -> None:
    known = [Change(TODAY + timedelta(day), quantity) for day, quantity in moved]
    months = asked(*ahead)
    by_first = {one.month: one for one in months}
    found = project(here, known, months, TODAY)
    for level in found.levels:
        days = [TODAY + timedelta(day) for day in range(1, (level.day - TODAY).days + 1)]
        wanted = [by_first[day.replace(day=1)] for day in days if day.replace(day=1) in by_first]
        mean = sum(one.mean / days_of_month(one.month)[1] for one in wanted)
        above = sum((one.high - one.mean) ** 2 / days_of_month(one.month)[1] for one in wanted)
        there = here + sum(change.quantity for change in known if change.day <= level.day)
        assert level.middle == pytest.approx(there - mean, abs=1e-6)
        assert level.low <= level.middle + 1e-9 <= level.high + 2e-9
        assert there - level.low >= mean + sqrt(above) - 1e-6
        assert level.high <= there + 1e-9


@given(st.integers(0, 500), changes, figures)
def test_it_runs_out_on_the_first_day_with_less_than_half_a_piece(
    here: int, moved: list[tuple[int, int]], ahead: list[tuple[float, float, float]]
) -> None:
    known = [Change(TODAY + timedelta(day), quantity) for day, quantity in moved]
    found = project(here, known, asked(*ahead), TODAY)
    for day, column in ((found.runs_out, "middle"), (found.soonest, "low"), (found.latest, "high")):
        empty = [level.day for level in found.levels if getattr(level, column) < 0.499999]
        assert (day is None) <= (not empty)
        assert day is None or not empty or day <= empty[0]
    assert found.missing == pytest.approx(max(0.0, -min(level.middle for level in found.levels)))


def test_without_any_spread_all_three_are_one() -> None:
    found = project(31, [], asked((31, 31, 31), (28, 28, 28)), date(2026, 1, 1))
    assert [level.middle for level in found.levels[:3]] == pytest.approx([31, 30, 29])
    assert all(level.low == level.middle == level.high for level in found.levels)
    assert found.runs_out == found.soonest == found.latest == date(2026, 2, 1)


def test_a_delivery_lifts_it_and_what_is_kept_lowers_it_on_its_day() -> None:
    found = project(5, [Change(TODAY + timedelta(3), 10), Change(TODAY - timedelta(2), -2)], [], TODAY)
    assert [level.middle for level in found.levels[:5]] == [3, 3, 3, 13, 13]
    assert found.levels[-1].day == date(2026, 1, 31) and found.runs_out is None


months_ahead = st.lists(st.lists(quantities, min_size=6, max_size=6), min_size=1, max_size=5).map(
    lambda rows: [Expected(month(ahead), row[0], *sorted(row[1:])) for ahead, row in enumerate(rows)]
)


@given(months_ahead)
def test_weeks_ask_for_what_their_days_share_of_the_months(months: list[Expected]) -> None:
    weeks = by_week(months, TODAY)
    a_day = {one.start: one.mean / days_of_month(one.start)[1] for one in months}
    first, last = months[0].start, months[-1].start
    for week in weeks:
        days = [week.start + timedelta(day) for day in range(7)]
        assert week.start.weekday() == 0
        assert week.mean == pytest.approx(
            sum(a_day[min(max(day.replace(day=1), first), last)] for day in days), abs=1e-6
        )
        assert list(week.levels) == sorted(week.levels) and week.p10 >= 0
    assert weeks[0].start <= TODAY < weeks[0].start + timedelta(7)
    assert weeks[-1].start + timedelta(7) > last + timedelta(days_of_month(last)[1] - 1)


def test_nothing_is_expected_of_nothing() -> None:
    assert by_week([], TODAY) == [] and asked_of([]) == []
