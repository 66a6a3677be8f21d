"""Acts of the floor on the bench: pack what was picked, record what went in, unpack it again, and ship it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, walking
from inventory.acting import ActError, Conflict, act
from inventory.models import WalkStop

from .building import build, confirm_lots
from .kit_demand import asked_for
from .models import AsBuilt, Order, Parcel


@act("inventory.pick")
def pack(user: User, order: Order, *, lots: Mapping[str, Sequence[str]] | None = None) -> Parcel:
    """Put a picked order into a parcel and record, kit by kit, which parts and lots went in.

    `lots` are the lots or serial numbers scanned once more, by part number; every tracked part needs
    them, so that what the record says is what lies in the parcel.
    """
    now = timezone.now()
    order = _locked_order(order)
    if order.state != Order.State.PICKED:
        raise Conflict(
            f"{order} is not ready to pack: it is {order.get_state_display()}. "
            "Pack an order once every stop of its walk is picked.",
            code="not-picked",
            state=order.state,
        )
    assert order.reservation is not None  # A constraint: only a waiting order keeps nothing.
    stops = WalkStop.objects.filter(reservation=order.reservation, picked__gt=0)
    taken = list(stops.select_related("part", "lot").order_by("pk"))
    confirm_lots(order, taken, lots or {})
    parcel = Parcel.objects.create(order=order, packed_at=now, packed_by=user)
    AsBuilt.objects.bulk_create(build(order, taken))
    order.kits.update(parcel=parcel)
    walking.pack_up(order.reservation, by=user, at=now, reference=order.number)
    order.state = Order.State.PACKED
    order.save(update_fields=["state"])
    return parcel


@act("inventory.pick")
def unpack(user: User, parcel: Parcel) -> Order:
    """Take a parcel apart that has not left: its pieces lie on the bench, and the order is picked again."""
    order = _locked_order(parcel.order)
    _still_here(parcel)
    open_parcels(order, by=user, at=timezone.now())
    order.state = Order.State.PICKED
    order.save(update_fields=["state"])
    return order


def open_parcels(order: Order, *, by: User, at: datetime) -> None:
    """The pieces of a packed order go back to the bench; the order is locked. Plain: for acts to call.

    The parcel and its as-built record go, for they would say that something is in it. The label that was
    printed names no parcel then, and whoever packs again scans again; the ledger and the audit remember.
    """
    assert order.reservation is not None  # A constraint: only a waiting order keeps nothing.
    walking.unpack(order.reservation, by=by, at=at, reference=order.number)
    AsBuilt.objects.filter(order_kit__order=order).delete()
    order.kits.update(parcel=None)
    order.parcels.filter(shipped_at=None).delete()


@act("inventory.pick")
def ship(user: User, parcel: Parcel, *, carrier: str, tracking: str = "") -> Parcel:
    """Hand the parcel over: its parts leave the shop, the commitment is used up, the order is done."""
    now = timezone.now()
    order = _locked_order(parcel.order)
    parcel = _still_here(parcel)
    if not carrier.strip():
        raise ActError("Say who carries the parcel: give the carrier's name.", code="carrier-needed")
    assert order.reservation is not None  # A constraint: only a waiting order keeps nothing.
    parts = sorted(set(order.reservation.lines.values_list("part", flat=True)))
    in_kits = asked_for(order.quote, order.number)
    walking.ship_out(order.reservation, by=user, at=now, reference=order.number, in_kits=in_kits)
    parcel.shipped_at, parcel.carrier, parcel.tracking = now, carrier.strip(), tracking.strip()
    parcel.save(update_fields=["shipped_at", "carrier", "tracking"])
    order.state = Order.State.SHIPPED
    order.save(update_fields=["state"])
    buying.look_again(parts, now)
    return parcel


def _locked_order(order: Order) -> Order:
    return Order.objects.select_for_update(of=("self",)).select_related("reservation").get(pk=order.pk)


def _still_here(parcel: Parcel) -> Parcel:
    """The parcel as it is now, locked; its order is locked already. Raises Conflict when it is gone."""
    here = Parcel.objects.select_for_update().filter(pk=parcel.pk).first()
    if here is None:
        raise Conflict(f"{parcel} was unpacked: pack the order again.", code="unpacked")
    if here.shipped_at is not None:
        raise Conflict(f"{here} was shipped already, by {here.carrier}.", code="already-shipped")
    return here
