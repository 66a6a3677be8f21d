"""Orders and quotes hear of it when what they wait for moves."""

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from inventory.models import PurchaseLine, PurchaseOrder, Reservation
from shop import noticing, ordering, quoting, slipping
from shop.models import Notice, Order, Quote
from shop.tasks import let_waiting_orders_go, look_at_deliveries
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_ordering import buy, receive_all


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


def a_waiting_order(shop: SmallShop, clerk: Clerk) -> tuple[Order, PurchaseOrder]:
    """Four kits, of which a pulley and six bolts are under way; told for in five days."""
    shop.put(shop.pump, 2, ["N3", "N4"])
    purchase = buy(shop, clerk, pulley=1, bolt=6)
    return ordering.accept(shop.counter, shop.quote(4)), purchase


def pulleys(purchase: PurchaseOrder, shop: SmallShop) -> PurchaseLine:
    return purchase.lines.select_related("order__supplier").get(part=shop.pulley)


@pytest.mark.main_job
def test_an_order_keeps_the_day_it_was_told_beside_the_day_that_is_expected(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    order, purchase = a_waiting_order(small_shop, clerk)
    assert (order.promised_on, order.expected_on) == (in_days(5), in_days(5))
    assert not Notice.objects.exists()
    slipping.slip(clerk("buying"), pulleys(purchase, small_shop), in_days(9), "the foundry is on strike")
    order.refresh_from_db()
    assert (order.promised_on, order.expected_on) == (in_days(5), in_days(9))
    notice = Notice.objects.get()
    assert (notice.kind, notice.order) == (Notice.Kind.DATE_MOVED, order)
    assert notice.text == (
        f"{order} for Ines Halloran: now expected {in_days(9):%-d %b}, told {in_days(5):%-d %b}. "
        f"{purchase} of Pell Stores comes on {in_days(9):%-d %b}: the foundry is on strike"
    )


def test_another_delivery_that_comes_sooner_is_waited_for_instead(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    order, purchase = a_waiting_order(small_shop, clerk)
    buy(small_shop, clerk, pulley=2)
    slipping.slip(clerk("buying"), pulleys(purchase, small_shop), in_days(20), "lost at sea")
    order.refresh_from_db()
    assert order.expected_on == in_days(5)
    assert not Notice.objects.exists()


def test_a_delivery_that_comes_early_lets_the_order_go_sooner(small_shop: SmallShop, clerk: Clerk) -> None:
    order, purchase = a_waiting_order(small_shop, clerk)
    later = buy(small_shop, clerk, pulley=1)
    slipping.slip(clerk("buying"), pulleys(purchase, small_shop), in_days(20), "lost at sea")
    order.refresh_from_db()
    assert order.expected_on == in_days(5)
    receive_all(later, clerk, "D-1")
    bolts = purchase.lines.select_related("order__supplier").get(part=small_shop.bolt)
    slipping.slip(clerk("buying"), bolts, in_days(1), "they found some")
    order.refresh_from_db()
    assert (order.state, order.expected_on) == (Order.State.WAITING, in_days(1))
    assert "told" in Notice.objects.get().text


def test_stock_that_is_let_go_is_taken_instead_of_waiting(small_shop: SmallShop, clerk: Clerk) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    small_shop.put(small_shop.bolt, 10)
    buy(small_shop, clerk, pulley=1)
    held = quoting.hold(small_shop.counter, small_shop.quote(1))
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    second = ordering.accept(small_shop.counter, small_shop.quote(1))
    assert (order.state, second.state) == (Order.State.READY, Order.State.WAITING)
    quoting.withdraw(small_shop.counter, held)
    second.refresh_from_db()
    assert second.state == Order.State.READY


@pytest.mark.main_job
def test_a_quote_whose_held_parts_slip_is_told_as_well(small_shop: SmallShop, clerk: Clerk) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    purchase = buy(small_shop, clerk, pulley=1, bolt=6)
    quote = quoting.hold(small_shop.counter, small_shop.quote(4))
    slipping.slip(clerk("buying"), pulleys(purchase, small_shop), in_days(9), "the foundry is on strike")
    notice = Notice.objects.get()
    assert notice.quote == quote and notice.order is None
    assert f"now expected {in_days(9):%-d %b}, before {in_days(5):%-d %b}" in notice.text


def test_an_overdue_delivery_moves_the_day_of_who_waits(small_shop: SmallShop, clerk: Clerk) -> None:
    order, purchase = a_waiting_order(small_shop, clerk)
    told = order.promised_on
    with time_machine.travel(timezone.now() + timedelta(days=6)):
        assert look_at_deliveries() == 2
        order.refresh_from_db()
        assert (order.promised_on, order.expected_on) == (told, in_days(1))
        assert f"Overdue: {purchase} of Pell Stores. Ask when it comes." in Notice.objects.get().text
        look_at_deliveries()
        assert Notice.objects.count() == 1


def test_an_order_that_nothing_is_kept_for_is_looked_at_once_a_day(small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))  # nobody offers the third pump
    assert order.expected_on is None
    small_shop.put(small_shop.pump, 1, ["N3"])
    look_at_deliveries()
    order = Order.objects.get()
    assert (order.promised_on, order.expected_on) == (in_days(5), in_days(5))
    assert "no day was told" in Notice.objects.get().text


def test_what_was_seen_is_not_said_again_until_there_is_more_to_say(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    _order, purchase = a_waiting_order(small_shop, clerk)
    line = pulleys(purchase, small_shop)
    slipping.slip(clerk("buying"), line, in_days(9), "a strike")
    slipping.slip(clerk("buying"), line, in_days(11), "a strike")
    first = Notice.objects.get()
    assert f"{in_days(11):%-d %b}" in first.text
    seen = noticing.seen(small_shop.counter, first)
    assert seen.seen_by == small_shop.counter and not noticing.unseen().exists()
    let_waiting_orders_go()
    assert not noticing.unseen().exists()
    slipping.slip(clerk("buying"), line, in_days(12), "a strike")
    assert noticing.unseen().get() != first


@pytest.mark.main_job
def test_an_order_never_takes_a_hold_unless_the_shop_says_so(small_shop: SmallShop) -> None:
    quoting.hold(small_shop.counter, small_shop.quote(1))
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    assert order.state == Order.State.WAITING and not Notice.objects.exists()


@pytest.mark.main_job
def test_where_the_shop_says_so_an_order_takes_the_hold_and_the_quote_is_told(
    small_shop: SmallShop, settings: Any
) -> None:
    settings.SHOP_ORDERS_TAKE_HOLDS = True
    held = quoting.hold(small_shop.counter, small_shop.quote(1))
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    assert order.state == Order.State.READY
    held = Quote.objects.select_related("reservation").get(pk=held.pk)
    assert held.reservation is not None and held.reservation.state == Reservation.State.GAVE_WAY
    notice = Notice.objects.get()
    assert (notice.kind, notice.quote) == (Notice.Kind.HOLD_TAKEN, held)
    assert order.number in notice.text
