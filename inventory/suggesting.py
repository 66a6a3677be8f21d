"""What to order now, from whom, how many and until when: suggestions by supplier. Reads only."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from .alerting import positions_of
from .buying.terms import NOTHING, carriage_of, price_at
from .models import Alert, Offer, Part, Supplier, Target
from .planning import order_quantity
from .promising import best_offers


@dataclass(frozen=True)
class SuggestedLine:
    """Order so many of the part. `drafted` of them are in drafts to the supplier already."""

    part: Part
    quantity: int
    price: Decimal
    why: str
    alerts: tuple[Alert, ...]
    drafted: int = 0

    @property
    def value(self) -> Decimal:
        return self.quantity * self.price


@dataclass(frozen=True)
class Suggestion:
    """One order to one supplier. `total` is the goods; carriage comes on top of it.

    `below_least` is how much is missing until the supplier takes the order, `to_free_carriage` until they
    bring it for nothing; 0 where nothing is. After `send_by` something runs out before it comes.
    """

    supplier: Supplier
    lines: tuple[SuggestedLine, ...]
    total: Decimal
    carriage: Decimal
    below_least: Decimal
    to_free_carriage: Decimal
    send_by: date
    why: str = ""


def suggestions(now: datetime) -> list[Suggestion]:
    """An order for each supplier from whom something is needed, the most urgent first."""
    today = timezone.localdate(now)
    alerts: dict[int, list[Alert]] = {}
    for alert in Alert.objects.filter(cleared_at=None, quantity__gt=0).select_related(
        "part__maker", "supplier"
    ):
        alerts.setdefault(alert.part_id, []).append(alert)
    positions, offers = positions_of(sorted(alerts), now), best_offers(alerts)
    targets = {target.part_id: target for target in Target.objects.filter(part_id__in=alerts)}
    by_supplier: dict[Supplier, list[tuple[Offer, SuggestedLine]]] = {}
    for part_id, opened in sorted(alerts.items()):
        if part_id not in offers:
            continue
        offer, position = offers[part_id], positions[part_id]
        wanted = max(alert.quantity for alert in opened)
        if part_id in targets:
            wanted = max(wanted, targets[part_id].up_to - position.total)
        quantity = order_quantity(0, wanted, offer.pack, offer.least)
        line = SuggestedLine(
            opened[0].part,
            quantity,
            price_at(offer, quantity),
            opened[0].reason,
            tuple(opened),
            position.drafted,
        )
        by_supplier.setdefault(offer.supplier, []).append((offer, line))
    found = [_suggestion(supplier, lines, today) for supplier, lines in by_supplier.items()]
    return sorted(found, key=lambda one: (one.send_by, one.supplier.name))


def _suggestion(supplier: Supplier, lines: list[tuple[Offer, SuggestedLine]], today: date) -> Suggestion:
    goods = sum((line.value for _, line in lines), NOTHING)
    days = [alert.order_by for _, line in lines for alert in line.alerts]
    free = supplier.free_carriage_from
    return Suggestion(
        supplier=supplier,
        lines=tuple(line for _, line in lines),
        total=goods,
        carriage=carriage_of(supplier, goods),
        below_least=max(NOTHING, supplier.least_value - goods),
        to_free_carriage=max(NOTHING, free - goods) if free is not None else NOTHING,
        send_by=max(today, min(days, default=today + timedelta(supplier.review_days))),
    )
