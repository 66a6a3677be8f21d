"""Orders that wait with nothing kept are promised in the order in which they were accepted."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory import buying
from inventory.models import Offer, PurchaseOrder, Supplier
from inventory.reserving import Short
from shop import cancelling, ordering, quoting
from shop.models import Notice, Order
from shop.sending import send
from shop.sooner import quote_promise
from shop.tasks import let_waiting_orders_go
from tests.clerks import Clerk
from tests.shop.small import SmallShop

pytestmark = pytest.mark.main_job


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


@pytest.fixture
def slow_pulleys(small_shop: SmallShop) -> SmallShop:
    """Pumps come in 5 days like bolts, pulleys in 30: whoever comes after three of them waits long."""
    slow = Supplier.objects.create(code="slow", name="Slow Castings", lead_days=30)
    Offer.objects.filter(part=small_shop.pulley).update(supplier=slow)
    Offer.objects.create(supplier=small_shop.supplier, part=small_shop.pump, price=60)
    return small_shop


def accept(shop: SmallShop, kits: int) -> Order:
    return ordering.accept(shop.counter, shop.quote(kits))


def day_of(order: Order) -> date | None:
    return Order.objects.values_list("expected_on", flat=True).get(pk=order.pk)


def test_a_later_order_is_promised_what_the_earlier_ones_leave(slow_pulleys: SmallShop) -> None:
    first, second = accept(slow_pulleys, 3), accept(slow_pulleys, 3)
    assert (first.reservation, second.reservation) == (None, None)
    assert (first.promised_on, second.promised_on) == (in_days(5), in_days(30))
    let_waiting_orders_go()
    assert (day_of(first), day_of(second)) == (in_days(5), in_days(30))
    assert not Notice.objects.exists()


def test_a_quote_that_cannot_be_kept_is_told_its_turn_after_all_orders(slow_pulleys: SmallShop) -> None:
    assert _told(slow_pulleys, 3) == in_days(5)
    accept(slow_pulleys, 3)
    assert _told(slow_pulleys, 3) == in_days(30)
    assert accept(slow_pulleys, 3).promised_on == in_days(30)


def test_what_can_be_kept_as_it_is_is_told_for_today(slow_pulleys: SmallShop) -> None:
    accept(slow_pulleys, 3)
    assert _told(slow_pulleys, 1) == in_days(0)
    assert accept(slow_pulleys, 1).promised_on == in_days(0)


def test_a_hold_that_falls_short_tells_the_day_of_its_turn(slow_pulleys: SmallShop) -> None:
    accept(slow_pulleys, 3)
    with pytest.raises(Short) as refused:
        quoting.hold(slow_pulleys.counter, slow_pulleys.quote(3))
    assert refused.value.details["on"] == in_days(30).isoformat()


def test_an_order_that_ends_lets_the_next_have_its_turn(slow_pulleys: SmallShop) -> None:
    first, second = accept(slow_pulleys, 3), accept(slow_pulleys, 3)
    cancelling.cancel(slow_pulleys.counter, first, "the customer thought better of it")
    assert day_of(second) == in_days(5)
    assert f"now expected {in_days(5):%-d %b}" in Notice.objects.get(order=second).text


def test_sent_orders_date_those_anew_who_wait(slow_pulleys: SmallShop, clerk: Clerk) -> None:
    first, second = accept(slow_pulleys, 3), accept(slow_pulleys, 3)
    slow = Offer.objects.filter(supplier__code="slow", part=slow_pulleys.pulley)
    slow.update(lead_days=10)
    order = buying.write_order(clerk("buying"), slow.get().supplier, {slow_pulleys.pulley.pk: 3})
    send(clerk("buying"), order)
    assert (day_of(first), day_of(second)) == (in_days(5), in_days(10))
    assert Notice.objects.get(order=second).text.startswith(f"{second} for")
    let_waiting_orders_go()
    assert Notice.objects.count() == 1


def test_a_sent_order_is_kept_at_once_for_who_waits(small_shop: SmallShop, clerk: Clerk) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    waiting = accept(small_shop, 4)
    lines = {small_shop.pulley.pk: 1, small_shop.bolt.pk: 6}
    order = buying.write_order(clerk("buying"), small_shop.supplier, lines)
    send(clerk("buying"), order)
    waiting.refresh_from_db()
    assert waiting.reservation is not None and waiting.state == Order.State.WAITING


def _told(shop: SmallShop, kits: int) -> date | None:
    return quote_promise(shop.quote(kits), timezone.now()).on


def _sent(shop: SmallShop, clerk: Clerk, due: date) -> PurchaseOrder:
    """Three pulleys, due sooner than their supplier mostly takes."""
    slow = Supplier.objects.get(code="slow")
    order = buying.send(clerk("buying"), buying.write_order(clerk("buying"), slow, {shop.pulley.pk: 3}))
    order.lines.update(due=due)
    return order
