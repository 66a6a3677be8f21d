"""From a ready order to a parcel on its way: walk, pick, pack, ship."""

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from inventory import walking
from inventory.acting import ActError
from inventory.models import Balance, Movement, Place, Stock, Walk, WalkStop
from inventory.promising import free
from shop import ordering, packing, picking
from shop.models import AsBuilt, Order, Parcel
from tests.clerks import Clerk
from tests.shop.small import SmallShop


def refused(act: Callable[..., Any], *args: Any, **kwargs: Any) -> ActError:
    with pytest.raises(ActError) as caught:
        act(*args, **kwargs)
    return caught.value


def pick_stop(clerk: Clerk, stop: WalkStop) -> WalkStop:
    lot = stop.lot.code if stop.lot else ""
    return picking.pick(clerk("floor"), stop, scanned=stop.part.number, lot=lot)


def picked(shop: SmallShop, clerk: Clerk, quantity: int = 1) -> Order:
    order = ordering.accept(shop.counter, shop.quote(quantity))
    for stop in picking.make_walk(clerk("floor"), [order]).stops.all():
        pick_stop(clerk, stop)
    order.refresh_from_db()
    return order


def test_one_walk_serves_many_orders(small_shop: SmallShop, clerk: Clerk) -> None:
    orders = [ordering.accept(small_shop.counter, small_shop.quote()) for _ in range(2)]
    walk = picking.make_walk(clerk("floor"), orders)
    stops = list(walk.stops.values_list("place__code", "quantity"))
    assert stops == [("A-1-1", 1)] * 2 + [("A-1-2", 1)] * 2 + [("A-1-3", 4)] * 2
    assert set(Order.objects.values_list("state", flat=True)) == {Order.State.WALKING}


def test_only_ready_orders_go_on_a_walk(small_shop: SmallShop, clerk: Clerk) -> None:
    waiting = ordering.accept(small_shop.counter, small_shop.quote(3))
    ready = ordering.accept(small_shop.counter, small_shop.quote())
    error = refused(picking.make_walk, clerk("floor"), [waiting, ready])
    assert error.code == "not-ready"
    assert waiting.number in error.message and "waits for parts" in error.message
    assert not Walk.objects.exists()
    picking.make_walk(clerk("floor"), [ready])
    assert refused(picking.make_walk, clerk("floor"), [ready]).code == "not-ready"


def test_a_walk_for_no_order_is_refused(clerk: Clerk) -> None:
    assert refused(picking.make_walk, clerk("floor"), []).code == "no-orders"


