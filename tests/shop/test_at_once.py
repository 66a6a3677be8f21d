"""Two people at the same moment: nothing is doubled, nothing is lost, nobody waits for ever."""

from collections.abc import Callable
from typing import Any

import pytest

from inventory.acting import Conflict
from inventory.models import Stock, WalkStop
from shop import ordering, packing, picking
from shop.models import Order, Parcel
from tests.clerks import Clerk
from tests.shop.small import SmallShop

pytestmark = pytest.mark.main_job  # a busy counter is busy on either database

RunInThreads = Callable[..., list[Any]]


def test_a_quote_accepted_twice_at_once_makes_one_order(
    run_in_threads: RunInThreads, small_shop: SmallShop
) -> None:
    quote = small_shop.quote()
    got = run_in_threads(*[lambda: ordering.accept(small_shop.counter, quote)] * 2)
    (refused,) = [one for one in got if isinstance(one, Conflict)]
    assert refused.code == "already-accepted"
    assert Order.objects.count() == 1
    assert Stock.objects.get(part=small_shop.pump).committed == 1


def test_of_two_orders_for_the_last_parts_one_waits_with_nothing(
    run_in_threads: RunInThreads, small_shop: SmallShop
) -> None:
    quotes = [small_shop.quote(2), small_shop.quote(2)]  # two pumps are there
    got = run_in_threads(*[lambda q=q: ordering.accept(small_shop.counter, q) for q in quotes])
    assert {order.state for order in got} == {Order.State.READY, Order.State.WAITING}
    assert [order.reservation for order in got].count(None) == 1
    assert dict(Stock.objects.values_list("part__number", "committed"))["OR-7P"] == 2


def test_two_pickers_at_the_last_two_stops_leave_the_order_picked(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    pulley, pump, bolts = picking.make_walk(clerk("floor"), [order]).stops.all()
    picking.pick(clerk("floor"), pump, scanned="OR-7P", lot="N1")

    def take(stop: WalkStop, number: str) -> Callable[[], WalkStop]:
        return lambda: picking.pick(clerk("floor"), stop, scanned=number)

    got = run_in_threads(take(pulley, "OR-40"), take(bolts, "OR-8B"))
    assert all(isinstance(one, WalkStop) for one in got)
    order.refresh_from_db()
    assert order.state == Order.State.PICKED


def test_one_order_goes_on_one_walk_and_into_one_parcel(
    run_in_threads: RunInThreads, small_shop: SmallShop, clerk: Clerk
) -> None:
    order, floor = ordering.accept(small_shop.counter, small_shop.quote()), clerk("floor")
    got = run_in_threads(*[lambda: picking.make_walk(floor, [order])] * 2)
    assert sum(isinstance(one, Conflict) for one in got) == 1
    for stop in WalkStop.objects.select_related("part"):
        picking.pick(floor, stop, scanned=stop.part.number, lot="N1" if stop.lot else "")
    got = run_in_threads(*[lambda: packing.pack(floor, order, lots={"OR-7P": ["N1"]})] * 2)
    assert sum(isinstance(one, Conflict) for one in got) == 1
    got = run_in_threads(*[lambda: packing.ship(floor, Parcel.objects.get(), carrier="Skerry Post")] * 2)
    assert sum(isinstance(one, Conflict) for one in got) == 1
    assert Stock.objects.get(part=small_shop.pump).on_hand == 1
