"""Months and weeks as numbers."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.demand import Calendar

days = st.dates(date(1990, 1, 1), date(2099, 12, 31))


@given(day=days)
def test_a_day_lies_in_its_iso_week_which_begins_on_a_monday(day: date) -> None:
    weeks = Calendar("week")
    first = weeks.first_day(weeks.number(day))
    assert first.isoweekday() == 1 and first.isocalendar()[:2] == day.isocalendar()[:2]
    assert weeks.number(first + timedelta(7)) == weeks.number(day) + 1


@given(day=days)
def test_a_day_lies_in_its_month_which_begins_on_the_first(day: date) -> None:
    months = Calendar("month")
    first = months.first_day(months.number(day))
    assert first == day.replace(day=1)
    assert months.number(first - timedelta(1)) == months.number(day) - 1


def test_other_periods_are_refused() -> None:
    with pytest.raises(PlanningError, match="a month or a week"):
        Calendar("year")  # type: ignore[arg-type]  # A caller without a type checker.