def test_the_last_stop_makes_the_order_picked(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    *first, last = picking.make_walk(clerk("floor"), [order]).stops.all()
    for stop in first:
        pick_stop(clerk, stop)
    order.refresh_from_db()
    assert order.state == Order.State.WALKING
    picking.pick(clerk("floor"), last, scanned="or8b", quantity=3)
    order.refresh_from_db()
    assert order.state == Order.State.WALKING
    picking.pick(clerk("floor"), last, scanned="or8b")
    order.refresh_from_db()
    assert order.state == Order.State.PICKED
    assert Walk.objects.get().state == Walk.State.DONE


def test_a_wrong_part_is_refused_and_nothing_moves(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    stop = picking.make_walk(clerk("floor"), [order]).stops.get(part=small_shop.pulley)
    with pytest.raises(walking.WrongPart):
        picking.pick(clerk("floor"), stop, scanned="OR-8B")
    assert not Movement.objects.filter(act=Movement.Act.PICK).exists()
    order.refresh_from_db()
    assert order.state == Order.State.WALKING


def test_what_was_picked_is_recorded_kit_by_kit(small_shop: SmallShop, clerk: Clerk) -> None:
    order = picked(small_shop, clerk, 2)
    parcel = packing.pack(clerk("floor"), order, lots={"or 7p": ["N2", "N1"]})
    order.refresh_from_db()
    assert order.state == Order.State.PACKED
    assert {kit.parcel for kit in order.kits.all()} == {parcel}
    built = AsBuilt.objects.values_list("order_kit__ordinal", "part__number", "lot__code", "quantity")
    assert sorted(built, key=str) == sorted(
        [
            (1, "OR-40", None, 1),
            (1, "OR-7P", "N1", 1),
            (1, "OR-8B", None, 4),
            (2, "OR-40", None, 1),
            (2, "OR-7P", "N2", 1),
            (2, "OR-8B", None, 4),
        ],
        key=str,
    )


@pytest.mark.parametrize(
    ("lots", "code"),
    [
        ({}, "lot-needed"),
        ({"OR-7P": ["N1"]}, "lot-needed"),
        ({"OR-7P": ["N1", "N1"]}, "wrong-lot"),
        ({"OR-7P": ["N1", "N9"]}, "wrong-lot"),
        ({"OR-7P": ["N1", "N2"], "OR-99": ["N1"]}, "wrong-lot"),
        ({"OR-7P": ["N1", "N2"], "OR-8B": ["N1"]}, "wrong-lot"),
    ],
)
def test_serial_numbers_are_confirmed_at_the_bench(
    small_shop: SmallShop, clerk: Clerk, lots: dict[str, list[str]], code: str
) -> None:
    order = picked(small_shop, clerk, 2)
    assert refused(packing.pack, clerk("floor"), order, lots=lots).code == code
    assert not Parcel.objects.exists() and not AsBuilt.objects.exists()


def test_a_serial_number_is_confirmed_in_capitals_or_not(small_shop: SmallShop, clerk: Clerk) -> None:
    order = picked(small_shop, clerk, 2)
    packing.pack(clerk("floor"), order, lots={"OR-7P": ["n1", "N2"]})
    assert set(AsBuilt.objects.exclude(lot=None).values_list("lot__code", flat=True)) == {"N1", "N2"}


def test_an_order_is_packed_once_and_only_when_picked(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    assert refused(packing.pack, clerk("floor"), order).code == "not-picked"
    for stop in picking.make_walk(clerk("floor"), [order]).stops.all():
        pick_stop(clerk, stop)
    packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
    assert refused(packing.pack, clerk("floor"), order, lots={"OR-7P": ["N1"]}).code == "not-picked"
    assert Parcel.objects.count() == 1


def test_shipping_uses_the_commitment_up(small_shop: SmallShop, clerk: Clerk) -> None:
    order = picked(small_shop, clerk, 2)
    parcel = packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1", "N2"]})
    parcel = packing.ship(clerk("floor"), parcel, carrier=" Skerry Post ", tracking="SK 1")
    order.refresh_from_db()
    assert order.state == Order.State.SHIPPED
    assert (parcel.carrier, parcel.tracking) == ("Skerry Post", "SK 1")
    assert parcel.shipped_at is not None
    stock = {s.part.number: (s.on_hand, s.held, s.committed) for s in Stock.objects.all()}
    assert stock == {"OR-40": (1, 0, 0), "OR-7P": (0, 0, 0), "OR-8B": (2, 0, 0)}
    assert not Balance.objects.filter(place__kind=Place.Kind.BENCH, quantity__gt=0).exists()
    shipped = Movement.objects.filter(act=Movement.Act.SHIP, destination__kind=Place.Kind.CUSTOMER)
    assert sum(shipped.values_list("quantity", flat=True)) == 2 + 2 + 8
    assert set(shipped.values_list("reference", flat=True)) == {order.number}
    assert free([small_shop.bolt.pk], timezone.now()) == {small_shop.bolt.pk: 2}


def test_a_parcel_ships_once_and_with_a_carrier(small_shop: SmallShop, clerk: Clerk) -> None:
    parcel = packing.pack(clerk("floor"), picked(small_shop, clerk), lots={"OR-7P": ["N1"]})
    assert refused(packing.ship, clerk("floor"), parcel, carrier=" ").code == "carrier-needed"
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")
    assert refused(packing.ship, clerk("floor"), parcel, carrier="Skerry Post").code == "already-shipped"
    assert Stock.objects.get(part=small_shop.pump).on_hand == 1
