"""What happens to orders and quotes whose parts are kept no more, because they will not come."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import datetime

from inventory.differences import lock_for_less
from inventory.models import Reservation
from inventory.tying import waiting_for

from .models import Notice, Order, Quote
from .noticing import notice
from .redating import expect
from .wants import date_promised, wants_by_quote


@contextmanager
def told_if_let_go(parts: Collection[int], now: datetime, why: str) -> Iterator[None]:
    """Whoever waits for these parts and is let go in here hears of it.

    An order goes back to waiting with nothing kept, a quote has no hold any more, and the counter gets a
    notice of either. Locks what changes when less of the parts comes, and runs in the caller's transaction.
    """
    if not parts:
        yield
        return
    lock_for_less(parts, now)
    before = waiting_for(parts, now)
    yield
    ended = Reservation.objects.filter(pk__in=before, state=Reservation.State.RELEASED)
    if ids := list(ended.values_list("pk", flat=True)):
        _tell_orders(ids, now, why)
        _tell_quotes(ids, now, why)


def _tell_orders(reservations: Collection[int], now: datetime, why: str) -> None:
    rows = Order.objects.select_for_update(of=("self",)).select_related("quote", "customer")
    orders = list(rows.filter(reservation__in=reservations).order_by("accepted_at", "id"))
    wants = wants_by_quote(order.quote_id for order in orders)
    for order in orders:
        order.reservation, order.state = None, Order.State.WAITING
        order.save(update_fields=["reservation", "state"])
        text = f"{order} for {order.customer}: its parts are kept no more. {why} It waits for all of them."
        notice(Notice.Kind.KEPT_NO_MORE, order, text, now)
        expect(order, date_promised(order.quote, wants[order.quote_id], now), now, why)


def _tell_quotes(reservations: Collection[int], now: datetime, why: str) -> None:
    quotes = Quote.objects.filter(state=Quote.State.OPEN, reservation__in=reservations)
    for quote in quotes.select_related("customer").order_by("pk"):
        text = f"{quote} for {quote.customer}: its parts are held no more. {why} Hold them anew, or say when."
        notice(Notice.Kind.KEPT_NO_MORE, quote, text, now)
