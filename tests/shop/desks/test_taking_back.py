"""What the pages offer when something does not go on its way."""

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import CountLine, Walk, WalkStop
from shop import ordering, packing, picking
from shop.models import Order, Parcel
from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop
from tests.shop.test_floor import pick_stop, picked


@pytest.fixture
def walk(small_shop: SmallShop, clerk: Clerk) -> Walk:
    return picking.make_walk(clerk("floor"), [ordering.accept(small_shop.counter, small_shop.quote())])


@pytest.fixture
def parcel(small_shop: SmallShop, clerk: Clerk) -> Parcel:
    return packing.pack(clerk("floor"), picked(small_shop, clerk), lots={"OR-7P": ["N1"]})


def press(browser: Client, address: str, do: str, **typed: object) -> str:
    """Press a button that has to work, and read the page that comes."""
    answer = browser.post(address, {"do": do, **typed}, follow=True)
    assert answer.redirect_chain and read(answer).faults == []
    return said(answer)


def test_what_is_not_there_takes_the_order_off_the_walk(at: At, clerk: Clerk, walk: Walk) -> None:
    browser, address = at("floor"), reverse("walk", args=[walk.pk])
    first, second, _ = walk.stops.select_related("part", "lot")
    pick_stop(clerk, second)
    page = read(browser.get(address))
    assert page.faults == [] and f"{first.left} not there" in page.text
    told = press(browser, address, "not_there", stop=first.sequence)
    assert "No other bin has 1 × OR-40" in told and "Carry back: 1 × OR-7P into A-1-2." in told
    assert "The walk was given up." in told
    assert CountLine.objects.get().place == first.place


def test_what_another_bin_has_becomes_the_last_stop(at: At, small_shop: SmallShop, walk: Walk) -> None:
    small_shop.bins[small_shop.pulley.pk] = small_shop.bins[small_shop.bolt.pk]
    small_shop.put(small_shop.pulley, 2)
    told = press(at("floor"), reverse("walk", args=[walk.pk]), "not_there", stop=1)
    assert "1 × OR-40 will be fetched at the end of this walk: 1 in A-1-3." in told
    assert "1 of 4 stops done" in told and "1 let go" in told


def test_a_pick_is_put_back_from_the_page(at: At, clerk: Clerk, walk: Walk) -> None:
    for stop in walk.stops.select_related("part", "lot"):
        pick_stop(clerk, stop)
    browser, address = at("floor"), reverse("walk", args=[walk.pk])
    assert "The walk is done." in said(browser.get(address))
    told = press(browser, address, "put_back", stop=3, back="3")
    assert "Put back: 3 × OR-8B into A-1-3." in told and "1 taken" in told
    refused = browser.post(address, {"do": "put_back", "stop": 3, "back": "9"})
    assert refused.status_code == 422 and "cannot be put back" in said(refused)


def test_a_walk_is_given_up_from_the_page_and_made_anew(at: At, clerk: Clerk, walk: Walk) -> None:
    browser, address = at("floor"), reverse("walk", args=[walk.pk])
    pick_stop(clerk, walk.stops.get(sequence=1))
    assert "Carry back what lies on the bench" in said(browser.get(address))
    told = press(browser, address, "give_up")
    assert f"Walk {walk} is given up" in told and "Give the walk up" not in told
    assert Order.objects.get().number in said(browser.get(reverse("floor")))
    again = browser.post(address, {"do": "give_up"})
    assert again.status_code == 409


def test_a_parcel_is_unpacked_from_the_page(at: At, parcel: Parcel) -> None:
    told = press(at("floor"), reverse("packing", args=[parcel.order_id]), "unpack", parcel=parcel.pk)
    assert f"Parcel {parcel} is unpacked" in told and "Pack it" in told and "What went in" not in told


@pytest.mark.parametrize("parcel_typed", ["", "x", "999"])
def test_a_parcel_that_is_none_is_not_unpacked(at: At, parcel: Parcel, parcel_typed: str) -> None:
    address = reverse("packing", args=[parcel.order_id])
    answer = at("floor").post(address, {"do": "unpack", "parcel": parcel_typed})
    assert answer.status_code in (404, 422) and Parcel.objects.exists()


def test_an_order_is_cancelled_from_the_page(at: At, parcel: Parcel) -> None:
    browser, address = at("counter"), reverse("order", args=[parcel.order_id])
    page = read(browser.get(address))
    assert page.faults == [] and "Cancel the order" in page.text
    refused = browser.post(address, {"do": "cancel", "reason": ""})
    assert refused.status_code == 422 and "Say why" in said(refused)
    told = press(browser, address, "cancel", reason="the boat was sold")
    assert "is cancelled. Carry back: 1 × OR-40 into A-1-1" in told and "Cancel the order" not in told
    assert not WalkStop.objects.filter(picked__gt=0).exists()


def test_parts_of_a_shipped_order_are_taken_back_from_the_page(
    at: At, clerk: Clerk, small_shop: SmallShop, parcel: Parcel
) -> None:
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")
    browser, address = at("counter"), reverse("order", args=[parcel.order_id])
    page = read(browser.get(address))
    assert page.faults == [] and "Cancel the order" not in page.text
    bolts = f"spoilt-{small_shop.bolt.pk}-0"
    typed = {bolts: "2", "reason": "wrong engine"}
    told = press(browser, address, "take_back", **typed)
    assert "is booked: 2 pieces." in told and "2 × OR-8B bolt: spoilt" in told
    refused = browser.post(address, {"do": "take_back", bolts: "3", "reason": "wrong engine"})
    assert refused.status_code == 409 and "2 of them are back already" in said(refused)
    assert [field.value for field in read(refused).fields if field.name == bolts] == ["3"]
    assert browser.post(address, {"do": "take_back", "reason": "no"}).status_code == 422
    assert browser.post(address, {"do": "take_back", bolts: "x", "reason": "no"}).status_code == 422


def test_only_the_counter_is_offered_what_ends_an_order(at: At, parcel: Parcel) -> None:
    address = reverse("order", args=[parcel.order_id])
    assert "Cancel the order" not in said(at("floor").get(address))
    refused = at("floor").post(address, {"do": "cancel", "reason": "no"})
    assert refused.status_code == 403
