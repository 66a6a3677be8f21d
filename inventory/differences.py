"""What a supplier delivers otherwise than ordered: too much, too little, spoilt, or something else.

A difference stays open until somebody settles it with the supplier. What will not come any more is taken
off its line; whoever counted on it is tied to other supply, and where there is none, ends.
"""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import F
from django.db.models.functions import Coalesce
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import look_again
from .keeping import lock_kept
from .ledger import lock_stock
from .models import Difference, PurchaseLine, PurchaseOrder, Receipt, Reservation, Stock
from .tying import let_go, waiting_for


@act("inventory.buy")
def close_short(user: User, line: PurchaseLine, reason: str) -> Difference:
    """The rest of it will not come: the line asks for no more than has come, and the order may be closed.

    What was ordered stays on the line as `ordered`. What waited for the rest is tied to other supply of the
    part; reservations that nothing else can serve end, the least urgent first. Raises ActError
    "reason-needed", and Conflict for what was not sent or has come.
    """
    now = timezone.now()
    if not reason.strip():
        raise ActError("Say why the rest will not come, or who said so.", code="reason-needed")
    stocks = lock_for_less([line.part_id], now)
    # Whoever settles another of its lines at this moment waits: the last one closes the order.
    PurchaseOrder.objects.select_for_update(of=("self",)).get(pk=line.order_id)
    line = locked_line(line)
    if line.order.state != PurchaseOrder.State.SENT or line.received >= line.quantity:
        raise Conflict(f"There is nothing to wait for: {line}.")
    missing = line.quantity - line.received
    take_off(line, missing, stocks, now)
    made = note(line, Difference.Kind.SHORT, missing, reason, user, now)
    close_if_done(line.order)
    look_again([line.part_id], now)
    return made


@act("inventory.buy")
def settle(user: User, difference: Difference, how: str) -> Difference:
    """Say how it was settled with the supplier. Conflict if it was already."""
    if not how.strip():
        raise ActError(
            "Say how it was settled: credited, replaced, paid for, sent back.", code="reason-needed"
        )
    rows = Difference.objects.select_for_update(of=("self",)).select_related(
        "line__part__maker", "settled_by"
    )
    difference = rows.get(pk=difference.pk)
    if difference.settled_at is not None:
        raise Conflict(
            f"{difference} was settled already, by {difference.settled_by}: {difference.settled_how}"
        )
    difference.settled_at, difference.settled_by = timezone.now(), user
    difference.settled_how = how.strip()[:200]
    difference.save(update_fields=["settled_at", "settled_by", "settled_how"])
    return difference


@act("inventory.receive_goods")
def report(user: User, line: PurchaseLine, quantity: int, what: str) -> Difference:
    """So many pieces of it were something else than ordered; they were not booked in."""
    if quantity < 1:
        raise ActError("Say how many: at least one piece.", code="nothing-received")
    if not what.strip():
        raise ActError("Say what came instead.", code="reason-needed")
    line = PurchaseLine.objects.select_related("order", "part__maker").get(pk=line.pk)
    if line.order.state not in (PurchaseOrder.State.SENT, PurchaseOrder.State.CLOSED):
        raise Conflict(f"{line.order} has not been sent to {line.order.supplier}: nothing can have come.")
    return note(line, Difference.Kind.OTHER, quantity, what, user, timezone.now())


def note(
    line: PurchaseLine,
    kind: Difference.Kind,
    quantity: int,
    why: str,
    by: User,
    now: datetime,
    receipt: Receipt | None = None,
) -> Difference:
    """Write a difference down, in the caller's transaction."""
    return Difference.objects.create(
        line=line, receipt=receipt, kind=kind, quantity=quantity, note=why.strip()[:200], at=now, by=by
    )


def lock_for_less(parts: Collection[int], now: datetime, *, also: Iterable[int] = ()) -> dict[int, Stock]:
    """Lock all that changes when less of these parts will come: theirs, and of whoever waits for them."""
    waiting = waiting_for(parts, now) if parts else set()
    return lock_kept(waiting, now, also={*parts, *also})


def locked_line(line: PurchaseLine) -> PurchaseLine:
    """The line, locked, with what it is of. Its part's Stock row is locked already."""
    rows = PurchaseLine.objects.select_for_update(of=("self",))
    return rows.select_related("order__supplier", "part__maker").get(pk=line.pk)


def take_off(
    line: PurchaseLine, pieces: int, stocks: Mapping[int, Stock], now: datetime
) -> list[Reservation]:
    """The locked line brings so many fewer. Returns the reservations that ended for it."""
    stocks = lock_stock(stocks)  # Anew: what came in the same act is on them.
    ended = let_go(line, pieces, stocks, now)
    PurchaseLine.objects.filter(pk=line.pk).update(
        quantity=F("quantity") - pieces, ordered=Coalesce("ordered", "quantity")
    )
    line.quantity -= pieces
    return ended


def close_if_done(order: PurchaseOrder) -> None:
    """An order of which nothing is owed any more is closed."""
    if not order.lines.filter(received__lt=F("quantity")).exists():
        order.state = PurchaseOrder.State.CLOSED
        order.save(update_fields=["state"])
