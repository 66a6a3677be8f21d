"""What is expected of one part: month by month, for people to look at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from inventory.models import Target
from inventory.planning.demand.calendar import Calendar
from inventory.planning.forecasting import Forecast
from inventory.planning.ordering import PlanningError

from .asked import asked

LEVELS = (10, 25, 50, 75, 90)
MOST_MONTHS = 36


@dataclass(frozen=True)
class PartForecast:
    """`months` by their first days, this month first; mean and variance of each, `quantiles` by percent."""

    months: list[date]
    mean: list[float]
    variance: list[float]
    quantiles: dict[int, list[float]]
    method: str


def forecast_of(part_id: int, today: date, months: int = 6) -> PartForecast | None:
    """The forecast of a part from the month of `today` on; None where it is superseded or was never here.

    How far demand may lie from it is as the last run had it, which looked at all parts, if there was one
    that went by the same method; else as the part's own past has it.
    """
    if not 1 <= months <= MOST_MONTHS:
        raise PlanningError(f"A forecast is for 1 to {MOST_MONTHS} months, not {months}.")
    known = asked(today, part_ids=[part_id])
    row = known.row_of.get(part_id)
    if row is None or (not known.months_known[row] and not known.forecasts.prior_share[row]):
        return None
    forecast = _as_the_run_had_it(known.forecasts.one(row), part_id)
    calendar = Calendar("month")
    first = calendar.number(today)
    fan = forecast.fan(months, [level / 100 for level in LEVELS])
    index = forecast.indices or (1.0,)
    return PartForecast(
        [calendar.first_day(first + ahead) for ahead in range(months)],
        [forecast.mean * index[ahead % len(index)] for ahead in range(months)],
        [forecast.variance * index[ahead % len(index)] for ahead in range(months)],
        {level: list(map(float, fan[number])) for number, level in enumerate(LEVELS)},
        forecast.method,
    )


def _as_the_run_had_it(forecast: Forecast, part_id: int) -> Forecast:
    figures = Target.objects.filter(part=part_id).values_list("figures", flat=True).first() or {}
    demand = figures.get("demand") or {}
    if demand.get("method") != forecast.method or not demand.get("mean"):
        return forecast
    return replace(forecast, variance=forecast.mean * demand["variance"] / demand["mean"])
