"""Acts of the floor on orders: make one walk for many of them, and pick stop by stop."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib.auth.models import User
from django.db.models import F

from inventory import walking
from inventory.acting import ActError, Conflict, act
from inventory.models import Walk, WalkStop

from .models import Order


@act("inventory.pick")
def make_walk(user: User, orders: Sequence[Order]) -> Walk:
    """One walk for all these orders, each of them ready to pick."""
    locked = list(
        Order.objects.select_for_update(of=("self",))
        .select_related("reservation")
        .filter(pk__in=[order.pk for order in orders])
        .order_by("pk")
    )
    if not locked:
        raise ActError("No order was chosen: choose at least one that is ready to pick.", code="no-orders")
    _refuse_unless_ready(locked)
    walk = walking.make_walk(user, [order.reservation for order in locked if order.reservation])
    for order in locked:
        order.state = Order.State.WALKING
        order.save(update_fields=["state"])
    return walk


@act("inventory.pick")
def pick(user: User, stop: WalkStop, *, scanned: str, quantity: int | None = None, lot: str = "") -> WalkStop:
    """Take what was scanned at a stop; the order is picked once its last stop is.

    The order is locked first: of two pickers who take its last two stops at once, the second sees
    what the first took.
    """
    order = Order.objects.select_for_update(of=("self",)).filter(reservation=stop.reservation_id).first()
    picked = walking.pick(user, stop, scanned=scanned, quantity=quantity, lot=lot)
    if order is not None and order.state == Order.State.WALKING and _nothing_left(stop):
        order.state = Order.State.PICKED
        order.save(update_fields=["state"])
    return picked


def _nothing_left(stop: WalkStop) -> bool:
    stops = WalkStop.objects.filter(reservation=stop.reservation_id)
    return not stops.filter(picked__lt=F("quantity")).exists()


def _refuse_unless_ready(orders: Sequence[Order]) -> None:
    others = [order for order in orders if order.state != Order.State.READY]
    if others:
        named = ", ".join(f"{order} {order.get_state_display()}" for order in others)
        raise Conflict(
            f"Only orders that are ready to pick go on a walk. Leave these out: {named}.",
            code="not-ready",
            orders=[{"order": order.number, "state": order.state} for order in others],
        )
