"""Act at the dock: receive a delivery, and let the orders that waited for it go ahead."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying
from inventory.acting import act
from inventory.models import PurchaseOrder, Receipt
from inventory.tying import retie

from .ordering import review_waiting
from .redating import holds_told


@act("inventory.receive_goods")
def receive(
    user: User,
    order: PurchaseOrder,
    *,
    delivery_note: str,
    quantities: Mapping[int, int],
    lots: Mapping[int, Sequence[str]] | None = None,
    charges: Decimal = Decimal(0),
) -> Receipt:
    """Book what came of a purchase order; quantities and lots are by purchase line, as in buying."""
    now = timezone.now()
    parts = set(order.lines.filter(pk__in=list(quantities)).values_list("part_id", flat=True))
    with holds_told(parts, now):
        receipt = buying.receive(
            user, order, delivery_note=delivery_note, quantities=quantities, lots=lots or {}, charges=charges
        )
        retie(parts, now)
        review_waiting(now)
    return receipt
