"""The figures of some parts as the database has them now, in plain JSON: see `steps.Reading`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import F

from inventory.models import Balance, PurchaseLine, PurchaseOrder, Reservation, ReservationLine, Stock

from .steps import FROM_STOCK


def read(part_ids: Iterable[int]) -> dict[str, Any]:
    """Read with the Stock rows of the parts locked, or while nobody acts."""
    parts = sorted(set(part_ids))
    stock = Stock.objects.filter(part_id__in=parts)
    bins = Balance.objects.filter(part_id__in=parts).exclude(quantity=0, allotted=0)
    coming = PurchaseLine.objects.filter(
        part_id__in=parts, order__state=PurchaseOrder.State.SENT, received__lt=F("quantity")
    )
    kept = ReservationLine.objects.filter(part_id__in=parts, reservation__state=Reservation.State.KEPT)
    return {
        "parts": parts,
        "stock": list(stock.values_list("part_id", "on_hand", "held", "committed")),
        "bins": list(bins.values_list("part_id", "place_id", "quantity", "allotted")),
        "coming": list(coming.values_list("id", "part_id", "quantity", "received", "reserved")),
        "kept": [
            (reservation, part, line or FROM_STOCK, quantity)
            for reservation, part, line, quantity in kept.values_list(
                "reservation_id", "part_id", "purchase_line_id", "quantity"
            )
        ],
    }
