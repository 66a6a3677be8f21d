"""Act of the counter on orders: accept a quote; and what lets waiting orders go ahead."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, reserving
from inventory.acting import act
from inventory.ledger import lock_stock
from inventory.models import Alert, Reservation

from .models import Order, OrderKit, Quote
from .quoting import live_hold, locked_open
from .wants import date_kept, date_promised, wants_by_quote, wants_of, work_days


@act("shop.sell")
def accept(user: User, quote: Quote) -> Order:
    """Turn a quote into an order, with its parts kept for it: whole or not at all.

    A live hold becomes the commitment. Without one the parts are committed now; if they fall short the
    order waits with nothing kept, its date is the promise, and buying is told what is missing.
    The date counts the last part to come, and after it the shop works: their minutes as whole days of
    eight hours, at least one day where there is any work.
    """
    now = timezone.now()
    quote = locked_open(quote, now)
    order = Order.objects.create(
        quote=quote,
        customer=quote.customer,
        state=Order.State.WAITING,
        accepted_at=now,
        accepted_by=user,
    )
    OrderKit.objects.bulk_create(
        OrderKit(order=order, quote_kit=kit, ordinal=ordinal)
        for kit in quote.kits.all()
        for ordinal in range(1, kit.quantity + 1)
    )
    quote.state = Quote.State.ACCEPTED
    quote.save(update_fields=["state"])
    wants = wants_of(quote)
    kept = _commit(user, quote, order, wants, now)
    if kept is None:
        order.promised_on = date_promised(quote, wants, now)
        order.save(update_fields=["promised_on"])
        tell_buying(now)
    else:
        _give(order, kept, now)
    return order


def review_waiting(now: datetime) -> list[Order]:
    """Look at the waiting orders, oldest first; returns those that became ready to pick.

    An order that nothing is kept for is kept whole if it now can be; one that cannot lets a younger
    order pass that needs less. An order whose parts have all arrived becomes ready. Buying's alerts
    that an order waits are brought up to date. Runs in the caller's transaction.
    """
    waiting = list(
        Order.objects.select_for_update(of=("self",))
        .select_related("reservation", "quote")
        .filter(state=Order.State.WAITING)
        .order_by("accepted_at", "id")
    )
    wants = wants_by_quote(order.quote_id for order in waiting if order.reservation is None)
    lock_stock({part for wanted in wants.values() for part in wanted})
    for order in waiting:
        if order.reservation is None:
            kept = Reservation(kind=Reservation.Kind.COMMITMENT, reference=order.number)
            try:
                reserving.reserve(wants[order.quote_id], kept, now)
            except reserving.Short:
                continue
            _give(order, kept, now)
        elif _all_here(order.reservation):
            _make_ready(order)
    tell_buying(now)
    return [order for order in waiting if order.state == Order.State.READY]


def tell_buying(now: datetime) -> None:
    """Say for which parts orders wait with nothing kept; take back what nothing waits for any more."""
    waiting = Order.objects.filter(state=Order.State.WAITING, reservation__isnull=True)
    orders = list(waiting.order_by("accepted_at", "id"))
    wants: Counter[int] = Counter()
    for wanted in wants_by_quote(order.quote_id for order in orders).values():
        wants.update(wanted)
    opened = Alert.objects.filter(cause=Alert.Cause.ORDER_WAITS, cleared_at__isnull=True)
    buying.clear_waiting(set(opened.values_list("part", flat=True)) - set(wants), now)
    if wants:
        buying.alert_waiting(wants, _who_waits(orders), now)


def _commit(
    user: User, quote: Quote, order: Order, wants: Mapping[int, int], now: datetime
) -> Reservation | None:
    held = live_hold(quote, now)
    if held is not None:
        try:
            return reserving.make_commitment(user, held, reference=order.number)
        except reserving.Lapsed:
            pass  # It ended a moment ago: the parts may still be there for everybody.
    try:
        return reserving.commit(user, wants, reference=order.number)
    except reserving.Short:
        return None


def _give(order: Order, kept: Reservation, now: datetime) -> None:
    """The order has its parts, on hand or to come: set its date, and its state if all are here.

    Buying looks again at once, not only when the parts leave: they are gone for everybody else.
    """
    order.reservation = kept
    order.promised_on = date_kept(kept, timezone.localdate(now)) + timedelta(days=work_days(order.quote))
    if _all_here(kept):
        order.state = Order.State.READY
    order.save(update_fields=["reservation", "promised_on", "state"])
    buying.look_again(set(kept.lines.values_list("part", flat=True)), now)


def _make_ready(order: Order) -> None:
    order.state = Order.State.READY
    order.save(update_fields=["state"])


def _all_here(kept: Reservation) -> bool:
    return not kept.lines.filter(purchase_line__isnull=False).exists()


def _who_waits(orders: Sequence[Order]) -> str:
    named = ", ".join(order.number for order in orders[:5])
    more = f" and {len(orders) - 5} more" if len(orders) > 5 else ""
    return f"{named}{more} {'waits' if len(orders) == 1 else 'wait'} with nothing kept"
