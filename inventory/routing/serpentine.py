"""The S-shaped walk: up the first aisle that has a pick, down the next one that has, and so on.

Aisles without a pick are passed by, so that it is every second *visited* aisle that is walked from
the back. Source of the rule: Hall, IIE Transactions 25 (1993); Roodbergen & De Koster 2001.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


class RoutingError(ValueError):
    """A pick where no aisle is."""


@dataclass(frozen=True)
class Spot:
    """Where a stop is. `bay` counts from the front of the aisle, `level` from the floor.

    `key` is the caller's own name for the stop; stops at the same bin stay in the order of their keys.
    """

    hall: str
    aisle: int
    bay: int
    level: int
    key: int = 0


def walk_order(stops: Iterable[Spot]) -> list[Spot]:
    """All of `stops` in walking order: hall by hall, S-shaped through the aisles, levels bottom up."""
    by_aisle: dict[str, dict[int, list[Spot]]] = defaultdict(lambda: defaultdict(list))
    for stop in stops:
        by_aisle[stop.hall][stop.aisle].append(stop)
    order: list[Spot] = []
    for hall in sorted(by_aisle):
        for nth, aisle in enumerate(sorted(by_aisle[hall])):
            shelf = sorted(by_aisle[hall][aisle], key=_up_the_aisle)
            order += sorted(shelf, key=_from_the_back) if nth % 2 else shelf
    return order


def _up_the_aisle(stop: Spot) -> tuple[int, int, int]:
    return stop.bay, stop.level, stop.key


def _from_the_back(stop: Spot) -> int:
    return -stop.bay


def walk_length(picks: Sequence[tuple[int, int]], *, step: int, length: int, depot: int = 0) -> int:
    """How long the S-shaped walk through one block is, in the unit of `step` and `length`.

    `picks` are (aisle, distance from the front). Aisles are `step` apart and `length` long; their
    width is ignored. The walk starts and ends at the front of the aisle `depot`. Every aisle with a
    pick is walked right through; a last one that is entered from the front is walked to its farthest
    pick and back.
    """
    if step < 0 or length < 0:
        raise RoutingError(f"Aisles are neither {step} apart nor {length} long.")
    farthest: dict[int, int] = {}
    for aisle, distance in picks:
        if not 0 <= distance <= length:
            raise RoutingError(f"A pick {distance} into aisle {aisle}, which is {length} long.")
        farthest[aisle] = max(distance, farthest.get(aisle, 0))
    if not farthest:
        return 0
    first, last = min(farthest), max(farthest)
    across = abs(first - depot) + (last - first) + abs(last - depot)
    through = len(farthest) * length
    if len(farthest) % 2:
        through += 2 * farthest[last] - length
    return across * step + through
