"""Calendar months and ISO weeks as numbers in a row."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from inventory.planning.ordering import PlanningError

Every = Literal["month", "week"]


@dataclass(frozen=True)
class Calendar:
    """Periods counted from a fixed start long ago: calendar months, or weeks from Monday (ISO 8601)."""

    every: Every

    def __post_init__(self) -> None:
        if self.every not in ("month", "week"):
            raise PlanningError(f"Periods are a month or a week, not {self.every!r}.")

    def number(self, day: date) -> int:
        """The period that `day` lies in."""
        if self.every == "month":
            return day.year * 12 + day.month - 1
        # Day 1 of all days, 1 January of year 1, was a Monday.
        return (day.toordinal() - 1) // 7

    def first_day(self, number: int) -> date:
        """The day that a period begins on."""
        if self.every == "month":
            return date(number // 12, number % 12 + 1, 1)
        return date.fromordinal(number * 7 + 1)


def days_of_month(day: date) -> tuple[date, int]:
    """The first day of the month that `day` lies in, and how many days it has."""
    first = day.replace(day=1)
    return first, ((first + timedelta(31)).replace(day=1) - first).days
