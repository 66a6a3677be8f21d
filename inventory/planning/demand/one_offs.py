"""Which past orders look as if they will not come again: for a buyer to mark, not to be left out unseen.

The rule is our own, no source.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence

from inventory.planning.ordering import PlanningError

from .events import Event, P

TIMES = 5
FEWEST = 6


def look_one_off(events: Sequence[Event[P]], *, times: int = TIMES, fewest: int = FEWEST) -> list[int]:
    """The positions in `events` of demands of more than `times` the median of the part's other demands.

    Returns, and what is marked already, neither count nor are named; a part with fewer than `fewest` other
    demands shows no custom to differ from.
    """
    if times < 1 or fewest < 1:
        raise PlanningError(f"One-offs: at least 1 time and 1 other demand, not {times!r} and {fewest!r}.")
    by_part: dict[P, list[int]] = defaultdict(list)
    for position, event in enumerate(events):
        if event.kind != "return" and not event.one_off and event.quantity:
            by_part[event.part].append(position)
    found = []
    for positions in by_part.values():
        line = sorted(events[position].quantity for position in positions)
        if len(line) > fewest:
            found += [each for each in positions if _large(line, events[each].quantity, times)]
    return sorted(found)


def _large(line: list[int], quantity: int, times: int) -> bool:
    """Whether `quantity`, one of the sorted `line`, is more than `times` the median of the others."""
    place = bisect_left(line, quantity)
    others = len(line) - 1

    def other(number: int) -> int:
        return line[number if number < place else number + 1]

    # Twice the median, so that it stays whole.
    return 2 * quantity > times * (other((others - 1) // 2) + other(others // 2))
