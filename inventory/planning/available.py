"""Available to promise: how many pieces of one part can be promised for which day.

The balance of a day is what is on hand, plus what is expected by then, less what leaves by then. What
can be promised for a day is the least balance from that day on, so that no later promise is broken;
it never falls as days go by. Source: discrete and cumulative available-to-promise as in Vollmann,
Berry, Whybark & Jacobs, Manufacturing Planning and Control (master scheduling), from memory.
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from .figures import plain_day, whole
from .ordering import PlanningError

# Later than this is no lateness but a slip of the pen.
MOST_SAFETY_DAYS = 3650


class Taking(NamedTuple):
    """Pieces that a hold or a commitment takes, and the day on which they leave; overdue ones leave today.

    A hold that runs takes its pieces whole, since it may become an order; one that has lapsed is not given.
    """

    day: date
    quantity: int


class Arrival(NamedTuple):
    """What one purchase line still brings. `safety_days`: how much later than due it is counted on."""

    due: date
    quantity: int
    safety_days: int = 0
    line: str = ""

    def expected(self, today: date) -> date:
        """The day to count on; one that is over even with its safety is not expected before tomorrow."""
        try:
            day = self.due + timedelta(days=self.safety_days)
            return day if day >= today else today + timedelta(days=1)
        except OverflowError as error:
            raise PlanningError(f"{self.due} and {self.safety_days} days is past all calendars.") from error


@dataclass(frozen=True)
class Available:
    """Steps: from `days[i]` on, `quantities[i]` pieces can be promised. The first day is today.

    Quantities rise from step to step. `short` pieces are promised already and covered by nothing;
    the balance first falls below zero on `short_on`.
    """

    days: tuple[date, ...]
    quantities: tuple[int, ...]
    short: int = 0
    short_on: date | None = None

    @property
    def today(self) -> date:
        return self.days[0]

    def at(self, day: date) -> int:
        """How many pieces more can be promised for `day`."""
        if plain_day(day, "The day of a promise") < self.today:
            raise PlanningError(f"Nothing is promised for {day}: today is {self.today}.")
        return self.quantities[bisect_right(self.days, day) - 1]

    def first_day(self, quantity: int) -> date | None:
        """The first day for which `quantity` can be promised whole; None when nothing known brings it."""
        step = bisect_left(self.quantities, whole(quantity, "The quantity of a promise"))
        return self.days[step] if step < len(self.days) else None


def available(on_hand: int, takings: Sequence[Taking], arrivals: Sequence[Arrival], today: date) -> Available:
    """What can be promised of one part, from today to all days.

    Raises PlanningError for quantities and days that no shelf has.
    """
    changes = _changes(on_hand, takings, arrivals, today)
    days = sorted(changes)
    return from_balances(days, list(accumulate(changes[day] for day in days)))


def from_balances(days: Sequence[date], balances: Sequence[int]) -> Available:
    """The steps that follow from the balance at the end of each of `days`, sorted, today first."""
    least_after = list(accumulate(reversed(balances), min))[::-1]
    steps = [(days[0], max(0, least_after[0]))]
    for day, quantity in zip(days[1:], least_after[1:], strict=True):
        if quantity > steps[-1][1]:
            steps.append((day, quantity))
    short = max(0, -least_after[0])
    short_on = next((day for day, balance in zip(days, balances, strict=True) if balance < 0), None)
    return Available(tuple(day for day, _ in steps), tuple(number for _, number in steps), short, short_on)


def discrete(
    on_hand: int, takings: Sequence[Taking], arrivals: Sequence[Arrival], today: date
) -> tuple[tuple[date, int], ...]:
    """Lot by lot: the day of each supply, and what of it nobody takes before the next supply.

    The first lot is what is on hand. A lot is below zero when more leaves than it brought: `looked_back`
    takes that from the lots before.
    """
    supplies = _changes(on_hand, (), arrivals, today)
    takes = _changes(0, takings, (), today)
    days = sorted(day for day, quantity in supplies.items() if quantity or day == today)
    lots = Counter({day: supplies[day] for day in days})
    for day, quantity in takes.items():
        lots[days[bisect_right(days, day) - 1]] += quantity
    return tuple((day, lots[day]) for day in days)


def looked_back(lots: Sequence[tuple[date, int]]) -> tuple[tuple[date, int], ...]:
    """The lots after each that is below zero took what it lacks from those before it, the latest first.

    What no earlier lot covers stays below zero on the first.
    """
    left = [quantity for _, quantity in lots]
    for place in range(len(left) - 1, 0, -1):
        if left[place] < 0:
            left[place - 1] += left[place]
            left[place] = 0
    return tuple((day, quantity) for (day, _), quantity in zip(lots, left, strict=True))


def safety_days(days_late: Sequence[int], share: Fraction) -> int:
    """The fewest days of safety within which at least `share` of past deliveries came.

    `days_late` is below zero for those that came before they were due; the safety never is.
    No past, no safety.
    """
    if not isinstance(share, Fraction | int) or not 0 <= share <= 1:
        raise PlanningError(f"A share of the deliveries lies between 0 and 1, exactly given, not {share!r}.")
    late = sorted(max(0, whole(days, "Days late", -MOST_SAFETY_DAYS)) for days in days_late)
    needed = -(-share.numerator * len(late) // share.denominator)
    return late[needed - 1] if needed else 0


def _changes(
    on_hand: int, takings: Sequence[Taking], arrivals: Sequence[Arrival], today: date
) -> Counter[date]:
    changes = Counter({plain_day(today, "Today"): whole(on_hand, "On hand")})
    for taking in takings:
        day = plain_day(taking.day, "The day of a hold or commitment")
        changes[max(day, today)] -= whole(taking.quantity, "The quantity of a hold or commitment")
    for arrival in arrivals:
        plain_day(arrival.due, "The day on which a delivery is due")
        if whole(arrival.safety_days, "The safety of a delivery, in days") > MOST_SAFETY_DAYS:
            raise PlanningError(f"A delivery is not {arrival.safety_days} days late: give days.")
        changes[arrival.expected(today)] += whole(arrival.quantity, "The quantity of a delivery")
    return changes
