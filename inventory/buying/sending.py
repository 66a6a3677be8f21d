"""Act by which an order goes to its supplier: from then on it is counted on, and a letter is written."""

from decimal import Decimal

from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict, NotAllowed, act
from inventory.alerting import look_again
from inventory.ledger import lock_stock
from inventory.models import PurchaseLine, PurchaseOrder
from inventory.post import write_order_letter
from inventory.tying import retie

from .approving import RIGHT, check_limit, stand_for
from .terms import due_on, locked, sum_of


@act("inventory.buy")
def send(user: User, order: PurchaseOrder, *, although_small: bool = False) -> PurchaseOrder:
    """The order goes out: from now on what it brings can be promised. Due dates count from today.

    A draft is approved in the same go if it is within the limit of who sends it. What waits for a later
    delivery of the same part is tied to this one. A supplier with an address gets one letter; without one
    the order counts as sent by hand. Raises NotAllowed "not-approved" or "above-limit", ActError
    "below-least" for less than the supplier takes unless `although_small`, and Conflict once it is sent.
    """
    now = timezone.now()
    part_ids = list(order.lines.values_list("part_id", flat=True))
    lock_stock(part_ids)
    order = locked(order)
    if order.state not in (PurchaseOrder.State.DRAFT, PurchaseOrder.State.APPROVED):
        raise Conflict(f"{order} was sent already.")
    lines = list(order.lines.all())
    if {line.part_id for line in lines} - set(part_ids):
        raise Conflict(f"{order} was changed meanwhile: look it over and send it again.")
    if order.state == PurchaseOrder.State.DRAFT:
        _approve_own(user, order)
        stand_for(user, order, now)
    _check_least(order, although_small)
    offers = {offer.part_id: offer for offer in order.supplier.offers.filter(part_id__in=part_ids)}
    for line in lines:
        days = offers[line.part_id].days if line.part_id in offers else order.supplier.lead_days
        line.due = line.first_due = due_on(days, timezone.localdate(now))
        line.ordered = line.quantity
    PurchaseLine.objects.bulk_update(lines, ["due", "first_due", "ordered"])
    order.carriage = sum_of(order, lines).carriage
    order.state, order.sent_at = PurchaseOrder.State.SENT, now
    order.save(update_fields=["state", "sent_at", "carriage"])
    write_order_letter(order)
    retie(part_ids, now)
    look_again(part_ids, now)
    return order


def _approve_own(user: User, order: PurchaseOrder) -> None:
    """A draft goes out only if who sends it could approve it."""
    if not order.lines.exists():
        raise ActError(f"{order} has no lines: there is nothing to send.", code="nothing-wanted")
    if not user.has_perm(RIGHT):
        raise NotAllowed(f"{order} is not approved: have it approved first.", code="not-approved")
    check_limit(user, [order])


def _check_least(order: PurchaseOrder, although_small: bool) -> None:
    goods, least = sum_of(order).goods, order.supplier.least_value
    if goods < least and not although_small:
        missing: Decimal = least - goods
        raise ActError(
            f"{order.supplier} takes no order below {least:,.2f}: {order} is {missing:,.2f} short. Add to "
            "it, or send it all the same if they have agreed.",
            code="below-least",
            missing=str(missing),
        )
