"""One trip of a picker for many orders: which bin gives what, in which order, and the right part.

Making a walk allots what lies in the bins, so that two walks never send two pickers for one piece.
"""

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import F, Q, Sum
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import count_demand
from .allotting import allot_bins
from .keeping import kept_from_stock, use_up
from .ledger import lock_stock, move, outside
from .models import Balance, Movement, Part, Place, Reservation, Walk, WalkStop, scan_key


class WrongPart(ActError):
    """Not the part that is wanted. `details`: scanned, is (what that number is, or None), wanted, place."""

    code = "wrong-part"


@act("inventory.pick")
def make_walk(user: User, reservations: Sequence[Reservation]) -> Walk:
    """Allot bins for these commitments and put the stops in walking order.

    Raises Conflict for a reservation that is no live commitment or is on a walk already, and ActError
    "not-in-bins" naming the parts that are still on their way, on the dock, or not to be found.
    """
    if not reservations:
        raise ActError("A walk is for at least one order.", code="nothing-wanted")
    ids = sorted({reservation.pk for reservation in reservations})
    lines = Reservation.objects.filter(pk__in=ids).values_list("lines__part_id", flat=True)
    lock_stock(part_id for part_id in lines if part_id is not None)
    current = list(Reservation.objects.filter(pk__in=ids).order_by("pk"))
    for reservation in current:
        _must_be_walkable(reservation)
    walk = Walk.objects.create(made_by=user)
    WalkStop.objects.bulk_create(
        [
            WalkStop(
                walk=walk,
                sequence=sequence,
                reservation=taking.reservation,
                part_id=taking.balance.part_id,
                place_id=taking.balance.place_id,
                lot_id=taking.balance.lot_id,
                quantity=taking.quantity,
            )
            for sequence, taking in enumerate(allot_bins(current), start=1)
        ]
    )
    return walk


def _must_be_walkable(reservation: Reservation) -> None:
    if (reservation.kind, reservation.state) != (Reservation.Kind.COMMITMENT, Reservation.State.KEPT):
        raise Conflict(f"Only what is committed is picked; the {reservation} is {reservation.state}.")
    if stop := reservation.stops.select_related("walk").first():
        raise Conflict(f"The {reservation} is on walk {stop.walk} already.", walk=stop.walk.number)


@act("inventory.pick")
def pick(user: User, stop: WalkStop, *, scanned: str, quantity: int | None = None, lot: str = "") -> WalkStop:
    """Take the scanned part from the stop's bin to the bench; all that is left to take if not said.

    Raises WrongPart, and ActError "lot-needed", "wrong-lot" or "bad-quantity". The last pick closes
    the walk.
    """
    now = timezone.now()
    lock_stock([stop.part_id])
    stop = WalkStop.objects.select_related("part__maker", "place", "lot", "walk").get(pk=stop.pk)
    if not stop.left:
        raise Conflict(f"All {stop.quantity} x {stop.part} of this stop are picked already.")
    _check_scan(stop, scanned)
    _check_lot(stop, lot)
    quantity = stop.left if quantity is None else quantity
    if not 1 <= quantity <= stop.left:
        raise ActError(
            f"{quantity} picked, but this stop wants {stop.left} x {stop.part}. Put back what is too many.",
            code="bad-quantity",
        )
    bin_ = Balance.objects.filter(part=stop.part, place=stop.place, lot=stop.lot)
    bin_.update(allotted=F("allotted") - quantity)
    move(
        act=Movement.Act.PICK,
        part=stop.part,
        lot=stop.lot,
        quantity=quantity,
        origin=stop.place,
        destination=bench(),
        by=user,
        at=now,
        reference=stop.walk.number,
    )
    stop.picked += quantity
    stop.save(update_fields=["picked"])
    _close_if_done(stop, now)
    return stop


def bench() -> Place:
    """The packing bench to which picks go: the first by code."""
    place = Place.objects.filter(kind=Place.Kind.BENCH).order_by("code").first()
    if place is None:
        raise ActError("There is no packing bench: add a place of that kind.", code="no-bench")
    return place


def _check_scan(stop: WalkStop, scanned: str) -> None:
    key = scan_key(scanned)
    known = Part.objects.filter(Q(key=key) | Q(alternate_numbers__key=key)).select_related("maker").distinct()
    parts = list(known) if key else []
    if stop.part in parts:
        return
    found = " or ".join(str(part) for part in parts)
    said = f"That is {found}" if found else f"No part has the number {scanned!r}"
    raise WrongPart(
        f"{said}. Wanted from {stop.place}: {stop.part}.",
        scanned=scanned,
        wanted=f"{stop.part.number} {stop.part.name}",
        place=stop.place.code,
        **{"is": found or None},
    )


def _check_lot(stop: WalkStop, lot: str) -> None:
    if stop.lot is None:
        return
    said = lot.strip()
    what = "serial number" if stop.part.tracking == Part.Tracking.SERIAL else "lot"
    if not said:
        raise ActError(
            f"Scan the {what} too: {stop.lot} is wanted from {stop.place}.",
            code="lot-needed",
            wanted=stop.lot.code,
        )
    if said.upper() != stop.lot.code.upper():
        raise ActError(
            f"That is {what} {said}; {stop.lot} is wanted from {stop.place}.",
            code="wrong-lot",
            scanned=said,
            wanted=stop.lot.code,
        )


def _close_if_done(stop: WalkStop, now: datetime) -> None:
    """The walk's row is locked, or two pickers at its last two stops would each leave it to the other."""
    walk = Walk.objects.select_for_update().get(pk=stop.walk_id)
    if not walk.stops.filter(picked__lt=F("quantity")).exists():
        walk.state, walk.done_at = Walk.State.DONE, now
        walk.save(update_fields=["state", "done_at"])
    stop.walk = walk


def ship_out(reservation: Reservation, *, by: User, at: datetime, reference: str) -> None:
    """The picked pieces of a commitment leave the bench for the customer, and the commitment is used up.

    Raises ActError "not-picked" when not all of it is on the bench.
    """
    stops = list(reservation.stops.select_related("part__maker", "lot").order_by("part_id", "pk"))
    lock_stock(stop.part_id for stop in stops)
    kept = kept_from_stock(reservation)
    picked = reservation.stops.values_list("part_id").annotate(Sum("picked")).order_by()
    if dict(picked) != kept:
        raise ActError(f"Not all of the {reservation} is picked: finish its walk.", code="not-picked")
    use_up(reservation)
    for stop in stops:
        _from_benches(stop, by=by, at=at, reference=reference)
    count_demand(kept, timezone.localdate(at))


def _from_benches(stop: WalkStop, *, by: User, at: datetime, reference: str) -> None:
    left = stop.picked
    benches = Balance.objects.filter(
        part=stop.part, lot=stop.lot, place__kind=Place.Kind.BENCH, quantity__gt=0
    )
    for balance in benches.select_related("place").order_by("pk"):
        if taken := min(left, balance.quantity):
            left -= taken
            move(
                act=Movement.Act.SHIP,
                part=stop.part,
                lot=stop.lot,
                quantity=taken,
                origin=balance.place,
                destination=outside(Place.Kind.CUSTOMER),
                by=by,
                at=at,
                reference=reference,
            )
    if left:
        raise Conflict(f"{left} x {stop.part} that were picked are not on the bench: count it.")
