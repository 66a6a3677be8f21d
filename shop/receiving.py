"""Acts at the dock: receive a delivery, or write down that the rest will not come. Orders that wait hear."""

from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying
from inventory.acting import act
from inventory.models import Difference, PurchaseLine, PurchaseOrder, Receipt
from inventory.tying import retie

from .letting_go import told_if_let_go
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
    keep_over: bool = False,
    spoilt: Mapping[int, int] | None = None,
    not_owed: Collection[int] = (),
    remark: str = "",
) -> Receipt:
    """Book what came of a purchase order; everything by purchase line, as in buying."""
    now = timezone.now()
    lines = order.lines.filter(pk__in={*quantities, *(spoilt or {})})
    part_of = dict(lines.values_list("pk", "part_id"))
    less = {part for line, part in part_of.items() if line in set(not_owed)}
    why = f"Some of {order} of {order.supplier} was spoilt and will not be replaced."
    with holds_told(set(part_of.values()), now):
        with told_if_let_go(less, now, why):
            receipt = buying.receive(
                user,
                order,
                delivery_note=delivery_note,
                quantities=quantities,
                lots=lots or {},
                charges=charges,
                keep_over=keep_over,
                spoilt=spoilt,
                not_owed=not_owed,
                remark=remark,
            )
        retie(set(part_of.values()), now)
        review_waiting(now)
    return receipt


@act("inventory.buy")
def close_short(user: User, line: PurchaseLine, reason: str) -> Difference:
    """The rest of a line will not come: whoever waits for it gets other supply and another day, or is let go.

    An order that nothing else can serve waits with nothing kept, as one that never had its parts; the counter
    hears, and so does buying.
    """
    now = timezone.now()
    why = f"{line.order} of {line.order.supplier} brings no more of {line.part}: {reason.strip()}."
    with holds_told([line.part_id], now, why):
        with told_if_let_go([line.part_id], now, why):
            difference = buying.close_short(user, line, reason)
        review_waiting(now, why)
    return difference
