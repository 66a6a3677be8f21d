"""What is expected to be asked for, by month as forecast, or by week for those who look at weeks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta

from inventory.planning.demand import Calendar
from inventory.planning.demand.calendar import days_of_month
from inventory.planning.forecasting import count_pmf, quantiles
from inventory.targeting import PartForecast

from .history_chart import Expected
from .projecting import Asked
from .sorts import Every

LEVELS = (10, 25, 50, 75, 90)


def by_month(forecast: PartForecast) -> list[Expected]:
    """The forecast as it is."""
    return [
        Expected(month, mean, *(forecast.quantiles[level][ahead] for level in LEVELS))
        for ahead, (month, mean) in enumerate(zip(forecast.months, forecast.mean, strict=True))
    ]


def by_week(forecast: PartForecast, today: date) -> list[Expected]:
    """From this week on, each with its days' share of the months that they lie in."""
    calendar, months = Calendar("week"), asked_of(forecast)
    first, last = months[0].month, months[-1].month
    known = {one.month: one for one in months}
    end = last + timedelta(days_of_month(last)[1] - 1)
    weeks = []
    for number in range(calendar.number(today), calendar.number(end) + 1):
        start = calendar.first_day(number)
        days = (start + timedelta(day) for day in range(7))
        # A day before or after all that is forecast is taken for one of the nearest month.
        spent = Counter(min(max(day.replace(day=1), first), last) for day in days)
        shares = [(known[month], many / days_of_month(month)[1]) for month, many in spent.items()]
        weeks.append(_week(start, shares))
    return weeks


def _week(start: date, shares: Sequence[tuple[Asked, float]]) -> Expected:
    mean = sum(share * month.mean for month, share in shares)
    pmf = count_pmf(mean, sum(share * month.variance for month, share in shares))
    return Expected(start, mean, *map(float, quantiles(pmf, [level / 100 for level in LEVELS])))


def expected_by(forecast: PartForecast | None, every: Every, today: date) -> list[Expected]:
    """None, where there is nothing to forecast from, expects nothing."""
    if forecast is None:
        return []
    return by_month(forecast) if every == "month" else by_week(forecast, today)


def asked_of(forecast: PartForecast) -> list[Asked]:
    """For the stock to come."""
    rows = zip(forecast.months, forecast.mean, forecast.variance, strict=True)
    return [Asked(*row) for row in rows]
