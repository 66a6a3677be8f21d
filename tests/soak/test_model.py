"""The model refuses what cannot have been, whoever tells it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from .model import Impossible, Shop
from .replay import do, finish
from .steps import FROM_STOCK, Reading, Step

RING, SHELF, DOCK, BENCH = 7, 1, 2, 3
NOON = datetime(2031, 5, 12, 12, tzinfo=UTC)
LATER = (NOON + timedelta(hours=1)).isoformat()


class Told:
    """Tells the model acts on ten rings, each with what it would read if all were well, unless said."""

    def __init__(self) -> None:
        self.shop = Shop({(RING, SHELF): 10}, {RING: SHELF}, BENCH)
        self.steps = 0

    def act(self, kind: str, read: Reading, told: dict[str, Any] | None = None, **args: Any) -> None:
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


def test_two_holds_of_what_is_there() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    told.hold(2, 6, rings(held=10, kept={1: 4, 2: 6}))
    assert finish(told.shop, rings(held=10, kept={1: 4, 2: 6}), NOON) == []


def test_a_hold_of_more_than_is_there_is_impossible() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    with pytest.raises(Impossible, match=r"10 on hand"):
        told.hold(2, 7, rings(held=11, kept={1: 4, 2: 7}))


def test_one_hold_told_twice_is_impossible() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    with pytest.raises(Impossible, match="is there already"):
        told.hold(1, 4, rings(held=8, kept={1: 8}))


def test_a_hold_that_is_kept_by_halves_is_impossible() -> None:
    with pytest.raises(Impossible, match="keeps 3 of part 7, and should keep 4"):
        Told().hold(1, 4, rings(held=3, kept={1: 3}))


def test_an_act_that_did_not_see_another_is_impossible() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    with pytest.raises(Impossible, match=r"the hold 1 until .* is gone"):
        told.hold(2, 4, rings(held=4, kept={2: 4}))


def test_a_hold_is_gone_once_its_time_is_over() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    after = NOON + timedelta(hours=2)
    assert finish(told.shop, rings(), after) == []
    assert told.shop.reservations[1].state == "lapsed"


def test_a_commitment_never_goes_by_itself() -> None:
    told = Told()
    told.act("commit", rings(committed=4, kept={1: 4}), {"reservation": 1}, wants=[[RING, 4]])
    assert "the commitment 1 until None is gone" in finish(told.shop, rings(), NOON + timedelta(days=9))


def test_a_release_twice_is_told_as_it_was() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    told.act("release", rings(), {"state": "released"}, reservation=1)
    told.act("release", rings(), {"state": "released"}, reservation=1)
    with pytest.raises(Impossible, match="is released already"):
        told.act("make_commitment", rings(), {"reservation": 1}, reservation=1)


def waiting_for_a_delivery() -> Told:
    """A hold and then a commitment wait for five rings each of line 9; nothing is on the shelf."""
    told = Told()
    told.shop.bins.clear()
    told.act("order", rings(0, bins={}, coming={9: (20, 0, 0)}), {"line": 9}, part=RING, quantity=20)
    one = rings(0, bins={}, coming={9: (20, 0, 5)}, waiting={(1, 9): 5})
    told.hold(1, 5, one)
    both = replace(one, coming={9: (RING, 20, 0, 10)}, kept={1: {(RING, 9): 5}, 2: {(RING, 9): 5}})
    told.act("commit", both, {"reservation": 2}, wants=[[RING, 5]])
    return told


def test_a_delivery_serves_commitments_before_holds() -> None:
    told = waiting_for_a_delivery()
    read = rings(3, 0, 3, coming={9: (20, 3, 7)}, kept={2: 3}, waiting={(1, 9): 5, (2, 9): 2})
    told.act("receive", read, part=RING, line=9, quantity=3)
    assert told.shop.received[RING] == 3


def test_a_hold_served_before_a_commitment_is_impossible() -> None:
    told = waiting_for_a_delivery()
    read = rings(3, 3, 0, coming={9: (20, 3, 7)}, kept={1: 3}, waiting={(1, 9): 2, (2, 9): 5})
    with pytest.raises(Impossible, match="a hold was served before a commitment"):
        told.act("receive", read, part=RING, line=9, quantity=3)


def test_more_than_was_ordered_is_impossible() -> None:
    told = waiting_for_a_delivery()
    with pytest.raises(Impossible, match="21 of 20 came"):
        told.act("receive", rings(kept={1: 5, 2: 5}), part=RING, line=9, quantity=21)


def test_nobody_waits_while_the_shelf_has_it() -> None:
    told = Told()
    told.act("order", rings(coming={9: (20, 0, 0)}), {"line": 9}, part=RING, quantity=20)
    with pytest.raises(Impossible, match="while some of it is free"):
        told.hold(1, 5, rings(coming={9: (20, 0, 5)}, waiting={(1, 9): 5}))


def walked() -> Told:
    told = Told()
    told.act("commit", rings(committed=4, kept={1: 4}), {"reservation": 1}, wants=[[RING, 4]])
    read = rings(committed=4, kept={1: 4}, bins={SHELF: (10, 4)})
    told.act("walk", read, {"stops": [[5, 1, RING, SHELF, 4]]}, reservations=[1])
    return told


def test_picked_and_shipped() -> None:
    told = walked()
    read = rings(committed=4, kept={1: 4}, bins={SHELF: (6, 0), BENCH: (4, 0)})
    told.act("pick", read, stop=5, quantity=4)
    told.act("ship", rings(6), reservation=1)
    assert (told.shop.picked[RING], told.shop.shipped[RING]) == (4, 4)


def test_more_picked_than_wanted_is_impossible() -> None:
    told = walked()
    with pytest.raises(Impossible, match="5 of 4 picked"):
        told.act("pick", rings(kept={1: 4}), stop=5, quantity=5)


def test_shipped_before_it_is_picked_is_impossible() -> None:
    told = walked()
    with pytest.raises(Impossible, match="picked"):
        told.act("ship", rings(6), reservation=1)


def test_a_bin_spoken_for_twice_is_impossible() -> None:
    told = walked()
    told.act(
        "commit",
        rings(committed=10, kept={1: 4, 2: 6}, bins={SHELF: (10, 4)}),
        {"reservation": 2},
        wants=[[RING, 6]],
    )
    read = rings(committed=10, kept={1: 4, 2: 6}, bins={SHELF: (10, 4)})
    with pytest.raises(Impossible, match="model"):
        told.act("walk", read, {"stops": [[6, 2, RING, SHELF, 6]]}, reservations=[2])


def test_a_count_that_leaves_less_than_is_kept_is_impossible() -> None:
    told = Told()
    told.hold(1, 4, rings(held=4, kept={1: 4}))
    with pytest.raises(Impossible, match="3 on hand"):
        told.act("count", rings(3, 4, kept={1: 4}), {"posted": True}, part=RING, place=SHELF, found=3)


def test_a_count_that_waits_changes_nothing_until_it_is_approved() -> None:
    told = Told()
    told.act("count", rings(10), {"posted": False}, part=RING, place=SHELF, found=30)
    told.act("approve", rings(30), {"part": RING, "place": SHELF, "change": 20}, correction=1)


def test_an_act_that_nobody_told_the_model_of_is_impossible() -> None:
    with pytest.raises(Impossible, match="nobody told the model"):
        Told().act("conjure", rings())
