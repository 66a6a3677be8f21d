"""Acts of the floor on the bench: pack what was picked, record what went in, and ship it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, walking
from inventory.acting import ActError, Conflict, act
from inventory.models import WalkStop

from .building import build, confirm_lots
from .models import AsBuilt, Order, Parcel


@act("inventory.pick")
def pack(user: User, order: Order, *, lots: Mapping[str, Sequence[str]] | None = None) -> Parcel:
    """Put a picked order into a parcel and record, kit by kit, which parts and lots went in.

    `lots` are the lots or serial numbers scanned once more, by part number; every tracked part needs
    them, so that what the record says is what lies in the parcel.
    """
    order = _locked_order(order)
    if order.state != Order.State.PICKED:
        raise Conflict(
            f"{order} is not ready to pack: it is {order.get_state_display()}. "
            "Pack an order once every stop of its walk is picked.",
            code="not-picked",
            state=order.state,
        )
    stops = WalkStop.objects.filter(reservation=order.reservation, picked__gt=0)
    taken = list(stops.select_related("part", "lot").order_by("pk"))
    confirm_lots(order, taken, lots or {})
    parcel = Parcel.objects.create(order=order, packed_at=timezone.now(), packed_by=user)
    AsBuilt.objects.bulk_create(build(order, taken))
    order.kits.update(parcel=parcel)
    order.state = Order.State.PACKED
    order.save(update_fields=["state"])
    return parcel


@act("inventory.pick")
def ship(user: User, parcel: Parcel, *, carrier: str, tracking: str = "") -> Parcel:
    """Hand the parcel over: its parts leave the shop, the commitment is used up, the order is done."""
    now = timezone.now()
    order = _locked_order(parcel.order)
    parcel = Parcel.objects.select_for_update().get(pk=parcel.pk)
    if parcel.shipped_at is not None:
        raise Conflict(f"{parcel} was shipped already, by {parcel.carrier}.", code="already-shipped")
    if not carrier.strip():
        raise ActError("Say who carries the parcel: give the carrier's name.", code="carrier-needed")
    assert order.reservation is not None  # A constraint: only a waiting order keeps nothing.
    parts = sorted(set(order.reservation.lines.values_list("part", flat=True)))
    walking.ship_out(order.reservation, by=user, at=now, reference=order.number)
    parcel.shipped_at, parcel.carrier, parcel.tracking = now, carrier.strip(), tracking.strip()
    parcel.save(update_fields=["shipped_at", "carrier", "tracking"])
    order.state = Order.State.SHIPPED
    order.save(update_fields=["state"])
    buying.look_again(parts, now)
    return parcel


def _locked_order(order: Order) -> Order:
    return Order.objects.select_for_update(of=("self",)).select_related("reservation").get(pk=order.pk)
