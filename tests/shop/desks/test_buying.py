"""Buying's pages: from the alert to the goods on the shelf."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.buying import look_again
from inventory.models import Alert, PurchaseOrder, Target
from shop import ordering
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


@pytest.fixture
def alert(small_shop: SmallShop) -> Alert:
    Target.objects.create(part=small_shop.bolt, reorder_at=20, up_to=40, why="Every kit takes four.")
    return look_again([small_shop.bolt.pk], timezone.now())[0]


def test_an_alert_says_what_to_order_by_when_and_why(at: At, alert: Alert, small_shop: SmallShop) -> None:
    page = said(at("buying").get(reverse("buying")))
    for word in (small_shop.bolt.number, str(alert.quantity), str(small_shop.supplier), alert.reason):
        assert word in page
    assert f"{alert.order_by:%Y-%m-%d}" in page


def test_ticked_alerts_become_drafts_which_are_sent_and_received(
    at: At, alert: Alert, small_shop: SmallShop
) -> None:
    browser = at("buying")
    browser.post(reverse("buying"), {"do": "draft", "alert": alert.pk})
    order = PurchaseOrder.objects.get()
    address = reverse("purchase", args=[order.pk])
    assert "Send to Pell Stores" in said(browser.get(address))
    browser.post(address, {"do": "send"})
    line = order.lines.get()
    assert line.due == timezone.localdate() + timedelta(days=5)
    assert order.number in said(at("floor").get(reverse("goods-in")))
    form = {"do": "receive", "delivery_note": "DN 7", f"quantity-{line.pk}": str(line.quantity)}
    assert "DN 7 is booked" in said(at("floor").post(address, form, follow=True))
    small_shop.bolt.stock.refresh_from_db()
    assert small_shop.bolt.stock.on_hand == 10 + line.quantity


def test_too_many_pieces_are_refused_and_the_form_is_kept(at: At, alert: Alert) -> None:
    browser = at("buying")
    browser.post(reverse("buying"), {"do": "draft", "alert": alert.pk})
    order = PurchaseOrder.objects.get()
    address, line = reverse("purchase", args=[order.pk]), order.lines.get()
    browser.post(address, {"do": "send"})
    form = {"do": "receive", "delivery_note": "DN 8", f"quantity-{line.pk}": "9999"}
    refused = browser.post(address, form)
    kept = {one.name: one.value for one in read(refused).fields}
    assert refused.status_code == 422
    assert (kept["delivery_note"], kept[f"quantity-{line.pk}"]) == ("DN 8", "9999")
    line.refresh_from_db()
    assert line.received == 0


def test_the_floor_may_not_order(at: At, alert: Alert) -> None:
    browser = at("buying")
    browser.post(reverse("buying"), {"do": "draft", "alert": alert.pk})
    order = PurchaseOrder.objects.get()
    refused = at("floor").post(reverse("purchase", args=[order.pk]), {"do": "send"})
    assert refused.status_code == 403 and "may not do this" in said(refused)
    order.refresh_from_db()
    assert order.state == PurchaseOrder.State.DRAFT


def test_nothing_ticked_is_refused(at: At, alert: Alert) -> None:
    assert at("buying").post(reverse("buying"), {"do": "draft"}).status_code == 422


def test_orders_that_wait_are_shown_to_buying(at: At, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    page = said(at("buying").get(reverse("buying")))
    assert order.number in page and "an order waits" in page
