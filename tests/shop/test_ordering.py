"""Orders: what they keep, when they wait, and what lets them go ahead."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from inventory import buying
from inventory.acting import ActError, Conflict
from inventory.models import Alert, PurchaseOrder, Reservation, Stock, Target
from inventory.promising import free
from shop import ordering, quoting, receiving
from shop.models import Order, Quote
from shop.tasks import let_waiting_orders_go
from tests.clerks import Clerk
from tests.shop.small import SmallShop

IN_FIVE_DAYS = timedelta(days=5)  # What the supplier of the small shop takes.


def waits_for(shop: SmallShop) -> dict[str, int]:
    alerts = Alert.objects.filter(cause=Alert.Cause.ORDER_WAITS, cleared_at__isnull=True)
    return {alert.part.number: alert.quantity for alert in alerts}


def buy(shop: SmallShop, clerk: Clerk, **pieces: int) -> PurchaseOrder:
    parts = {"pulley": shop.pulley, "bolt": shop.bolt}
    lines = {parts[name].pk: quantity for name, quantity in pieces.items()}
    return buying.send(clerk("buying"), buying.write_order(clerk("buying"), shop.supplier, lines))


def receive_all(order: PurchaseOrder, clerk: Clerk, note: str = "D-1") -> None:
    left = {line.pk: line.quantity - line.received for line in order.lines.all()}
    quantities = {line: quantity for line, quantity in left.items() if quantity}
    receiving.receive(clerk("floor"), order, delivery_note=note, quantities=quantities)


def test_an_accepted_quote_keeps_its_parts_and_is_ready(small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    assert order.state == Order.State.READY
    assert order.promised_on == timezone.localdate()
    assert order.reservation is not None and order.reservation.kind == Reservation.Kind.COMMITMENT
    assert order.reservation.reference == order.number
    assert [(kit.ordinal, str(kit)[-8:]) for kit in order.kits.all()] == [(1, "(1 of 2)"), (2, "(2 of 2)")]
    committed = dict(Stock.objects.values_list("part__number", "committed"))
    assert committed == {"OR-40": 2, "OR-7P": 2, "OR-8B": 8}


def test_a_live_hold_becomes_the_commitment(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(2))
    order = ordering.accept(small_shop.counter, quote)
    assert order.reservation_id == quote.reservation_id
    assert Reservation.objects.count() == 1
    assert dict(Stock.objects.values_list("held", "committed")) == {0: 8}  # the last row: eight bolts


def test_after_a_lapsed_hold_the_parts_are_committed_anew(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(2))
    Reservation.objects.filter(quote=quote).update(until=timezone.now() - timedelta(seconds=1))
    order = ordering.accept(small_shop.counter, quote)
    assert order.state == Order.State.READY
    assert order.reservation_id != quote.reservation_id
    quote.refresh_from_db()
    assert quote.reservation is not None and quote.reservation.state == Reservation.State.LAPSED
    assert not Stock.objects.filter(held__gt=0).exists()


def test_a_quote_is_accepted_once(small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    order = ordering.accept(small_shop.counter, quote)
    with pytest.raises(Conflict) as caught:
        ordering.accept(small_shop.counter, quote)
    assert caught.value.code == "already-accepted"
    assert order.number in caught.value.message
    assert Order.objects.count() == 1


def test_an_order_that_falls_short_waits_with_nothing_kept(small_shop: SmallShop) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    order = ordering.accept(small_shop.counter, small_shop.quote(4))  # 4 of 3 pulleys, 16 of 10 bolts
    assert (order.state, order.reservation) == (Order.State.WAITING, None)
    assert order.promised_on == timezone.localdate() + IN_FIVE_DAYS
    assert not Stock.objects.filter(committed__gt=0).exists()
    assert waits_for(small_shop) == {"OR-40": 1, "OR-8B": 6}


def test_an_order_for_what_nobody_offers_has_no_date(small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))  # 3 of 2 pumps
    assert order.promised_on is None
    assert waits_for(small_shop)["OR-7P"] == 1


def test_two_waiting_orders_ask_buying_for_what_both_lack(small_shop: SmallShop) -> None:
    small_shop.put(small_shop.pump, 6, [f"N{n}" for n in range(3, 9)])
    for _ in range(2):
        ordering.accept(small_shop.counter, small_shop.quote(4))
    assert waits_for(small_shop) == {"OR-40": 5, "OR-8B": 22}  # 8 of 3 pulleys, 32 of 10 bolts


def test_an_order_counts_on_a_delivery_that_is_under_way(small_shop: SmallShop, clerk: Clerk) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    buy(small_shop, clerk, pulley=1, bolt=6)
    order = ordering.accept(small_shop.counter, small_shop.quote(4))
    assert order.state == Order.State.WAITING
    assert order.reservation is not None
    assert order.promised_on == timezone.localdate() + IN_FIVE_DAYS
    assert waits_for(small_shop) == {}


def test_it_is_ready_once_all_of_the_delivery_is_here(small_shop: SmallShop, clerk: Clerk) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    purchase = buy(small_shop, clerk, pulley=1, bolt=6)
    order = ordering.accept(small_shop.counter, small_shop.quote(4))
    pulleys = purchase.lines.get(part=small_shop.pulley)
    receiving.receive(clerk("floor"), purchase, delivery_note="D-1", quantities={pulleys.pk: 1})
    order.refresh_from_db()
    assert order.state == Order.State.WAITING
    receive_all(purchase, clerk, "D-2")
    order.refresh_from_db()
    assert (order.state, order.promised_on) == (Order.State.READY, timezone.localdate() + IN_FIVE_DAYS)


def test_an_order_with_nothing_kept_goes_ahead_when_the_parts_come(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    order = ordering.accept(small_shop.counter, small_shop.quote(4))
    receive_all(buy(small_shop, clerk, pulley=1, bolt=6), clerk)
    order.refresh_from_db()
    assert order.state == Order.State.READY
    # The customer was told when more could be bought; it can go now, and the counter hears of that.
    assert order.promised_on == timezone.localdate() + IN_FIVE_DAYS
    assert order.expected_on == timezone.localdate()
    assert f"now expected {order.expected_on:%-d %b}" in order.notices.get().text
    assert waits_for(small_shop) == {}
    assert free([small_shop.pulley.pk], timezone.now()) == {small_shop.pulley.pk: 0}


def test_of_two_waiting_orders_the_older_goes_first(small_shop: SmallShop, clerk: Clerk) -> None:
    small_shop.put(small_shop.pump, 6, [f"N{n}" for n in range(3, 9)])
    older, younger = (ordering.accept(small_shop.counter, small_shop.quote(4)) for _ in range(2))
    receive_all(buy(small_shop, clerk, pulley=1, bolt=6), clerk)
    older.refresh_from_db()
    younger.refresh_from_db()
    assert (older.state, younger.state) == (Order.State.READY, Order.State.WAITING)
    assert waits_for(small_shop) == {"OR-40": 4, "OR-8B": 16}


def test_a_withdrawn_hold_lets_a_waiting_order_go_ahead(small_shop: SmallShop) -> None:
    held = quoting.hold(small_shop.counter, small_shop.quote(1))
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    assert order.state == Order.State.WAITING
    quoting.withdraw(small_shop.counter, held)
    order.refresh_from_db()
    assert order.state == Order.State.READY
    assert waits_for(small_shop) == {}


def test_a_swept_hold_lets_a_waiting_order_go_ahead(small_shop: SmallShop) -> None:
    held = quoting.hold(small_shop.counter, small_shop.quote(1))
    order = ordering.accept(small_shop.counter, small_shop.quote(2))
    Reservation.objects.filter(quote=held).update(until=timezone.now() - timedelta(seconds=1))
    let_waiting_orders_go()
    order.refresh_from_db()
    assert order.state == Order.State.READY


def test_an_order_that_brings_a_part_below_its_target_warns_buying_at_once(small_shop: SmallShop) -> None:
    Target.objects.create(part=small_shop.pulley, reorder_at=2, up_to=6, why="sells")
    ordering.accept(small_shop.counter, small_shop.quote(1))
    alert = Alert.objects.get(cause=Alert.Cause.BELOW_TARGET)
    assert (alert.part, alert.quantity, alert.supplier) == (small_shop.pulley, 4, small_shop.supplier)


def test_shop_work_adds_whole_days_to_the_date(small_shop: SmallShop) -> None:
    quote = small_shop.quote(2)
    kit = quote.kits.get()
    kit.record["works"] = [{"minutes": 240}, {"minutes": 10}]  # twice 250 minutes: more than one day
    kit.save()
    order = ordering.accept(small_shop.counter, quote)
    assert order.promised_on == timezone.localdate() + timedelta(days=2)


def test_a_refused_acceptance_leaves_nothing_behind(small_shop: SmallShop, clerk: Clerk) -> None:
    quote = small_shop.quote()
    with pytest.raises(ActError, match="may not do this"):
        ordering.accept(clerk("floor"), quote)
    quote.refresh_from_db()
    assert quote.state == Quote.State.OPEN
    assert not Order.objects.exists()


def test_a_look_at_many_that_still_wait_asks_little_more(
    small_shop: SmallShop, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    asked = []
    for many in (2, 12):
        while Order.objects.count() < many:
            ordering.accept(small_shop.counter, small_shop.quote(3))  # nobody offers the third pump
        with django_assert_max_num_queries(60) as queries:
            let_waiting_orders_go()
        asked.append(len(queries))
    assert asked[1] <= asked[0] + 10
