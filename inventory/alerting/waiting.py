"""Orders that wait with nothing kept for them: the shop knows of them, and says so."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inventory.models import Alert, Part
from inventory.planning import order_quantity
from inventory.planning.waiting_cost import waited_for

from .shares import shares
from .sight import Sight
from .words import have, source
from .writing import write


def alert_waiting(
    wants: Mapping[int, int], reason: str, now: datetime, worth: Mapping[int, Decimal] | None = None
) -> list[Alert]:
    """Raise or update the alert that an order waits, for each part of `wants` that is short.

    `wants` are all that waiting orders want of these parts together, `worth` by part what those orders are
    worth: what the pieces sell for, if not said. A part of which enough is free or to come needs no buying:
    its alert is cleared. Returns those that are open now.
    """
    sight = Sight(sorted(wants), now)
    if worth is None:
        prices = Part.objects.filter(pk__in=list(wants)).order_by().values_list("pk", "price")
        worth = {part_id: price * wants[part_id] for part_id, price in prices}
    alerts = []
    for part_id, wanted in sorted(wants.items()):
        position, offer = sight.positions[part_id], sight.offer(part_id)
        if position.total < wanted:
            pack, least = (offer.pack, offer.least) if offer else (1, 1)
            alerts.append(
                Alert(
                    part_id=part_id,
                    cause=Alert.Cause.ORDER_WAITS,
                    reason=f"{reason}: {wanted} wanted, {have(position)}; {source(offer)}.",
                    quantity=order_quantity(position.total, wanted, pack, least),
                    supplier=offer.supplier if offer else None,
                    order_by=sight.today,
                    hits_on=sight.today,
                    cost_to_wait=waited_for([worth[part_id]], shares()),
                )
            )
    return _written(sorted(wants), alerts, now)


def clear_waiting(part_ids: Iterable[int], now: datetime) -> None:
    """No order waits for these parts any more."""
    _written(sorted(set(part_ids)), [], now)


def _written(part_ids: Sequence[int], alerts: list[Alert], now: datetime) -> list[Alert]:
    causes = [Alert.Cause.ORDER_WAITS]
    with transaction.atomic():
        write(part_ids, causes, alerts, now)
    opened = Alert.objects.filter(part_id__in=part_ids, cause__in=causes, cleared_at=None)
    return list(opened.select_related("part__maker", "supplier").order_by("part_id"))
