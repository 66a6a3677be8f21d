"""What can happen to the pieces of a stop: taken, put back, let go. Plain functions, for acts to call.

They run with the Stock rows of the parts locked, and after them the walk's row: every stop of a part is
changed under the lock of that part, and what is asked of a whole walk under the lock of the walk.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple

from django.contrib.auth.models import User
from django.db.models import F, Max, QuerySet

from .acting import ActError, Conflict
from .allotting import Taking
from .ledger import move
from .models import Balance, Movement, Part, Place, Reservation, Walk, WalkStop


def bench() -> Place:
    """The packing bench to which picks go: the first by code."""
    place = Place.objects.filter(kind=Place.Kind.BENCH).order_by("code").first()
    if place is None:
        raise ActError("There is no packing bench: add a place of that kind.", code="no-bench")
    return place


def current(stop: WalkStop) -> WalkStop:
    """The stop as it is now; call it with the part's Stock row locked."""
    return WalkStop.objects.select_related("part__maker", "place", "lot", "walk", "reservation").get(
        pk=stop.pk
    )


def live(reservation: Reservation) -> QuerySet[WalkStop]:
    """The stops at which something is taken for the reservation, or still to take."""
    return reservation.stops.filter(quantity__gt=F("let_go"))


def take(stop: WalkStop, quantity: int, *, by: User, at: datetime) -> None:
    """From the stop's bin to the bench."""
    _allot(stop, -quantity)
    move(
        act=Movement.Act.PICK,
        part=stop.part,
        lot=stop.lot,
        quantity=quantity,
        origin=stop.place,
        destination=bench(),
        by=by,
        at=at,
        reference=stop.walk.number,
    )
    stop.picked += quantity
    stop.save(update_fields=["picked"])


def bring_back(stop: WalkStop, quantity: int, *, by: User, at: datetime) -> None:
    """From the bench back into the stop's bin, where they are allotted to the stop again."""
    carry(
        act=Movement.Act.PUT_BACK,
        part=stop.part,
        lot_id=stop.lot_id,
        quantity=quantity,
        kinds=[Place.Kind.BENCH],
        destination=stop.place,
        by=by,
        at=at,
        reference=stop.walk.number,
    )
    _allot(stop, quantity)
    stop.picked -= quantity
    stop.save(update_fields=["picked"])


def let_go(stop: WalkStop, quantity: int) -> None:
    """So many will not be taken here: they are anybody's who is sent to this bin."""
    _allot(stop, -quantity)
    stop.let_go += quantity
    stop.save(update_fields=["let_go"])


class GoesBack(NamedTuple):
    """So many pieces are carried from the bench back to where the stop took them from."""

    stop: WalkStop
    quantity: int


def clear(stops: Iterable[WalkStop], *, by: User, at: datetime) -> list[GoesBack]:
    """Put back all that was taken at these stops and let all of it go; returns what goes back where."""
    back = []
    for stop in stops:
        if taken := stop.picked:
            bring_back(stop, taken, by=by, at=at)
            back.append(GoesBack(stop, taken))
        if stop.left:
            let_go(stop, stop.left)
    return back


def append(walk: Walk, takings: Iterable[Taking]) -> list[WalkStop]:
    """Stops for these takings, after those that the walk has; the walk's row is locked."""
    last = walk.stops.aggregate(last=Max("sequence"))["last"] or 0
    return WalkStop.objects.bulk_create(
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
            for sequence, taking in enumerate(takings, start=last + 1)
        ]
    )


def locked_walk(pk: int) -> Walk:
    """The walk's row is locked, or two pickers at its last two stops would each leave it to the other."""
    return Walk.objects.select_for_update().get(pk=pk)


def settle(walk: Walk, at: datetime) -> Walk:
    """A walk with something left to take is open; one without is done, or given up if nothing was taken."""
    state = Walk.State(walk.state)
    if walk.stops.filter(quantity__gt=F("picked") + F("let_go")).exists():
        state = Walk.State.OPEN
    elif state == Walk.State.OPEN:
        taken = walk.stops.filter(picked__gt=0).exists()
        state = Walk.State.DONE if taken else Walk.State.GIVEN_UP
    return end(walk, state, at) if state != walk.state else walk


def end(walk: Walk, state: Walk.State, at: datetime) -> Walk:
    """Write the walk's state, with the time at which it ended if it did."""
    walk.state, walk.done_at = state, None if state == Walk.State.OPEN else at
    walk.save(update_fields=["state", "done_at"])
    return walk


def carry(
    *,
    act: Movement.Act,
    part: Part,
    lot_id: int | None,
    quantity: int,
    kinds: Iterable[Place.Kind],
    destination: Place,
    by: User,
    at: datetime,
    reference: str,
) -> None:
    """Move picked pieces on from wherever they lie: the places of the first kind first.

    Raises Conflict when fewer lie there.
    """
    left = quantity
    for kind in kinds:
        there = Balance.objects.filter(part=part, lot=lot_id, place__kind=kind, quantity__gt=F("allotted"))
        for balance in there.select_related("place", "lot").order_by("pk"):
            if taken := min(left, balance.quantity - balance.allotted):
                left -= taken
                move(
                    act=act,
                    part=part,
                    lot=balance.lot,
                    quantity=taken,
                    origin=balance.place,
                    destination=destination,
                    by=by,
                    at=at,
                    reference=reference,
                )
    if left:
        raise Conflict(
            f"{left} x {part} that were picked are not on the bench: count it.", part=part.pk, missing=left
        )


def _allot(stop: WalkStop, quantity: int) -> None:
    bin_ = Balance.objects.filter(part=stop.part_id, place=stop.place_id, lot=stop.lot_id)
    bin_.update(allotted=F("allotted") + quantity)
