"""The floor's pages: one walk, a wrong scan, packing, shipping."""

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Walk
from shop import ordering
from shop.models import Order
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


@pytest.fixture
def order(small_shop: SmallShop) -> Order:
    return ordering.accept(small_shop.counter, small_shop.quote())


def walk_all(browser: Client, walk: Walk) -> None:
    for stop in walk.stops.select_related("part", "lot"):
        form = {"do": "pick", "stop": stop.sequence, "scanned": stop.part.number, "lot": stop.lot or ""}
        assert browser.post(reverse("walk", args=[walk.pk]), form).status_code == 303


def make_walk(browser: Client, *orders: Order) -> Walk:
    browser.post(reverse("floor"), {"do": "walk", "order": [order.pk for order in orders]})
    return Walk.objects.get()


def test_several_orders_become_one_walk(at: At, small_shop: SmallShop, order: Order) -> None:
    other = ordering.accept(small_shop.counter, small_shop.quote())
    browser = at("floor")
    page = said(browser.get(reverse("floor")))
    assert order.number in page and other.number in page
    walk = make_walk(browser, order, other)
    assert set(walk.stops.values_list("reservation__order", flat=True)) == {order.pk, other.pk}


def test_a_walk_of_nothing_is_refused(at: At, order: Order) -> None:
    refused = at("floor").post(reverse("floor"), {"do": "walk"})
    assert refused.status_code == 422 and "tick the orders" in said(refused)


def test_a_wrong_part_is_told_large_and_nothing_is_taken(at: At, small_shop: SmallShop, order: Order) -> None:
    browser = at("floor")
    walk = make_walk(browser, order)
    stop = walk.stops.select_related("part").first()
    assert stop is not None
    wrong = next(p for p in (small_shop.bolt, small_shop.pulley) if p != stop.part)
    refused = browser.post(
        reverse("walk", args=[walk.pk]), {"do": "pick", "stop": stop.sequence, "scanned": wrong.number}
    )
    assert refused.status_code == 422 and 'data-code="wrong-part"' in refused.content.decode()
    assert "Wrong part" in said(refused) and f"{stop.part.number} {stop.part.name}" in said(refused)
    assert str(wrong) in said(refused)
    assert [one.value for one in read(refused).fields if one.name == "scanned"] == [""]
    stop.refresh_from_db()
    assert stop.picked == 0


def test_a_walk_goes_from_stop_to_stop_to_its_end(at: At, order: Order) -> None:
    browser = at("floor")
    walk = make_walk(browser, order)
    first = walk.stops.select_related("place").first()
    assert first is not None
    assert str(first.place) in said(browser.get(reverse("walk", args=[walk.pk])))
    walk_all(browser, walk)
    assert "The walk is done." in said(browser.get(reverse("walk", args=[walk.pk])))
    assert order.number in said(browser.get(reverse("floor")))


def test_an_order_is_packed_and_shipped_with_what_went_in(
    at: At, small_shop: SmallShop, order: Order
) -> None:
    browser = at("floor")
    walk = make_walk(browser, order)
    walk_all(browser, walk)
    stop = walk.stops.select_related("lot").get(part=small_shop.pump)
    assert stop.lot is not None
    address = reverse("packing", args=[order.pk])
    lots = f"lots-{small_shop.pump.pk}"
    refused = browser.post(address, {"do": "pack", lots: "N9"})
    assert refused.status_code == 422 and "N9" in said(refused)
    assert ">N9</textarea>" in refused.content.decode()
    packed = browser.post(address, {"do": "pack", lots: stop.lot.code}, follow=True)
    assert "Packed as parcel" in said(packed) and stop.lot.code in said(packed)
    parcel = order.parcels.get()
    shipped = browser.post(
        address,
        {"do": "ship", "parcel": parcel.pk, "carrier": "Quayside Carting", "tracking": "1"},
        follow=True,
    )
    assert "on its way with Quayside Carting" in said(shipped)
    order.refresh_from_db()
    assert order.state == Order.State.SHIPPED
