"""Two people at the same moment, one of whom ends what the other goes on with."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import call_command

from inventory.acting import ActError, Conflict
from inventory.models import Stock, Walk
from shop import ordering, packing, picking
from shop.cancelling import Cancelled, cancel
from shop.models import CustomerReturn, Order, Parcel, ReturnLine
from shop.returning import take_back
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_floor import picked

pytestmark = pytest.mark.main_job

RunInThreads = Callable[..., list[Any]]


def on_a_walk(shop: SmallShop, clerk: Clerk) -> tuple[Order, Walk]:
    order = ordering.accept(shop.counter, shop.quote())
    return order, picking.make_walk(clerk("floor"), [order])


def test_an_order_cancelled_while_it_is_picked(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    order, walk = on_a_walk(small_shop, clerk)
    stop = walk.stops.get(part=small_shop.bolt)
    cancelled, taken = run_in_threads(
        lambda: cancel(small_shop.counter, order, "changed mind"),
        lambda: picking.pick(clerk("floor"), stop, scanned="OR-8B"),
    )
    assert isinstance(cancelled, Cancelled)
    # What was picked first is on its way back; what was cancelled first is not picked.
    assert isinstance(taken, Conflict) == (not cancelled.back)
    assert Stock.objects.get(part=small_shop.bolt).committed == 0
    call_command("check_ledger")


def test_an_order_cancelled_while_it_is_shipped(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    order = picked(small_shop, clerk)
    parcel = packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
    cancelled, shipped = run_in_threads(
        lambda: cancel(small_shop.counter, order, "changed mind"),
        lambda: packing.ship(clerk("floor"), parcel, carrier="Skerry Post"),
    )
    assert isinstance(cancelled, Conflict) != isinstance(shipped, Conflict)
    gone = isinstance(shipped, Parcel)
    order.refresh_from_db()
    assert order.state == (Order.State.SHIPPED if gone else Order.State.CANCELLED)
    stock = Stock.objects.get(part=small_shop.pump)
    assert (stock.on_hand, stock.committed) == ((1, 0) if gone else (2, 0))
    call_command("check_ledger")


def test_a_walk_given_up_while_its_last_stop_is_picked(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    order, walk = on_a_walk(small_shop, clerk)
    pulley, pump, bolts = walk.stops.all()
    picking.pick(clerk("floor"), pulley, scanned="OR-40")
    picking.pick(clerk("floor"), pump, scanned="OR-7P", lot="N1")
    given_up, taken = run_in_threads(
        lambda: picking.give_up(clerk("floor"), walk),
        lambda: picking.pick(clerk("floor"), bolts, scanned="OR-8B"),
    )
    assert isinstance(given_up, Conflict) != isinstance(taken, Conflict)
    order.refresh_from_db()
    assert order.state == (Order.State.READY if isinstance(taken, Conflict) else Order.State.PICKED)
    call_command("check_ledger")


def test_a_parcel_unpacked_while_it_is_shipped(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    parcel = packing.pack(clerk("floor"), picked(small_shop, clerk), lots={"OR-7P": ["N1"]})
    unpacked, shipped = run_in_threads(
        lambda: packing.unpack(clerk("floor"), parcel),
        lambda: packing.ship(clerk("floor"), parcel, carrier="Skerry Post"),
    )
    assert isinstance(unpacked, Conflict) != isinstance(shipped, Conflict)
    assert Parcel.objects.exists() == isinstance(shipped, Parcel)
    call_command("check_ledger")


def test_the_same_piece_taken_back_twice(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    order = picked(small_shop, clerk)
    parcel = packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")

    def back() -> CustomerReturn:
        line = (small_shop.pulley, 1, None, ReturnLine.Condition.GOOD)
        return take_back(small_shop.counter, order, [line], "wrong engine")

    got = run_in_threads(back, back)
    (refused,) = [one for one in got if isinstance(one, ActError)]
    assert refused.code == "over-returned" and CustomerReturn.objects.count() == 1
    assert Stock.objects.get(part=small_shop.pulley).on_hand == 3
    call_command("check_ledger")
