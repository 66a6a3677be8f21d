"""What pieces cost goes with them: at moving average, or lot by lot."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.ledger import move, outside
from inventory.models import Lot, Movement, Part, Place
from tests.inventory.builders import a_bin, a_part, an_offer, inbound, stock_of, the_founder
from tests.inventory.costs import a_part_by_lot, buy, lots_of, sell, worth

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def test_pieces_leave_at_the_average_of_what_is_there() -> None:
    ring = a_part()
    buy(ring, 3, "10.00")
    buy(ring, 1, "4.00")
    assert sell(ring, 2) == Decimal("7.0000")
    assert worth(ring) == Decimal("7.0000")


def test_the_last_piece_takes_all_that_is_left() -> None:
    ring = a_part()
    buy(ring, 3, "10.00")
    assert [sell(ring, 1), sell(ring, 1), sell(ring, 1)] == [
        Decimal("3.3333"),
        Decimal("3.3334"),
        Decimal("3.3333"),
    ]
    assert (stock_of(ring), worth(ring)) == ((0, 0, 0), Decimal(0))


def test_the_movement_carries_the_cost_and_moves_within_carry_none() -> None:
    ring = a_part()
    assert buy(ring, 2, "9.99995").value == Decimal("10.0000")
    within = move(
        act=Movement.Act.MOVE,
        part=ring,
        quantity=1,
        origin=a_bin(),
        destination=a_bin(2),
        by=the_founder(),
        at=timezone.now(),
        reason="nearer",
    )
    assert (within.value, within.reason, worth(ring)) == (Decimal(0), "nearer", Decimal("10.0000"))


def test_a_move_within_the_shop_cannot_be_given_a_cost() -> None:
    ring = a_part()
    buy(ring, 2, "9.00")
    with pytest.raises(ValueError, match="keeps its cost"):
        move(
            act=Movement.Act.MOVE,
            part=ring,
            quantity=1,
            origin=a_bin(),
            destination=a_bin(2),
            by=the_founder(),
            at=timezone.now(),
            cost=Decimal(1),
        )


def test_each_lot_leaves_at_its_own_cost_and_the_part_is_worth_their_sum() -> None:
    ring = a_part_by_lot()
    buy(ring, 2, "10.00", lot="L1")
    buy(ring, 2, "30.00", lot="L2")
    assert (sell(ring, 1, lot="L2"), sell(ring, 2, lot="L1")) == (Decimal("15.0000"), Decimal("10.0000"))
    assert lots_of(ring) == {"L1": (0, Decimal(0)), "L2": (1, Decimal("15.0000"))}
    assert worth(ring) == Decimal("15.0000")


def test_lots_of_a_part_at_average_keep_no_figures_of_their_own() -> None:
    ring = a_part(tracking=Part.Tracking.LOT)
    buy(ring, 2, "10.00", lot="L1")
    assert (lots_of(ring), worth(ring)) == ({"L1": (0, Decimal(0))}, Decimal("10.0000"))


def test_without_a_cost_pieces_come_at_the_present_average() -> None:
    ring, by_lot = a_part(), a_part_by_lot()
    buy(ring, 2, "9.00")
    assert buy(ring, 3, None).value == Decimal("13.5000")
    buy(by_lot, 2, "9.00", lot="L1")
    buy(by_lot, 2, "11.00", lot="L2")
    assert buy(by_lot, 1, None, lot="L2").value == Decimal("5.5000")


def test_a_lot_that_comes_back_costs_what_it_went_for_and_a_new_one_the_average() -> None:
    pump = a_part_by_lot(Part.Tracking.SERIAL)
    buy(pump, 1, "90.00", lot="N1")
    buy(pump, 1, "70.00", lot="N2")
    sell(pump, 1, lot="N1")
    assert buy(pump, 1, None, lot="N1").value == Decimal("90.0000")
    assert buy(pump, 1, None, lot="N3").value == Decimal("80.0000")


def test_with_nothing_there_it_is_the_last_price_then_the_cheapest_offer_then_nothing() -> None:
    ring, other, free = a_part(), a_part(), a_part()
    an_offer(ring, price="6.00")
    line = inbound(ring, 5)
    line.order.receipts.create(at=timezone.now(), by=the_founder(), delivery_note="D").lines.create(
        purchase_line=line, quantity=1
    )
    an_offer(other, price="6.00")
    assert [buy(part, 2, None).value for part in (ring, other, free)] == [16, 12, 0]


def test_a_cost_below_nothing_is_refused() -> None:
    with pytest.raises(ActError) as refused:
        buy(a_part(), 1, "-0.01")
    assert refused.value.code == "bad-cost"


def test_a_lot_gives_no_more_than_it_has() -> None:
    ring = a_part_by_lot()
    buy(ring, 1, "10.00", lot="L1")
    buy(ring, 5, "10.00", lot="L2")
    with pytest.raises(Conflict, match="1 of it on hand"):
        sell(ring, 2, lot="L1")
    with pytest.raises(ActError, match="say which lot"):
        sell(ring, 2)
    assert lots_of(ring)["L1"] == (1, Decimal("10.0000"))
    assert Lot.objects.get(code="L2").on_hand == 5


def test_a_piece_leaves_in_six_statements() -> None:
    """The row is read and written, the balance too; the last movement is looked at, and this one added.

    PostgreSQL has the last two prepared, which is not counted here.
    """
    ring, scrap, founder = a_part(), outside(Place.Kind.SCRAP), the_founder()
    buy(ring, 5, "10.00")
    here = a_bin()
    with CaptureQueriesContext(connection) as queries:
        move(
            act=Movement.Act.SCRAP,
            part=ring,
            quantity=1,
            origin=here,
            destination=scrap,
            by=founder,
            at=timezone.now(),
        )
    assert len(queries) == (4 if connection.vendor == "postgresql" else 6)
