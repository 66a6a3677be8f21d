"""From the bench into parcels and out of the door: what was picked for a commitment moves on together.

Plain functions, called by acts. Stock rows are locked here, in part order.
"""

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import Sum
from django.utils import timezone

from . import demand
from .acting import ActError
from .keeping import kept_from_stock, use_up
from .ledger import lock_stock, outside
from .models import Movement, Place, Reservation, WalkStop
from .stops import bench, carry


def packed_place() -> Place:
    """Where packed parcels stand until they leave: the first by code, made if the shop has none."""
    kind = Place.Kind.PACKED
    place = Place.objects.filter(kind=kind).order_by("code").first()
    return place or Place.objects.get_or_create(kind=kind, code=kind.value.upper())[0]


def pack_up(reservation: Reservation, *, by: User, at: datetime, reference: str) -> list[WalkStop]:
    """The picked pieces go from the bench into a parcel. Raises ActError "not-picked"; returns the stops."""
    stops = _all_picked(reservation)
    _carry(stops, Movement.Act.PACK, [Place.Kind.BENCH], packed_place(), by=by, at=at, reference=reference)
    return stops


def unpack(reservation: Reservation, *, by: User, at: datetime, reference: str) -> None:
    """They go from the parcel back to the bench."""
    stops = _all_picked(reservation)
    _carry(stops, Movement.Act.MOVE, [Place.Kind.PACKED], bench(), by=by, at=at, reference=reference)


def ship_out(
    reservation: Reservation,
    *,
    by: User,
    at: datetime,
    reference: str,
    in_kits: Sequence[demand.Asked] = (),
) -> None:
    """They leave for the customer, and the commitment is used up.

    `in_kits` says what of it are parts of kits, for the records of demand; the rest is sold loose.
    Raises ActError "not-picked" when not all of it is picked. What is not in a parcel leaves from the bench.
    """
    stops = _all_picked(reservation)
    kept = kept_from_stock(reservation)
    use_up(reservation)
    out = [Place.Kind.PACKED, Place.Kind.BENCH]
    customer = outside(Place.Kind.CUSTOMER)
    _carry(stops, Movement.Act.SHIP, out, customer, by=by, at=at, reference=reference)
    demand.shipped(kept, in_kits, reference, timezone.localdate(at))


def is_picked(reservation: Reservation) -> bool:
    """All that the commitment keeps lies on the bench, or beyond it."""
    picked = reservation.stops.filter(picked__gt=0).order_by().values_list("part_id").annotate(Sum("picked"))
    return dict(picked) == kept_from_stock(reservation)


def _all_picked(reservation: Reservation) -> list[WalkStop]:
    picked = reservation.stops.filter(picked__gt=0).select_related("part__maker", "lot")
    lock_stock(picked.values_list("part_id", flat=True))
    if not is_picked(reservation):
        raise ActError(f"Not all of the {reservation} is picked: finish its walk.", code="not-picked")
    return list(picked.order_by("part_id", "pk"))


def _carry(
    stops: Sequence[WalkStop],
    act: Movement.Act,
    kinds: Sequence[Place.Kind],
    destination: Place,
    *,
    by: User,
    at: datetime,
    reference: str,
) -> None:
    for stop in stops:
        carry(
            act=act,
            part=stop.part,
            lot_id=stop.lot_id,
            quantity=stop.picked,
            kinds=kinds,
            destination=destination,
            by=by,
            at=at,
            reference=reference,
        )
