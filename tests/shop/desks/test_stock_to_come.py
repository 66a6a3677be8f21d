"""Stock to come, day by day, against counting by hand; and weeks out of months."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inventory.planning.demand import Calendar
from inventory.planning.demand.calendar import days_of_month
from inventory.targeting import PartForecast
from shop.desks.planning.expected import asked_of, by_week, expected_by
from shop.desks.planning.projecting import Asked, Change, project

TODAY = date(2026, 1, 17)
MONTHS = Calendar("month")
NEARLY = 1e-6


def month(ahead: int) -> date:
    return MONTHS.first_day(MONTHS.number(TODAY) + ahead)


def asked(*figures: tuple[float, float]) -> list[Asked]:
    """Means and variances from this month on."""
    return [Asked(month(ahead), mean, variance) for ahead, (mean, variance) in enumerate(figures)]


def at_most(quantity: int, mean: float, variance: float) -> float:
    """How likely no more than so many are asked for: by another library's distributions."""
    if mean < NEARLY:
        return float(quantity >= 0)
    if variance <= mean * (1 + NEARLY):
        return float(stats.poisson.cdf(quantity, mean))
    share = mean / variance
    return float(stats.nbinom.cdf(quantity, mean * share / (1 - share), share))


pairs = st.tuples(st.floats(0, 60), st.floats(0.2, 4)).map(lambda one: (one[0], one[0] * one[1]))
figures = st.lists(pairs, max_size=3)
changes = st.lists(st.tuples(st.integers(-9, 100), st.integers(-60, 120)), max_size=8)


@given(st.integers(0, 200), changes, figures)
@settings(max_examples=40)
def test_each_day_is_what_was_there_and_came_less_what_left_and_was_asked_for(
    here: int, moved: list[tuple[int, int]], ahead: list[tuple[float, float]]
) -> None:
    known = [Change(TODAY + timedelta(day), quantity) for day, quantity in moved]
    months = {one.month: one for one in asked(*ahead)}
    levels = project(here, known, list(months.values()), TODAY).levels
    assert [level.day for level in levels] == [TODAY + timedelta(day) for day in range(len(levels))]
    for level in levels[::5]:
        days = [TODAY + timedelta(day) for day in range(1, (level.day - TODAY).days + 1)]
        wanted = [months[day.replace(day=1)] for day in days if day.replace(day=1) in months]
        mean = sum(one.mean / days_of_month(one.month)[1] for one in wanted)
        variance = sum(one.variance / days_of_month(one.month)[1] for one in wanted)
        there = here + sum(change.quantity for change in known if change.day <= level.day)
        assert level.low <= level.middle <= level.high <= there
        for left, chance in ((level.high, 0.1), (level.middle, 0.5), (level.low, 0.9)):
            taken = there - left  # The least number that is not exceeded in so many cases.
            assert at_most(taken, mean, variance) >= chance - NEARLY
            assert at_most(taken - 1, mean, variance) < chance + NEARLY


@given(st.integers(0, 200), changes, figures)
@settings(max_examples=40)
def test_it_runs_out_on_the_first_day_with_nothing_left(
    here: int, moved: list[tuple[int, int]], ahead: list[tuple[float, float]]
) -> None:
    known = [Change(TODAY + timedelta(day), quantity) for day, quantity in moved]
    found = project(here, known, asked(*ahead), TODAY)
    for day, column in ((found.runs_out, "middle"), (found.soonest, "low"), (found.latest, "high")):
        empty = [level.day for level in found.levels if getattr(level, column) <= 0]
        assert day == (empty[0] if empty else None)
    assert found.missing == max(0, -min(level.middle for level in found.levels))


def test_a_delivery_lifts_it_and_what_is_kept_lowers_it_on_its_day() -> None:
    found = project(5, [Change(TODAY + timedelta(3), 10), Change(TODAY - timedelta(2), -2)], [], TODAY)
    assert [level.middle for level in found.levels[:5]] == [3, 3, 3, 13, 13]
    assert found.levels[-1].day == date(2026, 1, 31) and found.runs_out is None


def test_what_hardly_sells_lasts() -> None:
    """Of 0.1 a month nine months in ten see none: a mean alone would have the last piece fade away."""
    found = project(1, [], asked(*[(0.1, 0.1)] * 5), TODAY)
    assert found.runs_out is None and found.latest is None
    assert {level.high for level in found.levels} == {1}


def forecast(figures: list[tuple[float, float]]) -> PartForecast:
    months = [month(ahead) for ahead in range(len(figures))]
    flat = {level: [0.0] * len(figures) for level in (10, 25, 50, 75, 90)}
    return PartForecast(months, [one[0] for one in figures], [one[1] for one in figures], flat, "ses")


@given(st.lists(pairs, min_size=1, max_size=5))
def test_weeks_ask_for_what_their_days_share_of_the_months(figures: list[tuple[float, float]]) -> None:
    known = forecast(figures)
    weeks = by_week(known, TODAY)
    a_day = {one.month: one.mean / days_of_month(one.month)[1] for one in asked_of(known)}
    first, last = known.months[0], known.months[-1]
    for week in weeks:
        days = [week.start + timedelta(day) for day in range(7)]
        mean = sum(a_day[min(max(day.replace(day=1), first), last)] for day in days)
        assert week.start.weekday() == 0
        assert week.mean == pytest.approx(mean, abs=NEARLY)
        assert list(week.levels) == sorted(week.levels) and week.p10 >= 0
    assert weeks[0].start <= TODAY < weeks[0].start + timedelta(7)
    assert weeks[-1].start + timedelta(7) > last + timedelta(days_of_month(last)[1] - 1)


def test_nothing_is_expected_of_nothing() -> None:
    assert expected_by(None, "week", TODAY) == expected_by(None, "month", TODAY) == []
