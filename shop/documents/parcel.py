"""The parcel label: to whom, which order, and what is inside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shop.models import Parcel


@dataclass(frozen=True)
class ParcelLabel:
    number: str
    order: str
    name: str
    address: str
    phone: str
    kits: tuple[str, ...]
    packed_at: datetime
    carrier: str
    tracking: str


def parcel_label(parcel: Parcel) -> dict[str, Any]:
    """Context of parcel_label.html."""
    customer = parcel.order.customer
    label = ParcelLabel(
        number=parcel.number,
        order=parcel.order.number,
        name=customer.name,
        address=customer.address,
        phone=customer.phone,
        kits=tuple(str(kit) for kit in parcel.kits.select_related("quote_kit")),
        packed_at=parcel.packed_at,
        carrier=parcel.carrier,
        tracking=parcel.tracking,
    )
    return {"label": label}
