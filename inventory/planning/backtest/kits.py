"""Past kits sold again, order by order and day by day, on shelves that are kept by one set of levels.

On a morning the stock is looked at (every so many days for each part), what lacks is ordered, and what is due
comes in; then the customers of the day come, in the order of the records. Each is served in turn: what is
there is set aside, a kit ships when its last piece has come, and nobody who comes later takes it away. So
each part can be replayed by itself; a kit is complete at once if each of its parts was.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from inventory.planning.ordering import order_quantity

if TYPE_CHECKING:
    import numpy as np

P = TypeVar("P", bound=Hashable)


@dataclass(frozen=True)
class Kept:
    """Order when the position is at `reorder_at` or below, up to `up_to`; both 0: when a customer waits."""

    reorder_at: int
    up_to: int


@dataclass(frozen=True)
class Shelf(Generic[P]):
    """A part, what a piece costs, and how it is bought; `leads` are {days: chance}."""

    part: P
    cents: int
    leads: Mapping[int, float]
    review_days: int
    pack: int = 1
    least: int = 1

    @property
    def longest(self) -> int:
        """The days from a lack to the shelf, at worst."""
        return max(self.leads) + self.review_days


@dataclass(frozen=True)
class Asked(Generic[P]):
    """What one customer wants on a day, counted from the first: `kits` of them, or 0 for loose pieces."""

    day: int
    kits: int
    parts: Mapping[P, int]


@dataclass(frozen=True)
class KitReplay:
    """What came of it, from the day on which it counts: `complete` of `kits` shipped at once.

    `served` of `pieces` sold loose went out at once. `cents` lay on the shelves on average, what was set
    aside too; a kit waited `wait_days` on average, those that did not wait as well.
    """

    kits: int
    complete: int
    pieces: int
    served: int
    cents: float
    wait_days: float

    @property
    def share(self) -> float:
        return self.complete / self.kits if self.kits else 1.0


def replay_kits(
    shelves: Sequence[Shelf[P]],
    asked: Sequence[Asked[P]],
    levels: Mapping[P, Kept],
    *,
    days: int,
    counted_from: int = 0,
    seed: int = 0,
) -> KitReplay:
    """Replay the orders of days 0 to `days` - 1, sorted by day; each shelf begins full, up to `up_to`.

    How long the n-th order of a part takes is drawn by the seed, the same whatever the levels are. A kit that
    is still waiting at the end has waited until then.
    """
    import numpy as np

    ready = np.array([order.day for order in asked], np.int64)
    ways = {}
    for number, shelf in enumerate(shelves):
        wants = [
            (at, order.parts[shelf.part]) for at, order in enumerate(asked) if order.parts.get(shelf.part)
        ]
        drawn = np.random.default_rng([seed, number])
        way = _run(shelf, levels[shelf.part], [(asked[at].day, n) for at, n in wants], days, drawn)
        ways[shelf.part] = way
        for (at, _), day in zip(wants, way.ready, strict=True):
            ready[at] = max(ready[at], day)
    cents = sum(
        shelf.cents * _mean_there(ways[shelf.part], shelf.part, asked, ready.tolist(), days, counted_from)
        for shelf in shelves
    )
    return _summed(asked, ready.tolist(), ways, days, counted_from, cents)


@dataclass(frozen=True)
class _Way:
    """A part's replay: what lay there at first, deliveries by day, and when each want had all its pieces."""

    opened: int
    came: Mapping[int, int]
    ready: list[int]


def _run(
    shelf: Shelf[P], levels: Kept, wants: Sequence[tuple[int, int]], days: int, drawn: np.random.Generator
) -> _Way:
    """`wants` are (day, pieces) in turn."""
    came: dict[int, int] = defaultdict(int)
    by_day: dict[int, int] = defaultdict(int)
    for day, pieces in wants:
        by_day[day] += pieces
    lengths, chances = list(shelf.leads), list(shelf.leads.values())
    position, last = levels.up_to, max(days, 1)
    for day in range(days):
        lacks = position <= levels.reorder_at if levels.up_to else position < 0
        if day % shelf.review_days == 0 and lacks:
            quantity = order_quantity(position, levels.up_to, shelf.pack, shelf.least)
            position += quantity
            came[day + int(drawn.choice(lengths, p=chances))] += quantity
        position -= by_day[day]
    return _Way(levels.up_to, came, _ready(levels.up_to, came, wants, last))


def _ready(opened: int, came: Mapping[int, int], wants: Sequence[tuple[int, int]], end: int) -> list[int]:
    """For each want the day on which what is there in all covers it and all before it; `end` if none is."""
    found, there, wanted = [], opened, 0
    coming = sorted(came.items())
    at, day = 0, 0
    for asked_on, pieces in wants:
        wanted += pieces
        while there < wanted and at < len(coming):
            day, quantity = coming[at]
            there += quantity
            at += 1
        found.append(max(asked_on, day) if there >= wanted else end)
    return [min(max(one, 0), end) for one in found]


def _mean_there(
    way: _Way, part: P, asked: Sequence[Asked[P]], ready: Sequence[int], days: int, since: int
) -> float:
    """The mean pieces on the shelf in the evenings from `since` on; what has shipped is gone."""
    change = [0] * (days + 1)
    for day, quantity in way.came.items():
        change[min(day, days)] += quantity
    for order, day in zip(asked, ready, strict=True):
        change[min(day, days)] -= order.parts.get(part, 0)
    here, total = way.opened, 0
    for day in range(days):
        here += change[day]
        total += here if day >= since else 0
    return total / max(1, days - since)


def _summed(
    asked: Sequence[Asked[P]],
    ready: Sequence[int],
    ways: Mapping[P, _Way],
    days: int,
    since: int,
    cents: float,
) -> KitReplay:
    kits = complete = pieces = served = waited = 0
    for order, day in zip(asked, ready, strict=True):
        if order.day < since:
            continue
        at_once = day <= order.day
        kits += order.kits
        complete += order.kits * at_once
        waited += order.kits * (min(day, days) - order.day)
        if not order.kits:
            wanted = sum(quantity for part, quantity in order.parts.items() if part in ways)
            pieces += wanted
            served += wanted * at_once
    return KitReplay(kits, complete, pieces, served, cents, waited / kits if kits else 0.0)
