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

from .ordering import review_waiting
from .redating import holds_told


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
    return len(lines)
