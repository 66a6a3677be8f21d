"""Back again on the floor: picks undone, bins that are empty, walks given up, parcels unpacked."""

import pytest
from django.core.management import call_command

from inventory.acting import Conflict
from inventory.models import Balance, Movement, Place, Walk, WalkStop
from shop import ordering, packing, picking
from shop.documents.walk import walk_sheet
from shop.models import AsBuilt, Notice, Order, Parcel
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_floor import pick_stop, picked, refused

pytestmark = pytest.mark.main_job


def ready(shop: SmallShop) -> Order:
    return ordering.accept(shop.counter, shop.quote())


def state_of(order: Order) -> str:
    return Order.objects.get(pk=order.pk).state


def packed(shop: SmallShop, clerk: Clerk) -> Parcel:
    return packing.pack(clerk("floor"), picked(shop, clerk), lots={"OR-7P": ["N1"]})


def test_a_pick_that_is_undone_takes_its_order_back_on_the_walk(small_shop: SmallShop, clerk: Clerk) -> None:
    order = picked(small_shop, clerk)
    stop = WalkStop.objects.get(part=small_shop.bolt)
    assert picking.put_back(clerk("floor"), stop, 1).left == 1
    assert state_of(order) == Order.State.WALKING
    pick_stop(clerk, WalkStop.objects.get(part=small_shop.bolt))
    assert state_of(order) == Order.State.PICKED


def test_what_is_packed_is_unpacked_before_it_is_put_back(small_shop: SmallShop, clerk: Clerk) -> None:
    parcel = packed(small_shop, clerk)
    stop = WalkStop.objects.get(part=small_shop.bolt)
    error = refused(picking.put_back, clerk("floor"), stop)
    assert error.code == "not-on-the-bench" and "Unpack it first" in error.message
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")
    assert "return" in refused(picking.put_back, clerk("floor"), stop).message


def test_a_walk_given_up_makes_its_orders_ready_again(small_shop: SmallShop, clerk: Clerk) -> None:
    orders = [ready(small_shop), ready(small_shop)]
    walk = picking.make_walk(clerk("floor"), orders)
    for stop in walk.stops.filter(reservation__order=orders[0]).select_related("part", "lot"):
        pick_stop(clerk, stop)
    assert picking.give_up(clerk("floor"), walk).state == Walk.State.GIVEN_UP
    assert {state_of(order) for order in orders} == {Order.State.READY}
    assert not Balance.objects.filter(place__kind=Place.Kind.BENCH, quantity__gt=0).exists()
    again = picking.make_walk(clerk("floor"), orders)
    for stop in again.stops.select_related("part", "lot"):
        pick_stop(clerk, stop)
    assert {state_of(order) for order in orders} == {Order.State.PICKED}
    call_command("check_ledger")


def test_giving_up_leaves_a_packed_order_packed(small_shop: SmallShop, clerk: Clerk) -> None:
    first, second = ready(small_shop), ready(small_shop)
    walk = picking.make_walk(clerk("floor"), [first, second])
    for stop in walk.stops.filter(reservation__order=first).select_related("part", "lot"):
        pick_stop(clerk, stop)
    first.refresh_from_db()
    parcel = packing.pack(clerk("floor"), first, lots={"OR-7P": ["N1"]})
    picking.give_up(clerk("floor"), walk)
    assert (state_of(first), state_of(second)) == (Order.State.PACKED, Order.State.READY)
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")
    call_command("check_ledger")


