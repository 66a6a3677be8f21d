"""What will lie on the shelf, day by day: what is here, less what is kept and asked for, and what comes.

Pure: today is an argument. What is kept leaves on its day, and the forecast comes on top of it, as the target
has it: a customer who already waits is not the one who will come. Where the shelf is empty the customers
wait, and what comes goes to them first; so a level below 0 is what is missing.

What is asked for from today to a day is a distribution, by the sum of the days' shares of the months' means
and variances (days are independent of each other, as forecasts have them).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from inventory.planning.demand.calendar import days_of_month
from inventory.planning.forecasting import count_pmf, quantiles

LITTLE, MIDDLE, MUCH = 0.1, 0.5, 0.9


class Asked(NamedTuple):
    """What a month is expected to ask for."""

    month: date
    mean: float
    variance: float


class Level(NamedTuple):
    """At the end of a day, below 0 where so many wait. Of 10 cases one lies below `low`, one above `high`,
    and half below `middle`."""

    day: date
    middle: int
    low: int
    high: int


class Change(NamedTuple):
    """Pieces that come on a day, or leave if below 0."""

    day: date
    quantity: int


@dataclass(frozen=True)
class Projection:
    """Levels from today on, one a day. On `runs_out` it is, first, as likely as not that nothing is left; on
    `soonest` it is so in 1 of 10 cases, on `latest` in 9. None if not within these days."""

    levels: tuple[Level, ...]
    runs_out: date | None
    soonest: date | None
    latest: date | None

    @property
    def missing(self) -> int:
        """How many wait at the worst, in the middle case."""
        return max(0, -min(level.middle for level in self.levels))


def project(on_hand: int, changes: Iterable[Change], asked: Sequence[Asked], today: date) -> Projection:
    """The levels from today to the end of the last month of `asked`, or of today's where that is empty.

    Changes that are overdue happen today. `asked` are months in a row, today's first; what was asked for
    today counts as asked for already.
    """
    moved: Counter[date] = Counter()
    for change in changes:
        moved[max(change.day, today)] += change.quantity
    first, days = days_of_month(asked[-1].month if asked else today)
    last = max(today, first + timedelta(days - 1))
    here, sums = on_hand + moved[today], _Sums()
    levels = [Level(today, here, here, here)]
    months = {one.month: one for one in asked}
    for ahead in range(1, (last - today).days + 1):
        day = today + timedelta(ahead)
        here += moved[day]
        little, middle, much = sums.take(months.get(day.replace(day=1)))
        levels.append(Level(day, here - middle, here - much, here - little))
    return Projection(
        tuple(levels),
        _first_empty((level.day, level.middle) for level in levels),
        _first_empty((level.day, level.low) for level in levels),
        _first_empty((level.day, level.high) for level in levels),
    )


class _Sums:
    """What has been asked for since today."""

    def __init__(self) -> None:
        self._mean = self._variance = 0.0

    def take(self, month: Asked | None) -> list[int]:
        """With another day of that month: little, the middle and much. A day past all forecasts has none."""
        if month is not None:
            share = 1 / days_of_month(month.month)[1]
            self._mean += share * month.mean
            self._variance += share * month.variance
        pmf = count_pmf(self._mean, self._variance)
        return [int(found) for found in quantiles(pmf, (LITTLE, MIDDLE, MUCH))]


def _first_empty(levels: Iterable[tuple[date, int]]) -> date | None:
    return next((day for day, level in levels if level <= 0), None)
