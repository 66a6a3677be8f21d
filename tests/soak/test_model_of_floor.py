"""What is put back, made up, taken back and counted, as the model has it."""

from __future__ import annotations

import pytest

from .model import Shop
from .steps import Reading
from .telling import (
    BENCH,
    DOCK,
    RING,
    SHELF,
    Told,
    rings,
    walked,
    worth,
)
from .things import Catalogue, Impossible


def test_a_picked_piece_that_is_put_back_is_to_take_again() -> None:
    told = walked()
    on_bench = rings(committed=4, kept={1: 4}, bins={SHELF: (7, 1), BENCH: (3, 0)})
    told.act("pick", on_bench, stop=5, quantity=3)
    read = rings(committed=4, kept={1: 4}, bins={SHELF: (9, 3), BENCH: (1, 0)})
    told.act("put_back", read, stop=5, quantity=2)
    with pytest.raises(Impossible, match="2 of 1 put back"):
        told.act("put_back", read, stop=5, quantity=2)


def test_what_is_not_there_and_nowhere_else_takes_the_commitment_off_its_walk() -> None:
    told = walked()
    told.act("not_there", rings(committed=4, kept={1: 4}), {"instead": []}, stop=5, found=2)
    assert not told.shop.stops
    assert told.shop.moved["put back"][RING] == 2


def test_more_sought_elsewhere_than_is_missing_is_impossible() -> None:
    told = walked()
    with pytest.raises(Impossible, match="instead of 2"):
        told.act("not_there", rings(kept={1: 4}), {"instead": [[6, DOCK, 3]]}, stop=5, found=2)


def test_a_walk_that_is_given_up_leaves_its_commitments_as_they_were() -> None:
    told = walked()
    told.act("give_up", rings(committed=4, kept={1: 4}), walk=1)
    told.act("cancel", rings(), reservation=1)
    assert told.shop.reservations[1].state == "released"


def test_no_more_comes_back_than_left() -> None:
    told = walked()
    told.act("pick", rings(committed=4, kept={1: 4}, bins={SHELF: (6, 0), BENCH: (4, 0)}), stop=5, quantity=4)
    told.act("ship", rings(6), reservation=1)
    told.act("take_back", rings(8), reservation=1, part=RING, quantity=2, good=True)
    told.act("take_back", rings(8), reservation=1, part=RING, quantity=1, good=False)
    with pytest.raises(Impossible, match="5 of 4 came back"):
        told.act("take_back", rings(10), reservation=1, part=RING, quantity=2, good=True)


def test_what_is_found_comes_in_at_the_average() -> None:
    told = Told()
    told.shop.worth[RING] = 100_001
    found = {"correction": 1, "posted": True}
    told.act("count", worth(11, 110_001), found, part=RING, place=SHELF, found=11)


def test_a_correction_is_decided_once() -> None:
    told = Told()
    told.act("count", rings(), {"correction": 1, "posted": False}, part=RING, place=SHELF, found=30)
    told.act("refuse", rings(), correction=1)
    with pytest.raises(Impossible, match="it is refused already"):
        told.act("approve", rings(30), correction=1)


KIT, WASHER = 8, 9


def bench_of_kits() -> Shop:
    """A kit of one ring and two washers, which are worth 5 and 1 each; six kits' worth of each is here."""
    there = {(RING, SHELF): 6, (WASHER, SHELF): 12}
    catalogue = Catalogue({RING: 50_000, WASHER: 10_000}, {KIT: {RING: 1, WASHER: 2}})
    return Shop(there, {}, BENCH, {RING: 300_000, WASHER: 120_000}, catalogue)


def kits(rings_: int, washers: int, kits_: int, worth: dict[int, int]) -> Reading:
    there = {(RING, SHELF): rings_, (WASHER, SHELF): washers, (KIT, SHELF): kits_}
    return Reading(
        frozenset([RING, WASHER, KIT]),
        {part: (there[part, SHELF], 0, 0) for part in (RING, WASHER, KIT)},
        {key: (pieces, 0) for key, pieces in there.items() if pieces},
        {},
        {},
        worth,
    )


def test_a_kit_costs_what_went_into_it_and_gives_it_back() -> None:
    told = Told()
    told.shop = bench_of_kits()
    went = {"went": [[RING, SHELF, 1], [WASHER, SHELF, 2]]}
    made = kits(5, 10, 1, {RING: 250_000, WASHER: 100_000, KIT: 70_700})
    told.act("make_up", made, went, part=KIT, quantity=1, place=SHELF, work_cost=700)
    apart = kits(6, 12, 0, {RING: 300_500, WASHER: 120_200})
    came = {"came": [[RING, 1], [WASHER, 2]]}
    told.act("take_apart", apart, came, part=KIT, quantity=1, place=SHELF, to_place=SHELF)


def test_a_kit_of_other_parts_than_its_makeup_is_impossible() -> None:
    told = Told()
    told.shop = bench_of_kits()
    went = {"went": [[RING, SHELF, 1], [WASHER, SHELF, 1]]}
    with pytest.raises(Impossible, match="components"):
        told.act("make_up", kits(5, 11, 1, {}), went, part=KIT, quantity=1, place=SHELF, work_cost=0)
