"""The walk sheet: one trip through the bins, stop by stop, for those who walk without a phone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import F

from inventory.models import Walk, WalkStop


@dataclass(frozen=True)
class SheetStop:
    """Take `quantity` of the part out of the place, for the order."""

    sequence: int
    place: str
    number: str
    what: str
    lot: str
    quantity: int
    picked: int
    order: str


@dataclass(frozen=True)
class WalkSheet:
    number: str
    picker: str
    made_at: datetime
    orders: tuple[str, ...]
    stops: tuple[SheetStop, ...]


def walk_sheet(walk: Walk) -> dict[str, Any]:
    """Context of walk_sheet.html."""
    stops = walk.stops.filter(quantity__gt=F("let_go"))
    stops = stops.select_related("place", "part__maker", "lot", "reservation")
    rows = tuple(_stop(stop) for stop in stops.order_by("sequence"))
    orders = tuple(sorted({row.order for row in rows}))
    return {"sheet": WalkSheet(walk.number, walk.made_by.get_username(), walk.made_at, orders, rows)}


def _stop(stop: WalkStop) -> SheetStop:
    return SheetStop(
        sequence=stop.sequence,
        place=stop.place.code,
        number=stop.part.number,
        what=f"{stop.part.maker.name} {stop.part.name}",
        lot=stop.lot.code if stop.lot else "",
        quantity=stop.quantity - stop.let_go,
        picked=stop.picked,
        order=stop.reservation.reference,
    )
