"""Act of the buying desk: a supplier says that a delivery comes on another day, later or sooner."""

from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import look_after_commit
from .keeping import lock_current
from .models import PurchaseLine, PurchaseOrder
from .tying import retie

# Later is a slip of the pen, and what is reckoned from it would run off the calendar.
MOST_AHEAD = timedelta(days=3650)


def must_be_near(day: date, now: datetime) -> None:
    """ActError "too-far-ahead" for a day that nobody means."""
    if day > timezone.localdate(now) + MOST_AHEAD:
        raise ActError(
            f"{day:%-d %b %Y} is more than ten years ahead: look at the year.", code="too-far-ahead"
        )


@act("inventory.buy")
def slip(_user: User, line: PurchaseLine, due: date, reason: str) -> PurchaseLine:
    """Write down the new day, and tie what waits for the part anew to the soonest supply.

    `first_due` stays as it was: the supplier's lateness is reckoned from it. Raises ActError "due-is-past",
    "too-far-ahead" or "reason-needed", and Conflict for what was not sent or has come.
    """
    now = timezone.now()
    if not reason.strip():
        raise ActError("Say what the supplier gives as the reason, or who said so.", code="reason-needed")
    if due < timezone.localdate(now):
        raise ActError(f"{due:%-d %b %Y} is past: give the day on which it will come.", code="due-is-past")
    must_be_near(due, now)
    lock_current([line.part_id], now)
    line = (
        PurchaseLine.objects.select_for_update(of=("self",))
        .select_related("order__supplier", "part__maker")
        .get(pk=line.pk)
    )
    if line.order.sent_at is None:
        raise Conflict(f"{line.order} has not been sent to {line.order.supplier}: send it first.")
    if line.order.state == PurchaseOrder.State.CLOSED or line.received == line.quantity:
        raise Conflict(f"All of {line} has come: there is nothing to wait for.")
    line.first_due = line.first_due or line.due
    line.due = due
    line.save(update_fields=["first_due", "due"])
    retie([line.part_id], now)
    look_after_commit([line.part_id])
    return line
