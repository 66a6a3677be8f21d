"""What is expected to be asked for, by month as forecast, or by week for those who look at weeks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import accumulate
from math import copysign, sqrt

from inventory.planning.demand import Calendar
from inventory.planning.demand.calendar import days_of_month
from inventory.targeting import PartForecast

from .history_chart import Expected
from .projecting import Asked
from .sorts import Every

_LEVELS = (10, 25, 50, 75, 90)


def by_month(forecast: PartForecast) -> list[Expected]:
    """The forecast as it is."""
    return [
        Expected(month, mean, *(forecast.quantiles[level][ahead] for level in _LEVELS))
        for ahead, (month, mean) in enumerate(zip(forecast.months, forecast.mean, strict=True))
    ]


def by_week(months: Sequence[Expected], today: date) -> list[Expected]:
    """From this week on, each with its days' share of the months that they lie in.

    Days are independent of each other: how far a quantile of a week lies from the mean is the root of the
    sum of its days' shares of the squares of how far that of a month does.
    """
    if not months:
        return []
    calendar, known = Calendar("week"), {one.start: one for one in months}
    first, last = months[0].start, months[-1].start
    end = last + timedelta(days_of_month(last)[1] - 1)
    weeks = []
    for number in range(calendar.number(today), calendar.number(end) + 1):
        start = calendar.first_day(number)
        days = (start + timedelta(day) for day in range(7))
        # A day before or after all that is forecast is taken for one of the nearest month.
        spent = Counter(min(max(day.replace(day=1), first), last) for day in days)
        shares = {known[month]: many / days_of_month(month)[1] for month, many in spent.items()}
        weeks.append(_week(start, shares))
    return weeks


def _week(start: date, shares: dict[Expected, float]) -> Expected:
    mean = sum(share * month.mean for month, share in shares.items())
    levels = [_level(level, mean, shares) for level in range(len(_LEVELS))]
    return Expected(start, mean, *accumulate(levels, max))


def _level(level: int, mean: float, shares: dict[Expected, float]) -> float:
    squares = 0.0
    for month, share in shares.items():
        off = month.levels[level] - month.mean
        squares += share * copysign(off * off, off)
    return max(0.0, mean + copysign(sqrt(abs(squares)), squares))


def expected_by(forecast: PartForecast | None, every: Every, today: date) -> list[Expected]:
    """None, where there is nothing to forecast from, expects nothing."""
    months = by_month(forecast) if forecast else []
    return months if every == "month" else by_week(months, today)


def asked_of(months: Sequence[Expected]) -> list[Asked]:
    """For the stock to come: of each month the mean, and where 8 of 10 lie."""
    return [Asked(one.start, one.mean, one.p10, one.p90) for one in months]
