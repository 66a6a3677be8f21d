"""Bench time day by day, and the day on which a piece of work is done."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from .figures import plain_day, whole
from .ordering import PlanningError

# What is not done within ten years is not planned but forgotten.
HORIZON_DAYS = 3650


@dataclass(frozen=True)
class WorkDays:
    """Minutes of bench time by weekday, Monday first; none on `closed` days.

    `booked` is what other orders already take of a day.
    """

    minutes: Sequence[int]
    closed: frozenset[date] = frozenset()
    booked: Mapping[date, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if len(self.minutes) != 7:
            raise PlanningError(f"A week has seven days of bench time, Monday first, not {self.minutes!r}.")
        for minutes in (*self.minutes, *self.booked.values()):
            whole(minutes, "Minutes of bench time in a day")
        for day in (*self.closed, *self.booked):
            plain_day(day, "A closed or a booked day")

    def free(self, day: date) -> int:
        """Minutes of bench time that are left on `day`."""
        if day in self.closed:
            return 0
        return max(0, self.minutes[day.weekday()] - self.booked.get(day, 0))

    def done(self, start: date, minutes: int) -> date:
        """The day on which work of `minutes` is done that begins on `start`: that day if it needs none."""
        left, day = whole(minutes, "Minutes of work"), plain_day(start, "The day on which work begins")
        while left > self.free(day):
            left -= self.free(day)
            if (day - start).days >= HORIZON_DAYS or day == date.max:
                raise PlanningError(f"Work of {minutes} minutes is not done in ten years: open the bench.")
            day += timedelta(days=1)
        return day


def done_by(work: WorkDays | None, start: date, minutes: int) -> date:
    """As `WorkDays.done`; where there is no bench only work of no minutes is done."""
    if work is not None:
        return work.done(start, minutes)
    if whole(minutes, "Minutes of work"):
        raise PlanningError(f"{minutes} minutes of work need bench time: give the work days.")
    return start
