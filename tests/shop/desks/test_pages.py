"""What holds for every page: it reads well without eyes, and it does not ask the database too often."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Part
from shop import ordering, picking, quoting
from shop.models import Order
from tests.clerks import Clerk
from tests.shop.desks.catalogue import drafting, offer
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read
from tests.shop.small import SmallShop

KIT_PAGE_QUERIES = 60


@pytest.fixture
def addresses(small_shop: SmallShop, clerk: Clerk) -> dict[str, list[str]]:
    """Every page, by a desk that opens it, in a shop where something is going on."""
    quote, held = small_shop.quote(), quoting.hold(small_shop.counter, small_shop.quote())
    order = ordering.accept(small_shop.counter, quote)
    walk = picking.make_walk(clerk("floor"), [order])
    kit = small_shop.kit()
    return {
        "counter": [
            reverse("counter"),
            reverse("engine", args=["T2"]),
            reverse("kit", args=[kit.pk]),
            reverse("kit", args=[kit.pk]) + "?slot=bolts",
            reverse("kit-in-the-way", args=[kit.pk]) + f"?slot=bolts&key=parts:{small_shop.bolt.pk}",
            reverse("kit-quote", args=[kit.pk]) + "?who=ines",
            reverse("quote", args=[held.pk]),
            reverse("order", args=[order.pk]),
            reverse("stock") + "?find=orrin",
            reverse("part", args=[small_shop.pump.pk]),
        ],
        "floor": [
            reverse("floor"),
            reverse("walk", args=[walk.pk]),
            reverse("packing", args=[order.pk]),
            reverse("goods-in"),
            reverse("counter"),  # not their desk: the refusal reads well too
        ],
        "buying": [reverse("buying")],
    }


def test_every_page_has_one_heading_a_language_and_a_label_for_every_field(
    at: At, addresses: dict[str, list[str]]
) -> None:
    faults = {
        address: read(at(desk).get(address)).faults for desk, pages in addresses.items() for address in pages
    }
    faults["sign-in"] = read(Client().get(reverse("sign-in"))).faults
    assert {address: found for address, found in faults.items() if found} == {}


def test_the_reader_sees_faults() -> None:
    from django.http import HttpResponse

    page = "<html><h1>a</h1><h1>b</h1><input id='x' name='x'><i id='x'></i><button></button></html>"
    assert len(read(HttpResponse(page)).faults) == 5


def test_the_kit_page_asks_no_more_for_more_candidates(
    at: At, small_shop: SmallShop, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    kit, browser = small_shop.kit(), at("counter")
    like = small_shop.pulley
    with drafting(small_shop.revision):
        for rank in range(2, 30):
            part = Part.objects.create(
                maker=like.maker, number=f"OR-4{rank}", name="pulley", category=like.category, price=rank
            )
            offer(part, "pulley", rank=rank)
    with django_assert_max_num_queries(KIT_PAGE_QUERIES):
        page = browser.get(reverse("kit", args=[kit.pk]), {"slot": "pulley"})
    assert "OR-429" in page.content.decode()


def test_long_lists_ask_once(at: At, small_shop: SmallShop, django_assert_max_num_queries: Any) -> None:
    small_shop.put(small_shop.bolt, 100)
    small_shop.put(small_shop.pulley, 20)
    small_shop.put(small_shop.pump, 1, [f"N{number}" for number in range(3, 20)])
    for _ in range(8):
        ordering.accept(small_shop.counter, small_shop.quote())
    assert Order.objects.filter(state=Order.State.READY).count() == 8
    counter, floor = at("counter"), at("floor")
    with django_assert_max_num_queries(16):
        counter.get(reverse("counter"))
    with django_assert_max_num_queries(16):
        floor.get(reverse("floor"))
