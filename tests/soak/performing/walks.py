"""The acts of pickers on their walks."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import reserving, walking
from inventory.acting import act
from inventory.keeping import lock_kept
from inventory.models import Reservation, Walk, WalkStop
from tests.soak.premises import Premises

from .done import Args, Done, parts_of, reservation_of


def walk(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    made = walking.make_walk(user, list(Reservation.objects.filter(pk__in=args["reservations"])))
    stops = made.stops.values_list("pk", "reservation_id", "part_id", "place_id", "quantity")
    return Done({"walk": made.pk, "stops": list(stops)}, parts_of(*args["reservations"]))


def pick(user: User, premises: Premises, args: Args, _key: str) -> Done:
    stop = WalkStop.objects.get(pk=args["stop"])
    walking.pick(user, stop, scanned=premises.numbers[args["part"]], quantity=args["quantity"])
    return Done({}, [args["part"]])


def put_back(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    walking.put_back(user, WalkStop.objects.get(pk=args["stop"]), args["quantity"])
    return Done({}, [args["part"]])


def not_there(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    stop = WalkStop.objects.get(pk=args["stop"])
    missed = walking.not_there(user, stop, args["found"])
    instead = [(one.pk, one.place_id, one.quantity) for one in missed.instead]
    return Done({"instead": instead}, parts_of(stop.reservation_id))


def give_up(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    given_up = walking.give_up(user, Walk.objects.get(pk=args["walk"]))
    return Done({}, set(given_up.stops.values_list("part_id", flat=True)))


def cancel(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    _cancel(user, reservation_of(args))
    return Done({}, parts_of(args["reservation"]))


@act("shop.sell")
def _cancel(user: User, reservation: Reservation) -> Reservation:
    """What `shop.cancelling.cancel` does with the pieces of an order."""
    lock_kept([reservation.pk], timezone.now())
    walking.leave(reservation, by=user, at=timezone.now())
    return reserving.release(user, reservation)


def ship(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    _ship(user, reservation_of(args))
    return Done({}, parts_of(args["reservation"]))


@act("inventory.pick")
def _ship(user: User, reservation: Reservation) -> Reservation:
    """What `shop.packing.ship` does with the pieces of an order's parcel."""
    walking.ship_out(reservation, by=user, at=timezone.now(), reference=reservation.reference)
    return reservation
