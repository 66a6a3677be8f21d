"""What will not come any more: whoever waited for it gets other supply, or hears that nothing is kept."""

from datetime import date, timedelta

import pytest
from django.core.management import call_command
from django.utils import timezone

from inventory.buying import send, write_order
from inventory.models import Alert, Difference, PurchaseLine, PurchaseOrder, Reservation
from shop import ordering, quoting
from shop.models import Notice, Order
from shop.receiving import close_short, receive
from tests.clerks import Clerk
from tests.shop.small import SmallShop

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


def buy(shop: SmallShop, clerk: Clerk, pulleys: int) -> PurchaseOrder:
    return send(clerk("buying"), write_order(clerk("buying"), shop.supplier, {shop.pulley.pk: pulleys}))


def the_line(order: PurchaseOrder) -> PurchaseLine:
    return order.lines.select_related("order__supplier", "part__maker").get()


def stocked(shop: SmallShop) -> None:
    """Enough of all but pulleys for two orders of four kits."""
    shop.put(shop.pump, 6, [f"N{number}" for number in range(10, 16)])
    shop.put(shop.bolt, 30)


def test_an_order_gets_the_later_delivery_and_the_counter_hears(small_shop: SmallShop, clerk: Clerk) -> None:
    stocked(small_shop)
    first = buy(small_shop, clerk, 3)
    second = buy(small_shop, clerk, 3)
    second.lines.update(due=in_days(12))
    order = ordering.accept(small_shop.counter, small_shop.quote(4))
    assert order.expected_on == in_days(5)
    close_short(clerk("buying"), the_line(first), "out of their range")
    order.refresh_from_db()
    assert (order.state, order.expected_on) == (Order.State.WAITING, in_days(12))
    assert order.reservation is not None and order.reservation.state == Reservation.State.KEPT
    notice = Notice.objects.get()
    assert notice.kind == Notice.Kind.DATE_MOVED
    assert f"{first} of Pell Stores brings no more of" in notice.text
    call_command("check_ledger")


def test_an_order_that_nothing_else_can_serve_waits_with_nothing_kept(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    stocked(small_shop)
    purchase = buy(small_shop, clerk, 3)
    order = ordering.accept(small_shop.counter, small_shop.quote(4))
    close_short(clerk("buying"), the_line(purchase), "out of their range")
    order.refresh_from_db()
    assert (order.state, order.reservation) == (Order.State.WAITING, None)
    kinds = set(Notice.objects.filter(order=order).values_list("kind", flat=True))
    assert Notice.Kind.KEPT_NO_MORE in kinds
    alert = Alert.objects.get(part=small_shop.pulley, cause=Alert.Cause.ORDER_WAITS, cleared_at=None)
    assert alert.quantity == 1
    # Once there is a delivery again, it is kept whole.
    again = buy(small_shop, clerk, 3)
    ordering.review_waiting(timezone.now())
    order.refresh_from_db()
    assert order.reservation is not None
    receive(clerk("floor"), again, delivery_note="D1", quantities={line.pk: 3 for line in again.lines.all()})
    order.refresh_from_db()
    assert order.state == Order.State.READY
    call_command("check_ledger")


def test_an_open_quote_is_let_go_before_an_order(small_shop: SmallShop, clerk: Clerk) -> None:
    stocked(small_shop)
    buy(small_shop, clerk, 1)
    purchase = buy(small_shop, clerk, 1)
    order = ordering.accept(small_shop.counter, small_shop.quote(4))
    quote = quoting.hold(small_shop.counter, small_shop.quote(1))
    close_short(clerk("buying"), the_line(purchase), "lost")
    order.refresh_from_db()
    quote.refresh_from_db()
    assert order.reservation is not None and order.reservation.state == Reservation.State.KEPT
    assert quote.reservation is not None and quote.reservation.state == Reservation.State.RELEASED
    (notice,) = Notice.objects.filter(quote=quote)
    assert notice.kind == Notice.Kind.KEPT_NO_MORE and "Hold them anew, or say when" in notice.text
    assert ordering.accept(small_shop.counter, quote).state == Order.State.WAITING


def test_spoilt_pieces_that_are_not_replaced_let_go_too(small_shop: SmallShop, clerk: Clerk) -> None:
    stocked(small_shop)
    purchase = buy(small_shop, clerk, 3)
    order = ordering.accept(small_shop.counter, small_shop.quote(5))  # Waits for two of the three.
    line = the_line(purchase)
    receive(
        clerk("floor"),
        purchase,
        delivery_note="D1",
        quantities={line.pk: 1},
        spoilt={line.pk: 2},
        not_owed=[line.pk],
        remark="bent",
    )
    order.refresh_from_db()
    assert order.reservation is None
    assert Difference.objects.get().note == "bent"
    assert "was spoilt and will not be replaced" in Notice.objects.filter(order=order).last().text  # type: ignore[union-attr]  # there is one
    call_command("check_ledger")


def test_spoilt_pieces_that_stay_owed_change_nothing(small_shop: SmallShop, clerk: Clerk) -> None:
    stocked(small_shop)
    purchase = buy(small_shop, clerk, 3)
    order = ordering.accept(small_shop.counter, small_shop.quote(5))
    line = the_line(purchase)
    receive(clerk("floor"), purchase, delivery_note="D1", quantities={line.pk: 1}, spoilt={line.pk: 2})
    order.refresh_from_db()
    assert order.reservation is not None and not Notice.objects.filter(kind=Notice.Kind.KEPT_NO_MORE).exists()


def test_what_is_over_lets_a_waiting_order_go(small_shop: SmallShop, clerk: Clerk) -> None:
    stocked(small_shop)
    purchase = buy(small_shop, clerk, 1)
    order = ordering.accept(small_shop.counter, small_shop.quote(5))
    assert order.reservation is None
    line = the_line(purchase)
    receive(clerk("floor"), purchase, delivery_note="D1", quantities={line.pk: 2}, keep_over=True)
    order.refresh_from_db()
    assert order.state == Order.State.READY
