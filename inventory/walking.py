"""One trip of a picker for many orders: which bin gives what, in which order, and the right part.

Making a walk allots what lies in the bins, so that two walks never send two pickers for one piece. What
was picked can be put back, a stop can turn out to be empty, and a walk can be given up: whatever is not
taken any more is let go of in the same transaction.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.utils import timezone

from .acting import ActError, Conflict, act
from .allotting import Taking, allot_bins, allot_elsewhere
from .keeping import lock_kept
from .ledger import lock_stock
from .models import Reservation, Walk, WalkStop
from .parcelling import is_picked, pack_up, ship_out, unpack
from .rounds import note_short
from .scanning import WrongPart, check_scan, other_lot
from .stops import GoesBack, append, bring_back, clear, current, end, let_go, live, locked_walk, settle, take

__all__ = [
    "GoesBack",
    "Missed",
    "WrongPart",
    "give_up",
    "is_picked",
    "leave",
    "make_walk",
    "not_there",
    "pack_up",
    "pick",
    "put_back",
    "ship_out",
    "unpack",
]


@dataclass(frozen=True)
class Missed:
    """What came of a stop at which pieces were missing.

    `instead` are the stops that were added for them. Without any the reservation has left the walk, and
    `back` says how many pieces of which stops go back into their bins.
    """

    stop: WalkStop
    missing: int
    instead: tuple[WalkStop, ...] = ()
    back: tuple[GoesBack, ...] = ()


@act("inventory.pick")
def make_walk(user: User, reservations: Sequence[Reservation]) -> Walk:
    """Allot bins for these commitments and put the stops in walking order.

    Raises Conflict for a reservation that is no live commitment or is on a walk already, and ActError
    "not-in-bins" naming the parts that are still on their way, on the dock, or not to be found.
    """
    if not reservations:
        raise ActError("A walk is for at least one order.", code="nothing-wanted")
    ids = sorted({reservation.pk for reservation in reservations})
    lock_kept(ids, timezone.now())
    kept = list(Reservation.objects.filter(pk__in=ids).order_by("pk"))
    for reservation in kept:
        _must_be_walkable(reservation)
    walk = Walk.objects.create(made_by=user)
    append(walk, allot_bins(kept))
    return walk


def _must_be_walkable(reservation: Reservation) -> None:
    if (reservation.kind, reservation.state) != (Reservation.Kind.COMMITMENT, Reservation.State.KEPT):
        raise Conflict(f"Only what is committed is picked; the {reservation} is {reservation.state}.")
    if stop := live(reservation).select_related("walk").first():
        raise Conflict(f"The {reservation} is on walk {stop.walk} already.", walk=stop.walk.number)


@act("inventory.pick")
def pick(user: User, stop: WalkStop, *, scanned: str, quantity: int | None = None, lot: str = "") -> WalkStop:
    """Take the scanned part from the stop's bin to the bench; all that is left to take if not said.

    Another lot or serial number of the part may be taken than the stop names, if it lies in the same bin
    and nobody else is sent for it: a stop of its own stands in then, and is returned.
    Raises WrongPart, and ActError "lot-needed", "wrong-lot" or "bad-quantity". The last pick closes
    the walk.
    """
    now = timezone.now()
    lock_stock([stop.part_id])
    stop = current(stop)
    _must_have_left(stop)
    check_scan(stop, scanned)
    quantity = stop.left if quantity is None else quantity
    if not 1 <= quantity <= stop.left:
        raise ActError(
            f"{quantity} picked, but this stop wants {stop.left} x {stop.part}. Put back what is too many.",
            code="bad-quantity",
        )
    other = other_lot(stop, lot, quantity)
    walk = locked_walk(stop.walk_id)
    if other is not None:
        other.allotted += quantity
        other.save(update_fields=["allotted"])
        let_go(stop, quantity)
        stop = current(append(walk, [Taking(stop.reservation, other, quantity)])[0])
    take(stop, quantity, by=user, at=now)
    stop.walk = settle(walk, now)
    return stop


@act("inventory.pick")
def put_back(user: User, stop: WalkStop, quantity: int | None = None) -> WalkStop:
    """Undo a pick: pieces go from the bench back into the stop's bin, and are to be taken again.

    All that was taken if not said. A walk that was done is open again. Raises ActError "bad-quantity", and
    Conflict when nothing was taken here, or when the pieces are not on the bench or have left the shop.
    """
    now = timezone.now()
    lock_stock([stop.part_id])
    stop = current(stop)
    if not stop.picked:
        raise Conflict(f"Nothing was taken at this stop: no {stop.part} can be put back.")
    _must_be_here(stop.reservation)
    quantity = stop.picked if quantity is None else quantity
    if not 1 <= quantity <= stop.picked:
        raise ActError(
            f"{quantity} x {stop.part} cannot be put back: {stop.picked} were taken at this stop.",
            code="bad-quantity",
        )
    walk = locked_walk(stop.walk_id)
    bring_back(stop, quantity, by=user, at=now)
    stop.walk = settle(walk, now)
    return stop


@act("inventory.pick")
def not_there(user: User, stop: WalkStop, found: int = 0) -> Missed:
    """The bin held fewer than the stop wants: `found` more are taken, and the rest is sought in other bins.

    What other bins have is added to the walk, after its stops. If they have not all of it, everything of
    this reservation is put back and leaves the walk: a kit goes out whole or not at all. It stays
    committed, for until the place is counted nobody knows that the pieces are gone; the count is asked
    for, and until then no walk is sent to this place for them.
    Raises ActError "bad-quantity" and Conflict.
    """
    now = timezone.now()
    lock_stock({stop.part_id, *live(stop.reservation).values_list("part_id", flat=True)})
    stop = current(stop)
    _must_have_left(stop)
    if not 0 <= found < stop.left:
        raise ActError(
            f"{found} found of {stop.left} x {stop.part}: say how many there were, fewer than these; "
            "pick the stop if all are there.",
            code="bad-quantity",
        )
    walk = locked_walk(stop.walk_id)
    if found:
        take(stop, found, by=user, at=now)
    missing = stop.left
    let_go(stop, missing)
    note_short(stop.part, stop.place, stop.lot, user, f"{missing} not found on walk {walk}")
    instead = tuple(append(walk, allot_elsewhere(stop, missing)))
    back = () if instead else tuple(_clear_of(stop.reservation, user, now))
    stop = current(stop)
    stop.walk = settle(walk, now)
    return Missed(stop, missing, instead, back)


@act("inventory.pick")
def give_up(user: User, walk: Walk, *, but: Sequence[Reservation] = ()) -> Walk:
    """End an open walk: what is still to take is let go, and what was taken goes back into its bins.

    What has left the shop already stays as it is, and so do the reservations that `but` names: their
    pieces are packed. Everything else can go on another walk. Raises Conflict for a walk that has ended.
    """
    now = timezone.now()
    lock_stock(walk.stops.values_list("part_id", flat=True))
    walk = locked_walk(walk.pk)
    if walk.state != Walk.State.OPEN:
        raise Conflict(f"Walk {walk} is {walk.get_state_display()} already: there is nothing to give up.")
    stops = walk.stops.filter(reservation__state=Reservation.State.KEPT)
    stops = stops.exclude(reservation__in=[reservation.pk for reservation in but])
    clear(stops.select_related("part__maker", "place", "lot", "walk"), by=user, at=now)
    return end(walk, Walk.State.GIVEN_UP, now)


def leave(reservation: Reservation, *, by: User, at: datetime) -> list[GoesBack]:
    """Take a commitment off its walk; other orders' stops stay. Returns how many go back to which stops.

    Plain: for acts to call. Raises Conflict when the picked pieces are not on the bench.
    """
    lock_stock(live(reservation).values_list("part_id", flat=True))
    back = _clear_of(reservation, by, at)
    walks = set(reservation.stops.values_list("walk_id", flat=True))
    for pk in sorted(walks):
        settle(locked_walk(pk), at)
    return back


def _clear_of(reservation: Reservation, by: User, at: datetime) -> list[GoesBack]:
    stops = live(reservation).select_related("part__maker", "place", "lot", "walk")
    return clear(stops.order_by("pk"), by=by, at=at)


def _must_have_left(stop: WalkStop) -> None:
    if stop.left:
        return
    if stop.let_go:
        raise Conflict(f"Nothing is to take at this stop any more: {stop.let_go} x {stop.part} were let go.")
    raise Conflict(f"All {stop.quantity} x {stop.part} of this stop are picked already.")


def _must_be_here(reservation: Reservation) -> None:
    if reservation.state != Reservation.State.KEPT:
        raise Conflict(
            f"The {reservation} is {reservation.get_state_display()}: its pieces are not on the bench."
        )
