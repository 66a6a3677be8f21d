"""An order is cancelled, at whatever stage before it leaves: its parts are anybody's again."""

from collections.abc import Callable

import pytest
from django.core.management import call_command

from inventory.models import Alert, AuditEntry, Balance, Place, Reservation, Stock, Walk
from shop import ordering, packing, picking
from shop.cancelling import cancel
from shop.models import AsBuilt, Order, Parcel
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_floor import pick_stop, picked, refused

pytestmark = pytest.mark.main_job

WHY = "the boat was sold"


def ready(shop: SmallShop, clerk: Clerk) -> Order:
    return ordering.accept(shop.counter, shop.quote())


def walking(shop: SmallShop, clerk: Clerk) -> Order:
    order = ready(shop, clerk)
    walk = picking.make_walk(clerk("floor"), [order])
    pick_stop(clerk, walk.stops.get(part=shop.bolt))
    return order


def packed(shop: SmallShop, clerk: Clerk) -> Order:
    order = picked(shop, clerk)
    packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
    return order


@pytest.mark.parametrize("stage", [ready, walking, picked, packed])
def test_an_order_that_has_not_left_is_cancelled(
    small_shop: SmallShop, clerk: Clerk, stage: Callable[[SmallShop, Clerk], Order]
) -> None:
    order = stage(small_shop, clerk)
    before = dict(Stock.objects.values_list("part__number", "on_hand"))
    cancel(small_shop.counter, order, WHY)
    order = Order.objects.select_related("reservation").get(pk=order.pk)
    assert order.state == Order.State.CANCELLED
    assert order.reservation is not None and order.reservation.state == Reservation.State.RELEASED
    assert dict(Stock.objects.values_list("part__number", "on_hand")) == before
    assert set(Stock.objects.values_list("held", "committed")) == {(0, 0)}
    assert not Balance.objects.exclude(allotted=0).exists()
    assert not Balance.objects.exclude(place__kind=Place.Kind.BIN).filter(quantity__gt=0).exists()
    assert not Parcel.objects.exists() and not AsBuilt.objects.exists()
    assert not Walk.objects.filter(state=Walk.State.OPEN).exists()
    entry = AuditEntry.objects.get(act="cancelling.cancel")
    assert (entry.subject, entry.detail["reason"]) == (order.number, WHY)
    call_command("check_ledger")


def test_the_floor_is_told_what_goes_back_where(small_shop: SmallShop, clerk: Clerk) -> None:
    cancelled = cancel(small_shop.counter, walking(small_shop, clerk), WHY)
    assert [(stop.place.code, stop.part, count) for stop, count in cancelled.back] == [
        ("A-1-3", small_shop.bolt, 4)
    ]


def test_another_order_of_the_same_walk_goes_on(small_shop: SmallShop, clerk: Clerk) -> None:
    gone, other = ready(small_shop, clerk), ready(small_shop, clerk)
    walk = picking.make_walk(clerk("floor"), [gone, other])
    cancel(small_shop.counter, gone, WHY)
    for stop in walk.stops.filter(reservation__order=other).select_related("part", "lot"):
        pick_stop(clerk, stop)
    other.refresh_from_db()
    walk.refresh_from_db()
    assert (other.state, walk.state) == (Order.State.PICKED, Walk.State.DONE)
    call_command("check_ledger")


def test_an_order_that_waits_gets_the_parts(small_shop: SmallShop, clerk: Clerk) -> None:
    first = ordering.accept(small_shop.counter, small_shop.quote(2))
    waiting = ordering.accept(small_shop.counter, small_shop.quote())
    assert waiting.state == Order.State.WAITING and waiting.reservation is None
    cancel(small_shop.counter, first, WHY)
    waiting.refresh_from_db()
    assert waiting.state == Order.State.READY


def test_an_order_that_waits_itself_is_cancelled_and_buying_need_not_act(small_shop: SmallShop) -> None:
    waiting = ordering.accept(small_shop.counter, small_shop.quote(3))
    assert Alert.objects.filter(cleared_at=None).exists()
    cancel(small_shop.counter, waiting, WHY)
    waiting.refresh_from_db()
    assert waiting.state == Order.State.CANCELLED
    assert not Alert.objects.filter(cleared_at=None, cause=Alert.Cause.ORDER_WAITS).exists()


def test_a_shipped_order_comes_back_as_a_return_instead(small_shop: SmallShop, clerk: Clerk) -> None:
    order = packed(small_shop, clerk)
    packing.ship(clerk("floor"), Parcel.objects.get(), carrier="Skerry Post")
    error = refused(cancel, small_shop.counter, order, WHY)
    assert error.code == "already-shipped" and "as a return" in error.message


def test_an_order_is_cancelled_once_and_for_a_reason(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ready(small_shop, clerk)
    assert refused(cancel, small_shop.counter, order, " ").code == "reason-needed"
    cancel(small_shop.counter, order, WHY)
    assert refused(cancel, small_shop.counter, order, WHY).code == "already-cancelled"
