"""An order for a later day is ready while its parts lie here, and waits when they go to somebody sooner."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory import reserving
from inventory.models import PurchaseOrder
from shop import ordering, picking, quoting, slipping
from shop.models import Notice, Order
from shop.tasks import let_waiting_orders_go
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_ordering import buy, receive_all

pytestmark = pytest.mark.main_job


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


def ready_for_later(shop: SmallShop, clerk: Clerk) -> tuple[Order, PurchaseOrder]:
    """An order for in thirteen days, ready; then its pulley goes to somebody who wants it today."""
    quote = quoting.quote(shop.counter, shop.customer, [(shop.kit(), 1)], wanted_on=in_days(13))
    order = ordering.accept(shop.counter, quote)
    assert order.state == Order.State.READY
    purchase = buy(shop, clerk, pulley=3)
    reserving.commit(shop.counter, {shop.pulley.pk: 3}, reference="S9")
    return order, purchase


def test_it_waits_for_the_delivery_that_it_counts_on_now(small_shop: SmallShop, clerk: Clerk) -> None:
    order, purchase = ready_for_later(small_shop, clerk)
    let_waiting_orders_go()
    order.refresh_from_db()
    assert (order.state, order.expected_on) == (Order.State.WAITING, in_days(13))
    assert not Notice.objects.exists()
    receive_all(purchase, clerk)
    order.refresh_from_db()
    assert order.state == Order.State.READY


def test_the_counter_hears_when_that_delivery_slips_past_the_day(small_shop: SmallShop, clerk: Clerk) -> None:
    order, purchase = ready_for_later(small_shop, clerk)
    line = purchase.lines.select_related("order__supplier").get()
    slipping.slip(clerk("buying"), line, in_days(30), "lost at sea")
    order.refresh_from_db()
    assert (order.state, order.expected_on) == (Order.State.WAITING, in_days(30))
    assert f"now expected {in_days(30):%-d %b}" in Notice.objects.get(order=order).text


def test_others_are_picked_without_it(small_shop: SmallShop, clerk: Clerk) -> None:
    order, _ = ready_for_later(small_shop, clerk)
    let_waiting_orders_go()
    ready = Order.objects.filter(state=Order.State.READY)
    assert order not in ready
    small_shop.put(small_shop.pulley, 1)
    let_waiting_orders_go()
    order.refresh_from_db()
    assert order.state == Order.State.WAITING, "it need not be here before its day"
    small_shop.put(small_shop.pump, 1, ["N3"])
    now = ordering.accept(small_shop.counter, small_shop.quote(1))
    assert picking.make_walk(clerk("floor"), [now])
