"""What comes otherwise than ordered, and what it costs, as the model has it."""

from __future__ import annotations

import pytest

from .model import Shop
from .telling import (
    BENCH,
    CAME,
    NOTHING_READ,
    ORDERED,
    RING,
    SHELF,
    Told,
    rings,
    waiting_for_a_delivery,
    worth,
)
from .things import Catalogue, Impossible, Noted


def test_too_many_that_are_kept_are_counted_on_and_noted() -> None:
    told = waiting_for_a_delivery()
    read = rings(21, 5, 5, kept={1: 5, 2: 5})
    came = CAME | {"noted": {"over": 4}}
    told.act("receive_over", read, came, part=RING, line=9, quantity=21, keep_over=True)
    assert told.shop.lines[9].quantity == 21
    assert told.shop.lines[9].ordered == 20
    assert told.shop.noted[4] == Noted(9, "over", 1)


def test_too_many_that_nobody_noted_are_impossible() -> None:
    told = waiting_for_a_delivery()
    with pytest.raises(Impossible, match="no difference was noted that is over"):
        told.act(
            "receive_over", rings(kept={1: 5, 2: 5}), CAME, part=RING, line=9, quantity=21, keep_over=True
        )


def test_spoilt_pieces_that_stay_owed_change_nothing_but_the_note() -> None:
    told = waiting_for_a_delivery()
    read = rings(0, bins={}, coming={9: (20, 0, 10)}, waiting={(1, 9): 5, (2, 9): 5})
    came = CAME | {"noted": {"spoilt": 4}}
    told.act("receive_spoilt", read, came, part=RING, line=9, quantity=0, spoilt=20, not_owed=False)
    assert told.shop.noted[4] == Noted(9, "spoilt", 20)


def test_who_waits_for_what_will_not_come_ends_the_hold_before_the_commitment() -> None:
    told = waiting_for_a_delivery()
    read = rings(0, bins={}, coming={9: (5, 0, 5)}, waiting={(2, 9): 5})
    came = CAME | {"noted": {"spoilt": 4}, "ended": [1]}
    told.act("receive_spoilt", read, came, part=RING, line=9, quantity=0, spoilt=15, not_owed=True)
    assert told.shop.reservations[1].state == "released"


def test_a_commitment_that_ends_where_a_hold_was_enough_is_impossible() -> None:
    told = waiting_for_a_delivery()
    read = rings(0, bins={}, coming={9: (5, 0, 5)}, waiting={(1, 9): 5})
    came = CAME | {"noted": {"spoilt": 4}, "ended": [2]}
    spoilt = {"part": RING, "line": 9, "quantity": 0, "spoilt": 11, "not_owed": True}
    told.shop.lines[9].quantity = 16  # So that one of the two has to go.
    with pytest.raises(Impossible, match="a commitment ended, though holds wait"):
        told.act("receive_spoilt", read, came, **spoilt)


def test_who_ends_for_nothing_is_named() -> None:
    told = waiting_for_a_delivery()
    with pytest.raises(Impossible, match="ended for nothing"):
        told.act(
            "receive_spoilt",
            rings(kept={2: 5}),
            CAME | {"noted": {"spoilt": 4}, "ended": [1]},
            part=RING,
            line=9,
            quantity=0,
            spoilt=3,
            not_owed=True,
        )


def test_a_line_closed_short_is_noted_and_nobody_waits_for_it() -> None:
    told = waiting_for_a_delivery()
    told.act("close_short", rings(0, bins={}), {"noted": {"short": 4}, "ended": [1, 2]}, part=RING, line=9)
    assert told.shop.noted[4] == Noted(9, "short", 20)
    told.act("settle", NOTHING_READ, difference=4)
    with pytest.raises(Impossible, match="settled already"):
        told.act("settle", NOTHING_READ, difference=4)


def test_what_comes_bears_its_charges_and_what_leaves_costs_the_average() -> None:
    """Ten at 1 come, with 0.05: 10.05 for ten; three leave at 3.015, and half of a late 0.02 is borne."""
    told = Told()
    told.shop = Shop({}, {RING: SHELF}, BENCH, catalogue=Catalogue({RING: 10_000}))
    told.act("order", rings(0, bins={}, coming={9: (10, 0, 0)}), ORDERED, part=RING, quantity=10)
    told.act("receive", worth(10, 100_500), CAME, part=RING, line=9, quantity=10, charges="0.05")
    told.act("scrap", worth(7, 70_350), part=RING, place=SHELF, quantity=3)
    told.act("charge_late", worth(7, 70_490), {"charges": [1]}, receipt=1, amount="0.02")
    assert told.shop.charges[1] == (140, 60)
    with pytest.raises(Impossible, match="worth of 7"):
        told.act("scrap", worth(6, 60_421), part=RING, place=SHELF, quantity=1)
