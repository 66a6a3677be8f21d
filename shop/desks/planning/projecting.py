"""What will lie on the shelf, day by day: what is here, less what is kept and asked for, and what comes.

Pure: today is an argument. What is kept leaves on its day, and the forecast comes on top of it, as the target
has it: a customer who already waits is not the one who will come. Where the shelf is empty the customers
wait, and what comes goes to them first; so a level below 0 is what is missing.

Months are independent of each other, as forecasts have them: how far their sum may lie from what is expected
is the root of the sum of squares of how far each may, and in a share of a month it is the root of that share.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from typing import NamedTuple

from inventory.planning.demand.calendar import days_of_month


class Asked(NamedTuple):
    """What a month is expected to ask for, and the figures that 1 of 10 such months lie below and above."""

    month: date
    mean: float
    low: float
    high: float


class Level(NamedTuple):
    """At the end of a day: as expected, where much is asked for and where little. Below 0: so many wait."""

    day: date
    middle: float
    low: float
    high: float


class Change(NamedTuple):
    """Pieces that come on a day, or leave if below 0."""

    day: date
    quantity: int


@dataclass(frozen=True)
class Projection:
    """Levels from today on, one a day. `runs_out` is the first day on which nothing is left, as expected;
    `soonest` and `latest` where much or little is asked for; None if not within these days."""

    levels: tuple[Level, ...]
    runs_out: date | None
    soonest: date | None
    latest: date | None

    @property
    def missing(self) -> float:
        """How many wait at the worst, as expected."""
        return max(0.0, -min(level.middle for level in self.levels))


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
    here, sums = float(on_hand + moved[today]), _Sums()
    levels = [Level(today, here, here, here)]
    months = {one.month: one for one in asked}
    for ahead in range(1, (last - today).days + 1):
        day = today + timedelta(ahead)
        here += moved[day]
        sums.take(months.get(day.replace(day=1)))
        levels.append(Level(day, here - sums.mean, here - sums.high, here - sums.low))
    return Projection(
        tuple(levels),
        _first_empty((level.day, level.middle) for level in levels),
        _first_empty((level.day, level.low) for level in levels),
        _first_empty((level.day, level.high) for level in levels),
    )


class _Sums:
    """What has been asked for since today: never less than the day before, whatever the spreads."""

    def __init__(self) -> None:
        self.mean = self.low = self.high = 0.0
        self._below = self._above = 0.0

    def take(self, month: Asked | None) -> None:
        """Another day of that month; a day past all forecasts asks for nothing."""
        if month is None:
            return
        share = 1 / days_of_month(month.month)[1]
        self.mean += share * month.mean
        self._below += share * max(0.0, month.mean - month.low) ** 2
        self._above += share * max(0.0, month.high - month.mean) ** 2
        self.low = max(self.low, self.mean - sqrt(self._below))
        self.high = max(self.high, self.mean + sqrt(self._above))


_ROUNDING = 1e-9


def _first_empty(levels: Iterable[tuple[date, float]]) -> date | None:
    """The first day on which less than half a piece is left: pieces are whole."""
    return next((day for day, level in levels if level < 0.5 - _ROUNDING), None)
