"""The counter closes a quote as lost, and an order that could not come in time, from their pages."""

import pytest
from django.urls import reverse

from inventory.models import Demand
from shop import ordering
from shop.models import Order, Quote
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said
from tests.shop.small import SmallShop

pytestmark = pytest.mark.main_job


def test_a_quote_is_closed_as_lost_and_says_what_was_missing(at: At, small_shop: SmallShop) -> None:
    browser, quote = at("counter"), small_shop.quote(3)
    address = reverse("quote", args=[quote.pk])
    assert "The customer goes without" in said(browser.get(address))
    refused = browser.post(address, {"do": "lose", "why": "other", "note": ""})
    assert "Say in the note" in said(refused)
    told = said(
        browser.post(address, {"do": "lose", "why": "not in time", "note": "sails soon"}, follow=True)
    )
    assert "is closed as lost" in told and "sails soon" in told
    assert "3 × OR-7P pump" in told and "12 × OR-8B bolt" in told and "OR-40 pulley" not in _missed(told)
    assert "The customer goes without" not in told
    assert Quote.objects.get().state == Quote.State.LOST


def _missed(told: str) -> str:
    return told.partition("What could not be had in time")[2]


def test_an_order_that_waits_is_cancelled_because_it_comes_too_late(at: At, small_shop: SmallShop) -> None:
    browser, order = at("counter"), ordering.accept(small_shop.counter, small_shop.quote(3))
    address = reverse("order", args=[order.pk])
    assert "It could not come in time" in said(browser.get(address))
    told = browser.post(
        address, {"do": "cancel", "reason": "went elsewhere", "not_in_time": "1"}, follow=True
    )
    assert f"Order {order} is cancelled" in said(told)
    assert Order.objects.get().state == Order.State.CANCELLED
    assert Demand.objects.filter(kind="lost").count() == 2


def test_an_order_that_waits_for_nothing_is_not_asked(at: At, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    assert "It could not come in time" not in said(at("counter").get(reverse("order", args=[order.pk])))
