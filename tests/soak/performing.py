"""The shop's own acts, asked for in plain JSON as over the web, and what they tell in answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, counting, reserving, walking
from inventory.acting import act
from inventory.differences import lock_for_less
from inventory.models import (
    AuditEntry,
    Correction,
    Part,
    Place,
    PurchaseLine,
    PurchaseOrder,
    Reservation,
    ReservationLine,
    Supplier,
    WalkStop,
)
from inventory.tying import waiting_for

from .premises import Premises
from .reading import read

Args = Mapping[str, Any]


@dataclass(frozen=True)
class Done:
    """What the act tells, and the parts whose Stock rows it has locked."""

    told: dict[str, Any]
    parts: Iterable[int]


def perform(user: User, premises: Premises, key: str, kind: str, args: Args) -> tuple[int, dict[str, Any]]:
    """Do it, and answer with all that `steps.Step` needs to know. Runs inside the answer's transaction."""
    began = timezone.now()
    before = _last_entry(user)
    done = PERFORMED[kind](user, premises, args, key)
    entries = AuditEntry.objects.filter(user=user, pk__gt=before).order_by("pk")
    return 200, {
        "kind": kind,
        "args": args,
        "told": done.told,
        "audit": list(entries.values_list("pk", flat=True)),
        "began": began.isoformat(),
        "ended": timezone.now().isoformat(),
        "read": read(done.parts),
    }


def _last_entry(user: User) -> int:
    last = AuditEntry.objects.filter(user=user).order_by("-pk").values_list("pk", flat=True).first()
    return last or 0


def hold(user: User, _premises: Premises, args: Args, key: str) -> Done:
    until = datetime.fromisoformat(args["until"])
    return _keeps(reserving.hold(user, dict(args["wants"]), until=until, reference=key))


def commit(user: User, _premises: Premises, args: Args, key: str) -> Done:
    return _keeps(reserving.commit(user, dict(args["wants"]), reference=key))


def commit_before_holds(user: User, _premises: Premises, args: Args, key: str) -> Done:
    kept, gave_way = reserving.commit_before_holds(user, dict(args["wants"]), reference=key)
    ids = [one.pk for one in gave_way]
    return Done({"reservation": kept.pk, "gave_way": ids}, _parts(kept.pk, *ids))


def make_commitment(user: User, _premises: Premises, args: Args, key: str) -> Done:
    return _keeps(reserving.make_commitment(user, _reservation(args), reference=key))


def prolong(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    until = datetime.fromisoformat(args["until"])
    return _keeps(reserving.prolong(user, _reservation(args), until=until))


def change(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    return _keeps(reserving.change(user, _reservation(args), dict(args["wants"])))


def release(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    released = reserving.release(user, _reservation(args))
    return Done({"state": released.state}, _parts(released.pk))


def order(user: User, premises: Premises, args: Args, _key: str) -> Done:
    """Two acts in one request: write the order and send it."""
    supplier = Supplier.objects.get(pk=premises.supplier)
    sent = buying.send(user, buying.write_order(user, supplier, {args["part"]: args["quantity"]}))
    return Done({"order": sent.pk, "line": sent.lines.get().pk}, [args["part"]])


def receive(user: User, _premises: Premises, args: Args, key: str) -> Done:
    purchase = PurchaseOrder.objects.get(pk=args["order"])
    receipt = buying.receive(user, purchase, delivery_note=key, quantities={args["line"]: args["quantity"]})
    return Done({"receipt": receipt.pk}, [args["part"]])


def close_short(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    """The rest of a line will not come; tells whom that ends."""
    lock_for_less([args["part"]], now := timezone.now())
    waiting = waiting_for([args["part"]], now)
    buying.close_short(user, PurchaseLine.objects.get(pk=args["line"]), "will not come")
    ended = Reservation.objects.filter(pk__in=waiting, state=Reservation.State.RELEASED).order_by("pk")
    gone = list(ended.values_list("pk", flat=True))
    return Done({"ended": gone}, {args["part"], *_parts(*gone)})


def walk(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    made = walking.make_walk(user, list(Reservation.objects.filter(pk__in=args["reservations"])))
    stops = made.stops.values_list("pk", "reservation_id", "part_id", "place_id", "quantity")
    return Done({"walk": made.pk, "stops": list(stops)}, _parts(*args["reservations"]))


def pick(user: User, premises: Premises, args: Args, _key: str) -> Done:
    stop = WalkStop.objects.get(pk=args["stop"])
    walking.pick(user, stop, scanned=premises.numbers[args["part"]], quantity=args["quantity"])
    return Done({}, [args["part"]])


def ship(user: User, _premises: Premises, args: Args, key: str) -> Done:
    _ship(user, _reservation(args), reference=key)
    return Done({}, _parts(args["reservation"]))


@act("inventory.pick")
def _ship(user: User, reservation: Reservation, *, reference: str) -> Reservation:
    """What `shop.packing.ship` does with the pieces of an order's parcel."""
    walking.ship_out(reservation, by=user, at=timezone.now(), reference=reference)
    return reservation


def count(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    part, place = Part.objects.get(pk=args["part"]), Place.objects.get(pk=args["place"])
    correction = counting.correct(user, part, place, args["found"], "counted")
    posted = correction is None or correction.state == Correction.State.POSTED
    return Done({"posted": posted}, [part.pk])


def approve(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    correction = counting.approve(user, Correction.objects.get(pk=args["correction"]))
    told = {"part": correction.part_id, "place": correction.place_id, "change": correction.change}
    return Done(told, [correction.part_id])


def put_away(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    origin, destination = (Place.objects.get(pk=args[end]) for end in ("origin", "destination"))
    part = Part.objects.get(pk=args["part"])
    buying.put_away(user, part, origin=origin, destination=destination, quantity=args["quantity"])
    return Done({}, [part.pk])


def scrap(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    part, place = Part.objects.get(pk=args["part"]), Place.objects.get(pk=args["place"])
    counting.scrap(user, part, place, args["quantity"], "dropped")
    return Done({}, [part.pk])


def _keeps(reservation: Reservation) -> Done:
    return Done({"reservation": reservation.pk}, _parts(reservation.pk))


def _reservation(args: Args) -> Reservation:
    return Reservation.objects.get(pk=args["reservation"])


def _parts(*reservations: int) -> set[int]:
    lines = ReservationLine.objects.filter(reservation__in=reservations)
    return set(lines.values_list("part_id", flat=True))


PERFORMED: Mapping[str, Callable[[User, Premises, Args, str], Done]] = {
    one.__name__: one
    for one in (
        hold,
        commit,
        commit_before_holds,
        make_commitment,
        prolong,
        change,
        release,
        order,
        receive,
        close_short,
        walk,
        pick,
        ship,
        count,
        approve,
        put_away,
        scrap,
    )
}
