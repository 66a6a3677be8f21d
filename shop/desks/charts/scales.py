"""From figures and days to units of a drawing, and the round figures that an axis is labelled with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

MONTHS = 12
_STEPS_OF_DAYS = (1, 2, 7, 14)
_STEPS_OF_MONTHS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200)
_DAYS_OF_MONTH = 30.4


@dataclass(frozen=True)
class Scale:
    """`low` lies at `start` and `high` at `end`; what lies beyond is drawn on the edge, never outside.

    `start` may be the larger: pieces grow upwards, while units of a drawing grow downwards.
    """

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        if self.high <= self.low:
            return self.start
        share = min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)
        return self.start + (self.end - self.start) * share


@dataclass(frozen=True)
class Days:
    """The same for days: `first` at `start`, `last` at `end`."""

    first: date
    last: date
    start: float
    end: float

    def at(self, day: date) -> float:
        return Scale(0, (self.last - self.first).days, self.start, self.end).at((day - self.first).days)


def round_step(span: float, about: int, *, least: float = 0.0) -> float:
    """1, 2 or 5 times a power of ten, so that at most `about` of them reach over `span`.

    `least`: no step is smaller, as no axis of pieces is labelled with halves.
    """
    if not (span / about > 0 and math.isfinite(span)):
        return max(least, 1.0)
    power = 10.0 ** math.floor(math.log10(span / about))
    step = next((times * power for times in (1, 2, 5) if times * power * about >= span), 10 * power)
    return max(step, least)


def ticks(low: float, high: float, about: int, *, least: float = 0.0) -> list[float]:
    """The multiples of a round step from `low` to `high`, both included."""
    step = round_step(high - low, about, least=least)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


def day_ticks(first: date, last: date, most: int) -> list[tuple[date, str]]:
    """At most `most` days at even steps with their labels: Mondays, or the first days of months.

    The year stands on the first label and wherever a new one begins.
    """
    span = (last - first).days
    for step in _STEPS_OF_DAYS:
        if span / step + 1 <= most:
            start = first if step < 7 else first + timedelta(days=-first.weekday() % 7)
            return [(day, f"{day:%-d %b}") for day in _days(start, last, step)]
    for months in _STEPS_OF_MONTHS:
        if span / (months * _DAYS_OF_MONTH) + 1 <= most or months == _STEPS_OF_MONTHS[-1]:
            return _labelled(_months(first, last, months))
    raise AssertionError("unreachable: the longest step is taken whatever the span")


def _days(start: date, last: date, step: int) -> list[date]:
    return [start + timedelta(days=days) for days in range(0, (last - start).days + 1, step)]


def _months(first: date, last: date, step: int) -> list[date]:
    """First days of months whose number since year 0 is a multiple of `step`."""
    number = first.year * MONTHS + first.month - 1 + (first.day > 1)
    number += -number % step
    found = []
    while (
        number // MONTHS <= date.max.year and (day := date(number // MONTHS, number % MONTHS + 1, 1)) <= last
    ):
        found.append(day)
        number += step
    return found


def _labelled(days: list[date]) -> list[tuple[date, str]]:
    years = [None, *(day.year for day in days)]
    return [
        (day, f"{day:%b}" if day.year == before else f"{day:%b %Y}")
        for day, before in zip(days, years, strict=False)
    ]
