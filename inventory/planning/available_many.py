"""Available to promise for very many parts at once: the rule of `available`, on whole columns.

Rows go in flat, as a database gives them, in any order.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Generic, TypeVar

from .available import MOST_SAFETY_DAYS, Available, from_balances
from .figures import plain_day, whole
from .ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Column = NDArray[np.int64]

P = TypeVar("P", bound=Hashable)

# One number orders rows by part, then by day: ordinals of days are below this.
DAYS = 1 << 22
# Sums of pieces, kept apart by part, must fit 64 bits.
MOST = 1 << 62


@dataclass(frozen=True)
class ManyAvailable(Generic[P]):
    """What can be promised of each of `parts`. Rows are ordered by part and day, a part's first being today.

    `keys` is part and day in one number, `balances` what is there at the end of that day, `least` the
    least balance from there on, lifted by `apart` for each part before so that the column rises throughout.
    """

    today: date
    parts: dict[P, int]
    starts: Column
    keys: Column
    balances: Column
    least: Column
    apart: int

    def at(self, day: date) -> dict[P, int]:
        """How many pieces more of each part can be promised for `day`."""
        import numpy as np

        if plain_day(day, "The day of a promise") < self.today:
            raise PlanningError(f"Nothing is promised for {day}: today is {self.today}.")
        numbers = np.arange(len(self.parts))
        rows = np.searchsorted(self.keys, numbers * DAYS + day.toordinal(), side="right") - 1
        quantities = np.maximum(0, self.least[rows] - numbers * self.apart)
        return dict(zip(self.parts, quantities.tolist(), strict=True))

    def first_days(self, wanted: Mapping[P, int]) -> dict[P, date | None]:
        """For each part in `wanted` the first day for which that many can be promised; None for never."""
        import numpy as np

        numbers = np.array([self._number(part) for part in wanted], np.int64)
        quantities = [whole(quantity, "The quantity of a promise") for quantity in wanted.values()]
        # A quantity beyond the largest balance stops at the end of its part, wherever that is.
        levels = np.array([min(quantity, self.apart - 1) for quantity in quantities], np.int64)
        rows = np.searchsorted(self.least, levels + numbers * self.apart)
        ends = np.append(self.starts[1:], len(self.keys))[numbers]
        # The last row of all stands in where there is no row; `never` says so.
        never = rows >= ends
        days = self.keys[np.minimum(rows, len(self.keys) - 1)] % DAYS
        # Nothing wanted is there today, even where less than nothing is left.
        days[levels == 0] = self.today.toordinal()
        never[levels == 0] = False
        return {
            part: None if missing else date.fromordinal(day)
            for part, missing, day in zip(wanted, never.tolist(), days.tolist(), strict=True)
        }

    def of(self, part: P) -> Available:
        """All the steps of one part."""
        number = self._number(part)
        end = int(self.starts[number + 1]) if number + 1 < len(self.starts) else len(self.keys)
        rows = slice(int(self.starts[number]), end)
        days = [date.fromordinal(key % DAYS) for key in self.keys[rows].tolist()]
        return from_balances(days, self.balances[rows].tolist())

    def _number(self, part: P) -> int:
        try:
            return self.parts[part]
        except KeyError:
            raise PlanningError(f"What is on hand of part {part!r} was not given.") from None


def many_available(
    on_hand: Mapping[P, int],
    takings: Iterable[tuple[P, date, int]],
    arrivals: Iterable[tuple[P, date, int, int]],
    today: date,
) -> ManyAvailable[P]:
    """What can be promised of each part of `on_hand`.

    A taking is (part, day it leaves, quantity), an arrival (part, due, quantity, days of safety).
    Raises PlanningError as `available` does, and for a part that `on_hand` does not name.
    """
    import numpy as np

    now = plain_day(today, "Today").toordinal()
    parts = {part: number for number, part in enumerate(on_hand)}
    part_out, day_out, out = _columns(parts, list(takings), 3, "The rows of holds and commitments")
    part_in, due, brought, safety = _columns(parts, list(arrivals), 4, "The rows of deliveries")
    if safety.size and safety.max() > MOST_SAFETY_DAYS:
        raise PlanningError(f"A delivery is not {safety.max()} days late: give days.")
    expected = np.where(due + safety >= now, due + safety, now + 1)
    if expected.size and expected.max() > date.max.toordinal():
        raise PlanningError("A delivery is expected past all calendars.")
    here = _whole_numbers(list(on_hand.values()), "On hand")
    number = np.concatenate([np.arange(len(parts)), part_out, part_in])
    day = np.concatenate([np.full(len(parts), now), np.maximum(day_out, now), expected])
    return _stepped(today, parts, number * DAYS + day, np.concatenate([here, -out, brought]))


def _stepped(today: date, parts: dict[P, int], keys: Column, changes: Column) -> ManyAvailable[P]:
    import numpy as np

    order = np.argsort(keys, kind="stable")
    keys, changes = keys[order], changes[order]
    first_of_day = np.flatnonzero(np.diff(keys, prepend=-1))
    keys = keys[first_of_day]
    changes = np.add.reduceat(changes, first_of_day) if len(first_of_day) else changes
    number = keys // DAYS
    starts = np.flatnonzero(np.diff(number, prepend=-1))
    total = np.cumsum(changes)
    balances = total - (total[starts] - changes[starts])[number] if len(parts) else total
    apart = 2 * int(np.abs(balances).max(initial=0)) + 2
    if apart * (len(parts) + 1) >= MOST:
        raise PlanningError("So many pieces of so many parts cannot be reckoned at once: give fewer parts.")
    # Lifted part by part, one sweep from the end never carries a part's least balance into another.
    least = np.minimum.accumulate((balances + number * apart)[::-1])[::-1]
    return ManyAvailable(today, parts, starts, keys, balances, least, apart)


def _columns(
    parts: dict[P, int], rows: Sequence[tuple[P, date, int] | tuple[P, date, int, int]], width: int, what: str
) -> list[Column]:
    """The columns of rows of (part, day, whole numbers...), with parts and days as numbers."""
    import numpy as np

    if set(map(len, rows)) - {width}:
        raise PlanningError(f"{what} have {width} fields each.")
    named, days, *figures = zip(*rows, strict=True) if rows else [()] * width
    try:
        numbers = np.array([parts[part] for part in named], np.int64)
    except KeyError as unknown:
        raise PlanningError(f"What is on hand of part {unknown.args[0]!r} was not given.") from None
    if set(map(type, days)) - {date}:
        raise PlanningError(f"{what}: a day without a time of day in each.")
    ordinals = np.array([day.toordinal() for day in days], np.int64)
    return [numbers, ordinals, *(_whole_numbers(column, what) for column in figures)]


def _whole_numbers(figures: Sequence[int], what: str) -> Column:
    import numpy as np

    if set(map(type, figures)) - {int} or min(figures, default=0) < 0 or sum(figures) >= MOST:
        raise PlanningError(f"{what}: whole numbers of at least 0, and no more than shelves hold.")
    return np.array(figures, np.int64)
