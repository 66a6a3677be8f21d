"""The last day on which an order can go out so that nothing on it runs out before it comes."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from inventory import lateness
from inventory.alerting import positions_of
from inventory.models import Alert, Offer, PurchaseOrder
from inventory.planning import lasts_until


@dataclass(frozen=True)
class LastDay:
    """Until when a part is to be ordered: it lasts `until`, and a delivery takes `days`, with safety."""

    on: date
    until: date | None
    days: int


def days_of(offers: Collection[Offer]) -> dict[int, int]:
    """By offer the days until it is here, with those by which the supplier is usually late."""
    late = lateness.safety({offer.supplier_id for offer in offers})
    return {offer.pk: offer.days + late[offer.supplier_id] for offer in offers}


def last_days(days: Mapping[int, int], now: datetime) -> dict[int, LastDay]:
    """By part the last day to order it, from a supplier who takes that many days, by part.

    In the past for what runs out before it can come. Nothing for what lasts beyond the horizon.
    """
    today, positions = timezone.localdate(now), positions_of(sorted(days), now)
    asked: dict[int, date] = {}
    alerts = Alert.objects.filter(part_id__in=list(days), cleared_at=None, quantity__gt=0)
    for part, on in alerts.exclude(cause=Alert.Cause.PRICE_BREAK).values_list("part_id", "order_by"):
        asked[part] = min(on, asked.get(part, on))
    found = {}
    for part, taken in days.items():
        position = positions[part]
        until = lasts_until(position.total, position.rate, today) if position.rate else None
        last = [] if until is None else [until - timedelta(days=taken)]
        if last := [*last, *([asked[part]] if part in asked else [])]:
            found[part] = LastDay(min(last), until, taken)
    return found


def set_send_by(order: PurchaseOrder, now: datetime) -> None:
    """Write the last day to send it on an order that has not gone, after its lines have changed."""
    parts = list(order.lines.values_list("part_id", flat=True))
    offers = list(order.supplier.offers.filter(part_id__in=parts).select_related("supplier"))
    taken = days_of(offers)
    by_part = {offer.part_id: taken[offer.pk] for offer in offers}
    found = last_days({part: by_part.get(part, order.supplier.lead_days) for part in parts}, now)
    order.send_by = min((one.on for one in found.values()), default=None)
    order.save(update_fields=["send_by"])
