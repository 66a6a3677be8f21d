"""Act by which an order goes to its supplier, and those who wait for what it brings hear at once."""

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying
from inventory.acting import act
from inventory.models import PurchaseOrder

from .ordering import review_waiting
from .redating import holds_told


@act("inventory.buy")
def send(user: User, order: PurchaseOrder, *, although_small: bool = False) -> PurchaseOrder:
    """Send it as `inventory.buying.send` does, and let those who wait have what it brings.

    Orders with nothing kept are kept from it, what waits for a later delivery is tied to it, and the counter
    hears of each day that moves.
    """
    now = timezone.now()
    parts = set(order.lines.values_list("part_id", flat=True))
    why = f"{order} was sent to {order.supplier}."
    with holds_told(parts, now, why):
        sent = buying.send(user, order, although_small=although_small)
        review_waiting(now, why, also=parts)
    return sent
