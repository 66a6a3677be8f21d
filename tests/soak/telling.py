"""Acts told to the model by hand, for the tests of the model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from .model import Shop
from .replay import do
from .steps import FROM_STOCK, Reading, Step

RING, SHELF, DOCK, BENCH = 7, 1, 2, 3
TODAY = "2031-05-12"
CAME: dict[str, Any] = {"receipt": 1, "noted": {}, "ended": []}
ORDERED = {"line": 9, "due": TODAY}
NOTHING_READ = Reading(frozenset(), {}, {}, {}, {})
NOON = datetime(2031, 5, 12, 12, tzinfo=UTC)
LATER = (NOON + timedelta(hours=1)).isoformat()


class Told:
    """Tells the model acts on ten rings, each with what it would read if all were well, unless said."""

    def __init__(self) -> None:
        self.shop = Shop({(RING, SHELF): 10}, {RING: SHELF}, BENCH)
        self.steps = 0

    def act(self, kind: str, read: Reading, told: Mapping[str, Any] | None = None, **args: Any) -> None:
        self.steps += 1
        step = Step(self.steps, f"key {self.steps}", kind, args, told or {}, NOON, NOON, read)
        do(self.shop, step)

    def hold(self, reservation: int, quantity: int, read: Reading) -> None:
        self.act("hold", read, {"reservation": reservation}, wants=[[RING, quantity]], until=LATER)


def rings(
    here: int = 10,
    held: int = 0,
    committed: int = 0,
    *,
    kept: dict[int, int] | None = None,
    bins: dict[int, tuple[int, int]] | None = None,
    coming: dict[int, tuple[int, int, int]] | None = None,
    waiting: dict[tuple[int, int], int] | None = None,
) -> Reading:
    """What an act reads: `kept` from stock by reservation, `waiting` by reservation and line."""
    ties = {one: {(RING, FROM_STOCK): quantity} for one, quantity in (kept or {}).items()}
    for (one, line), quantity in (waiting or {}).items():
        ties.setdefault(one, {})[RING, line] = quantity
    there = {SHELF: (here, 0)} if bins is None else bins
    return Reading(
        frozenset([RING]),
        {RING: (here, held, committed)},
        {(RING, place): figures for place, figures in there.items()},
        {line: (RING, *figures) for line, figures in (coming or {}).items()},
        ties,
    )


def waiting_for_a_delivery() -> Told:
    """A hold and then a commitment wait for five rings each of line 9; nothing is on the shelf."""
    told = Told()
    told.shop.bins.clear()
    told.act("order", rings(0, bins={}, coming={9: (20, 0, 0)}), ORDERED, part=RING, quantity=20)
    one = rings(0, bins={}, coming={9: (20, 0, 5)}, waiting={(1, 9): 5})
    told.hold(1, 5, one)
    both = replace(one, coming={9: (RING, 20, 0, 10)}, kept={1: {(RING, 9): 5}, 2: {(RING, 9): 5}})
    told.act("commit", both, {"reservation": 2}, wants=[[RING, 5]])
    return told


def walked() -> Told:
    told = Told()
    told.act("commit", rings(committed=4, kept={1: 4}), {"reservation": 1}, wants=[[RING, 4]])
    read = rings(committed=4, kept={1: 4}, bins={SHELF: (10, 4)})
    told.act("walk", read, {"walk": 1, "stops": [[5, 1, RING, SHELF, 4]]}, reservations=[1])
    return told


def worth(here: int, steps: int, **having: Any) -> Reading:
    return replace(rings(here, **having), worth={RING: steps})
