"""Acts of the floor on orders: one walk for many of them, picked stop by stop, and what can come between."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.contrib.auth.models import User
from django.db.models import F, QuerySet
from django.utils import timezone

from inventory import walking
from inventory.acting import ActError, Conflict, act
from inventory.models import Walk, WalkStop

from .models import Notice, Order
from .noticing import notice

# Their pieces are in the bins or on the bench: they can still go back.
_ON_A_WALK = (Order.State.WALKING, Order.State.PICKED)


@act("inventory.pick")
def make_walk(user: User, orders: Sequence[Order]) -> Walk:
    """One walk for all these orders, each of them ready to pick."""
    locked = list(
        _locked().select_related("reservation").filter(pk__in=[order.pk for order in orders]).order_by("pk")
    )
    if not locked:
        raise ActError("No order was chosen: choose at least one that is ready to pick.", code="no-orders")
    _refuse_unless_ready(locked)
    walk = walking.make_walk(user, [order.reservation for order in locked if order.reservation])
    _set_state(locked, Order.State.WALKING)
    return walk


@act("inventory.pick")
def pick(user: User, stop: WalkStop, *, scanned: str, quantity: int | None = None, lot: str = "") -> WalkStop:
    """Take what was scanned at a stop; the order is picked once its last stop is.

    The order is locked first: of two pickers who take its last two stops at once, the second sees
    what the first took.
    """
    order = _order_of(stop)
    picked = walking.pick(user, stop, scanned=scanned, quantity=quantity, lot=lot)
    if order is not None:
        _look_at(order)
    return picked


@act("inventory.pick")
def put_back(user: User, stop: WalkStop, quantity: int | None = None) -> WalkStop:
    """Undo a pick: pieces go back into the stop's bin and are to be taken again; all of them if not said."""
    order = _order_of(stop)
    if order is not None:
        _refuse_if_packed(order)
    back = walking.put_back(user, stop, quantity)
    if order is not None:
        _set_state([order], Order.State.WALKING)
    return back


@act("inventory.pick")
def not_there(user: User, stop: WalkStop, found: int = 0) -> walking.Missed:
    """The bin held fewer: `found` more are taken, and the walk goes to other bins for the rest.

    If no other bin has it, the order leaves the walk with all that was taken for it put back, and is ready
    to pick again: its parts stay committed, since only a count can say that they are gone. The counter gets
    a notice.
    """
    order = _order_of(stop)
    missed = walking.not_there(user, stop, found)
    if order is not None and missed.instead:
        _look_at(order)
    elif order is not None:
        _set_state([order], Order.State.READY)
        text = (
            f"{missed.missing} x {missed.stop.part} not found in {missed.stop.place} on walk "
            f"{missed.stop.walk}, nor in another bin. {order} is off that walk, its parts still committed; "
            "the place is to be counted."
        )
        notice(Notice.Kind.PIECE_MISSING, order, text, timezone.now())
    return missed


@act("inventory.pick")
def give_up(user: User, walk: Walk) -> Walk:
    """End an open walk: what was taken goes back into its bins, and its orders are ready to pick again.

    Orders of the walk that are packed already stay packed.
    """
    on_it = WalkStop.objects.filter(walk=walk, quantity__gt=F("let_go"))
    orders = list(
        _locked()
        .select_related("reservation")
        .filter(reservation__in=on_it.values("reservation"))
        .order_by("pk")
    )
    still = set(on_it.values_list("reservation", flat=True))  # Until they were locked, one could leave.
    orders = [order for order in orders if order.reservation_id in still]
    packed = [order for order in orders if order.state not in _ON_A_WALK]
    given_up = walking.give_up(user, walk, but=[order.reservation for order in packed if order.reservation])
    _set_state([order for order in orders if order not in packed], Order.State.READY)
    return given_up


def _locked() -> QuerySet[Order]:
    return Order.objects.select_for_update(of=("self",))


def _order_of(stop: WalkStop) -> Order | None:
    return _locked().select_related("reservation").filter(reservation=stop.reservation_id).first()


def _look_at(order: Order) -> None:
    """An order on a walk is picked once all of it is."""
    if order.state == Order.State.WALKING and order.reservation and walking.is_picked(order.reservation):
        _set_state([order], Order.State.PICKED)


def _set_state(orders: Iterable[Order], state: Order.State) -> None:
    for order in orders:
        order.state = state
        order.save(update_fields=["state"])


def _refuse_if_packed(order: Order) -> None:
    if order.state not in _ON_A_WALK:
        todo = "Unpack it first." if order.state == Order.State.PACKED else "Take it back as a return."
        raise Conflict(
            f"{order} is {order.get_state_display()}: nothing of it lies on the bench. {todo}",
            code="not-on-the-bench",
            state=order.state,
        )


def _refuse_unless_ready(orders: Sequence[Order]) -> None:
    others = [order for order in orders if order.state != Order.State.READY]
    if others:
        named = ", ".join(f"{order} {order.get_state_display()}" for order in others)
        raise Conflict(
            f"Only orders that are ready to pick go on a walk. Leave these out: {named}.",
            code="not-ready",
            orders=[{"order": order.number, "state": order.state} for order in others],
        )
