"""Act of the counter on orders: cancel one that has not left yet."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, reserving, walking
from inventory.acting import ActError, Conflict, act
from inventory.ledger import lock_stock

from .models import Order
from .ordering import review_waiting
from .packing import open_parcels


@dataclass(frozen=True)
class Cancelled:
    """`back` says how many pieces the floor carries back to the bin of which stop."""

    order: Order
    back: tuple[walking.GoesBack, ...] = ()


@act("shop.sell")
def cancel(user: User, order: Order, reason: str) -> Cancelled:
    """The customer does not want it after all, or cannot have it: its parts are anybody's again.

    A packed order is unpacked, one on a walk leaves it, and what was picked is booked back into its bins;
    the walk's other orders stay. Orders that wait are looked at, and buying's alerts. Raises Conflict for
    an order that is shipped or cancelled, ActError "reason-needed".
    """
    now = timezone.now()
    if not reason.strip():
        raise ActError("Say why the order is cancelled: whoever looks back will ask.", code="reason-needed")
    order = Order.objects.select_for_update(of=("self",)).select_related("reservation").get(pk=order.pk)
    _refuse_if_over(order)
    kept = order.reservation
    parts = set(kept.lines.values_list("part", flat=True)) if kept is not None else set()
    lock_stock(parts)
    if order.state == Order.State.PACKED:
        open_parcels(order, by=user, at=now)
    back: list[walking.GoesBack] = []
    if kept is not None:
        back = walking.leave(kept, by=user, at=now)
        reserving.release(user, kept)
    order.state = Order.State.CANCELLED
    order.save(update_fields=["state"])
    review_waiting(now)
    buying.look_again(parts, now)
    return Cancelled(order, tuple(back))


def _refuse_if_over(order: Order) -> None:
    if order.state == Order.State.SHIPPED:
        raise Conflict(
            f"{order} is shipped: it cannot be cancelled any more. Take it back as a return.",
            code="already-shipped",
        )
    if order.state == Order.State.CANCELLED:
        raise Conflict(f"{order} is cancelled already.", code="already-cancelled")
