"""Deliveries that move: the act that writes it down, and the daily look at those that are overdue."""

from __future__ import annotations

from datetime import date, datetime

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from inventory import slipping
from inventory.acting import act
from inventory.models import PurchaseLine, PurchaseOrder
from inventory.tying import retie

from .models import Order
from .ordering import review_waiting
from .redating import expect, holds_told
from .wants import date_promised, wants_by_quote


@act("inventory.buy")
def slip(user: User, line: PurchaseLine, due: date, reason: str) -> PurchaseLine:
    """The supplier names another day: orders and open quotes that wait get theirs, and the counter hears."""
    now = timezone.now()
    why = f"{line.order} of {line.order.supplier} comes on {due:%-d %b}: {reason.strip()}"
    with holds_told([line.part_id], now, why):
        slipped = slipping.slip(user, line, due, reason)
        review_waiting(now, why)
    return slipped


def look_at_deliveries(now: datetime) -> int:
    """Once a day: what is overdue comes tomorrow at the soonest; says of how many lines.

    What waits for it is tied anew, and every waiting order's day is looked at, also where nothing is kept
    for it yet. Runs in the caller's transaction.
    """
    overdue = PurchaseLine.objects.filter(
        order__state=PurchaseOrder.State.SENT, quantity__gt=F("received"), due__lt=timezone.localdate(now)
    )
    lines = list(overdue.select_related("order__supplier").order_by("pk"))
    parts = {line.part_id for line in lines}
    named = ", ".join(sorted({f"{line.order} of {line.order.supplier}" for line in lines}))
    why = f"Overdue: {named}. Ask when it comes." if lines else ""
    with holds_told(parts, now, why, since=1):
        retie(parts, now)
        review_waiting(now, why)
    _look_at_those_with_nothing_kept(now)
    return len(lines)


def _look_at_those_with_nothing_kept(now: datetime) -> None:
    waiting = Order.objects.select_for_update(of=("self",)).select_related("quote", "customer")
    orders = list(
        waiting.filter(state=Order.State.WAITING, reservation__isnull=True).order_by("accepted_at", "id")
    )
    wants = wants_by_quote(order.quote_id for order in orders)
    for order in orders:
        on = date_promised(order.quote, wants[order.quote_id], now)
        expect(order, on, now, "Nothing is kept for it yet.")
