"""Acts on an order that has not gone to its supplier: its lines changed, added or dropped, or all discarded.

What changes after it was approved is a draft again: somebody approved another order.
"""

from django.contrib.auth.models import User
from django.db.models import ProtectedError
from django.utils import timezone

from inventory.acting import ActError, Conflict, act
from inventory.models import Part, PurchaseLine, PurchaseOrder

from .approving import unapprove
from .drafting import new_line
from .terms import check_packs, offers_of, price_at, still_open
from .timing import set_send_by


@act("inventory.buy")
def change_line(_user: User, line: PurchaseLine, quantity: int) -> PurchaseOrder:
    """Order so many of it instead, in whole packs and at the price for so many; 0 drops the line.

    Raises ActError "not-whole-packs" or "not-offered", and Conflict once the order is sent.
    """
    order = still_open(line.order)
    fresh = order.lines.select_related("part__maker").filter(pk=line.pk).first()
    if fresh is None:
        raise Conflict(f"The line was dropped from {order} meanwhile: look again.")
    if quantity < 0:
        raise ActError("Order at least one piece, or 0 to drop the line.", code="nothing-wanted")
    if quantity == 0:
        _delete(fresh)
    elif quantity != fresh.quantity:
        offers = offers_of(order.supplier, [fresh.part_id])
        check_packs({fresh.part_id: quantity}, offers)
        fresh.quantity, fresh.price = quantity, price_at(offers[fresh.part_id], quantity)
        fresh.save(update_fields=["quantity", "price"])
    else:
        return order
    set_send_by(order, timezone.now())
    return unapprove(order)


@act("inventory.buy")
def add_line(_user: User, order: PurchaseOrder, part: Part, quantity: int) -> PurchaseOrder:
    """Order so many of another part as well. Raises as `change_line`, and "ordered-already"."""
    order = still_open(order)
    if quantity < 1:
        raise ActError("Order at least one piece.", code="nothing-wanted")
    if order.lines.filter(part=part).exists():
        raise ActError(f"{part} is on {order} already: change that line.", code="ordered-already")
    offers = offers_of(order.supplier, [part.pk])
    check_packs({part.pk: quantity}, offers)
    new_line(order, offers[part.pk], quantity)
    set_send_by(order, timezone.now())
    return unapprove(order)


@act("inventory.buy")
def discard(_user: User, order: PurchaseOrder) -> None:
    """The order goes, with all its lines: only one that was never sent, and that nothing refers to."""
    order = still_open(order)
    try:
        for line in order.lines.all():
            _delete(line)
        order.delete()
    except ProtectedError as error:
        raise Conflict(f"Something refers to {order}: it has to stay.") from error


def _delete(line: PurchaseLine) -> None:
    try:
        line.delete()
    except ProtectedError as error:
        raise Conflict(f"Something refers to {line}: it has to stay.") from error