def test_giving_up_leaves_an_order_alone_that_went_on_another_walk(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    first, second = ready(small_shop), ready(small_shop)
    walk = picking.make_walk(clerk("floor"), [first, second])
    picking.not_there(clerk("floor"), walk.stops.get(reservation__order=first, part=small_shop.pump))
    assert (state_of(first), state_of(second)) == (Order.State.READY, Order.State.WALKING)
    small_shop.put(small_shop.pump, 1, ["N3"])
    other = picking.make_walk(clerk("floor"), [first])
    picking.give_up(clerk("floor"), walk)
    assert (state_of(first), state_of(second)) == (Order.State.WALKING, Order.State.READY)
    assert other.stops.filter(let_go=0).count() == 3
    call_command("check_ledger")


def test_an_empty_bin_takes_the_order_off_and_tells_the_counter(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ready(small_shop)
    walk = picking.make_walk(clerk("floor"), [order])
    pick_stop(clerk, walk.stops.get(part=small_shop.bolt))
    missed = picking.not_there(clerk("floor"), walk.stops.get(part=small_shop.pulley))
    assert missed.instead == () and [stop.part for stop, _ in missed.back] == [small_shop.bolt]
    assert state_of(order) == Order.State.READY
    notice = Notice.objects.get()
    assert (notice.kind, notice.order) == (Notice.Kind.PIECE_MISSING, order)
    assert notice.text.startswith(f"1 x {small_shop.pulley} not found in A-1-1 on walk {walk}")
    call_command("check_ledger")


def test_what_another_bin_has_is_no_news_to_the_counter(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ready(small_shop)
    walk = picking.make_walk(clerk("floor"), [order])
    small_shop.bins[small_shop.pulley.pk] = small_shop.bins[small_shop.bolt.pk]
    small_shop.put(small_shop.pulley, 1)
    missed = picking.not_there(clerk("floor"), walk.stops.get(part=small_shop.pulley))
    assert [stop.place.code for stop in missed.instead] == ["A-1-3"]
    for stop in walk.stops.filter(let_go=0).select_related("part", "lot"):
        pick_stop(clerk, stop)
    assert state_of(order) == Order.State.PICKED and not Notice.objects.exists()
    packing.pack(clerk("floor"), Order.objects.get(pk=order.pk), lots={"OR-7P": ["N1"]})
    assert dict(AsBuilt.objects.values_list("part__number", "quantity")) == {
        "OR-40": 1,
        "OR-7P": 1,
        "OR-8B": 4,
    }


def test_the_printed_sheet_leaves_out_what_was_let_go(small_shop: SmallShop, clerk: Clerk) -> None:
    walk = picking.make_walk(clerk("floor"), [ready(small_shop)])
    small_shop.bins[small_shop.bolt.pk] = small_shop.bins[small_shop.pump.pk]
    small_shop.put(small_shop.bolt, 3)
    picking.not_there(clerk("floor"), walk.stops.get(part=small_shop.bolt), found=1)
    rows = walk_sheet(walk)["sheet"].stops
    assert [(row.number, row.quantity, row.place) for row in rows] == [
        ("OR-40", 1, "A-1-1"),
        ("OR-7P", 1, "A-1-2"),
        ("OR-8B", 1, "A-1-3"),
        ("OR-8B", 3, "A-1-2"),
    ]


def test_another_serial_number_is_what_the_record_says(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ready(small_shop)
    for stop in picking.make_walk(clerk("floor"), [order]).stops.select_related("part", "lot"):
        picking.pick(clerk("floor"), stop, scanned=stop.part.number, lot="N2" if stop.lot else "")
    assert state_of(order) == Order.State.PICKED
    assert refused(packing.pack, clerk("floor"), order, lots={"OR-7P": ["N1"]}).code == "wrong-lot"
    packing.pack(clerk("floor"), order, lots={"OR-7P": ["N2"]})
    assert AsBuilt.objects.get(part=small_shop.pump).lot is not None
    assert AsBuilt.objects.filter(lot__code="N2").count() == 1


def test_a_parcel_is_unpacked_and_packed_anew(small_shop: SmallShop, clerk: Clerk) -> None:
    parcel = packed(small_shop, clerk)
    assert not Balance.objects.filter(place__kind=Place.Kind.BENCH, quantity__gt=0).exists()
    order = packing.unpack(clerk("floor"), parcel)
    assert state_of(order) == Order.State.PICKED
    assert not Parcel.objects.exists() and not AsBuilt.objects.exists()
    assert not Balance.objects.filter(place__kind=Place.Kind.PACKED, quantity__gt=0).exists()
    assert refused(packing.ship, clerk("floor"), parcel, carrier="Skerry Post").code == "unpacked"
    assert refused(packing.unpack, clerk("floor"), parcel).code == "unpacked"
    again = packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
    assert again.pk != parcel.pk
    packing.ship(clerk("floor"), again, carrier="Skerry Post")
    assert Movement.objects.filter(act=Movement.Act.PACK, reference=order.number).count() == 6
    call_command("check_ledger")


def test_a_shipped_parcel_is_not_unpacked(small_shop: SmallShop, clerk: Clerk) -> None:
    parcel = packed(small_shop, clerk)
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")
    with pytest.raises(Conflict, match="was shipped already"):
        packing.unpack(clerk("floor"), parcel)
