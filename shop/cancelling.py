"""Act of the counter on orders: cancel one that has not left yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, reserving, walking
from inventory.acting import ActError, Conflict, act
from inventory.ledger import lock_stock
from inventory.models import Demand
from inventory.promising import Promise, promise

from .losing import record_missed
from .models import Order
from .ordering import review_waiting
from .packing import open_parcels
from .wants import turns, wants_of


@dataclass(frozen=True)
class Cancelled:
    """`back` says how many pieces the floor carries back to the bin of which stop.

    `missed` is what could not be had in time, as it was written down.
    """

    order: Order
    back: tuple[walking.GoesBack, ...] = ()
    missed: tuple[Demand, ...] = ()


@act("shop.sell")
def cancel(user: User, order: Order, reason: str, *, not_in_time: bool = False) -> Cancelled:
    """The customer does not want it after all, or cannot have it: its parts are anybody's again.

    A packed order is unpacked, one on a walk leaves it, and what was picked is booked back into its bins;
    the walk's other orders stay. Orders that wait are looked at, and buying's alerts. `not_in_time`: it
    waits, and could not come in time; what was missing is written down as demand.
    Raises Conflict for an order that is shipped or cancelled, or "nothing-awaited" for one that is not in
    time though it waits for nothing; ActError "reason-needed".
    """
    now = timezone.now()
    if not reason.strip():
        raise ActError("Say why the order is cancelled: whoever looks back will ask.", code="reason-needed")
    order = (
        Order.objects.select_for_update(of=("self",)).select_related("reservation", "quote").get(pk=order.pk)
    )
    _refuse_if_over(order)
    kept = order.reservation
    parts = set(kept.lines.values_list("part", flat=True)) if kept is not None else set()
    if not_in_time:
        _refuse_if_all_is_here(order)
        parts |= set(wants_of(order.quote))
    lock_stock(parts)
    missed = record_missed(order.quote, order.number, _promised(order, now), now) if not_in_time else []
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
    return Cancelled(order, tuple(back), tuple(missed))


def _refuse_if_over(order: Order) -> None:
    if order.state == Order.State.SHIPPED:
        raise Conflict(
            f"{order} is shipped: it cannot be cancelled any more. Take it back as a return.",
            code="already-shipped",
        )
    if order.state == Order.State.CANCELLED:
        raise Conflict(f"{order} is cancelled already.", code="already-cancelled")


def _promised(order: Order, now: datetime) -> Promise:
    """What the customer has been told: of what is kept, else in the order's turn."""
    wants = wants_of(order.quote)
    if order.reservation is not None:
        return promise(wants, now, order.reservation)
    return promise(wants, now, after=turns(before=order))


def _refuse_if_all_is_here(order: Order) -> None:
    if order.state != Order.State.WAITING:
        raise Conflict(
            f"{order} waits for nothing: it is {order.get_state_display()}. Cancel it without saying that it "
            "could not come in time.",
            code="nothing-awaited",
            state=order.state,
        )
