"""The only writer of movements, and of what they change: balances by place, stock and its value by part.

Plain functions, called by acts; they must run inside a transaction. Whoever calls `move` has locked
the Stock rows of all parts of the act first, by `lock_stock`, so that two acts never wait for each
other in a ring.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import connection
from django.db.models import F, Subquery

from .acting import ActError, Conflict
from .costing import NOTHING
from .models import (
    Balance,
    LateCharge,
    Lot,
    Movement,
    Part,
    Place,
    PurchaseLine,
    Reservation,
    ReservationLine,
    Stock,
    WalkStop,
)
from .prepared import insert, run
from .worth import come_in, go_out


def lock_stock(part_ids: Iterable[int]) -> dict[int, Stock]:
    """Lock the Stock rows of these parts, in part order, making those that are missing."""
    wanted = sorted(set(part_ids))
    locked = _locked(wanted)
    missing = [part_id for part_id in wanted if part_id not in locked]
    if missing:
        Stock.objects.bulk_create([Stock(part_id=part_id) for part_id in missing], ignore_conflicts=True)
        locked = _locked(wanted)
    return locked


def _locked(part_ids: list[int]) -> dict[int, Stock]:
    rows = Stock.objects.select_for_update().filter(part_id__in=part_ids).order_by("part_id")
    return {stock.part_id: stock for stock in rows}


def outside(kind: Place.Kind) -> Place:
    """The one place of an outside kind: suppliers, customers, scrap, count differences, making."""
    if kind in Place.INSIDE:
        raise ValueError(f"{kind} is inside the shop; there may be many of them.")
    place, _made = Place.objects.get_or_create(kind=kind, defaults={"code": kind.value.upper()})
    return place


def move(
    *,
    act: Movement.Act,
    part: Part,
    quantity: int,
    origin: Place,
    destination: Place,
    by: User,
    at: datetime,
    lot: Lot | None = None,
    reference: str = "",
    reason: str = "",
    purchase_line: PurchaseLine | None = None,
    cost: Decimal | None = None,
) -> Movement:
    """Write one movement and what it changes. Pieces allotted to a walk stay until it lets go of them.

    `cost` is what all the pieces cost that come into the shop, landed; without it they come at the present
    average, else at the last price. The movement's `value` says what came or went, 0 within the shop. `at` is
    when the act began, or the moment of the part's last movement where somebody else was quicker.

    Raises ActError ("nothing-moved", "wrong-lot", "lot-needed", "bad-cost") or Conflict when the origin does
    not hold that many, or when what would leave is held or committed.
    """
    # Long because a movement has many fields, each named twice.
    if quantity < 1:
        raise ActError(f"A movement moves at least one piece, not {quantity}.", code="nothing-moved")
    _check_lot(part, lot, quantity, entering=destination.is_inside and not origin.is_inside)
    value = NOTHING
    if change := quantity * (destination.is_inside - origin.is_inside):
        value = _change_on_hand(part, lot, change, cost)
    elif cost is not None:
        raise ValueError("What moves within the shop keeps its cost.")
    if origin.is_inside:
        _take_out(part, origin, lot, quantity)
    if destination.is_inside:
        _put_in(part, destination, lot, quantity)
    movement = Movement(
        act=act,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=origin,
        destination=destination,
        by=by,
        at=not_before_the_last(part.pk, at),
        reference=reference,
        reason=reason,
        value=value,
        purchase_line=purchase_line,
    )
    insert(movement)
    return movement


# Plain SQL for its speed: it is asked with every movement.
_LAST = """
SELECT GREATEST(
    (SELECT at FROM inventory_movement WHERE part_id = %s ORDER BY id DESC LIMIT 1),
    (SELECT at FROM inventory_latecharge WHERE part_id = %s ORDER BY id DESC LIMIT 1))
"""


def not_before_the_last(part_id: int, at: datetime) -> datetime:
    """An act that began first may have waited for another: what it moves comes later in time as well.

    Read under the lock of the part's Stock row. Late charges count, since they change what stock is worth.
    """
    if connection.vendor == "postgresql":
        moments: tuple[datetime | None, ...] | None = run(_LAST, (part_id, part_id))
    else:
        charges = LateCharge.objects.filter(part=part_id).order_by("-pk").values("at")[:1]
        movements = Movement.objects.filter(part=part_id).order_by("-pk")
        moments = movements.values_list("at", Subquery(charges)).first()
    return max([at, *(moment for moment in moments or () if moment is not None)])


def _check_lot(part: Part, lot: Lot | None, quantity: int, *, entering: bool) -> None:
    """A tracked part enters with its lot or serial. It may leave without: tracking may have begun later."""
    if lot is not None and lot.part_id != part.pk:
        raise ActError(f"Lot {lot} belongs to another part than {part}.", code="wrong-lot")
    if not entering or part.tracking == Part.Tracking.NONE:
        return
    if lot is None:
        raise ActError(
            f"{part} is tracked {part.get_tracking_display()}: say which one comes in.", code="lot-needed"
        )
    if part.tracking == Part.Tracking.SERIAL and quantity > 1:
        raise ActError(
            f"Serial number {lot} is one piece of {part}, not {quantity}. Give every piece its own serial "
            "number.",
            code="wrong-lot",
        )
    must_not_be_here(part, lot)


def must_not_be_here(part: Part, lot: Lot) -> None:
    """ActError "wrong-lot" for a serial number that lies in the shop: a piece does not come in twice."""
    if part.tracking != Part.Tracking.SERIAL:
        return
    here = Balance.objects.filter(lot=lot, quantity__gt=0).select_related("place").order_by("pk").first()
    if here is not None:
        raise ActError(
            f"Serial number {lot} of {part} is booked in {here.place} already, and is one piece. Carry it "
            "from there; if it is not there, correct that place first.",
            code="wrong-lot",
            place=here.place.code,
        )


def _change_on_hand(part: Part, lot: Lot | None, change: int, cost: Decimal | None) -> Decimal:
    """What is kept stays covered, so the constraint never has to say no. Returns what came or went."""
    stock = lock_stock([part.pk])[part.pk]
    if change > 0:
        value = come_in(stock, part, lot, change, cost)
    elif stock.on_hand + change < stock.held + stock.committed:
        raise _kept(part, stock, -change)
    else:
        value = go_out(stock, part, lot, -change)
    stock.save(update_fields=["on_hand", "value"])
    return value


def _kept(part: Part, stock: Stock, quantity: int) -> Conflict:
    lines = ReservationLine.objects.filter(
        part=part, purchase_line=None, reservation__state=Reservation.State.KEPT
    ).select_related("reservation")
    keepers = [
        f"{line.quantity} {'held' if line.reservation.kind == Reservation.Kind.HOLD else 'committed'} "
        f"for {line.reservation.reference}"
        for line in lines.order_by("reservation_id")
    ]
    return Conflict(
        f"{quantity} x {part} cannot leave: {stock.on_hand} on hand, of which {stock.held} held and "
        f"{stock.committed} committed ({', '.join(keepers) or 'nobody'}). Release one of these first.",
        part=part.pk,
        on_hand=stock.on_hand,
        held=stock.held,
        committed=stock.committed,
        kept_for=keepers,
    )


def _take_out(part: Part, place: Place, lot: Lot | None, quantity: int) -> None:
    # Its usual order would join the maker, and lock that row for every part of theirs.
    found = Balance.objects.select_for_update().filter(part=part, place=place, lot=lot)
    balance = found.order_by("pk").first()
    there = balance.quantity if balance else 0
    allotted = balance.allotted if balance else 0
    if balance is None or there - allotted < quantity:
        raise Conflict(
            f"{quantity} x {part} cannot leave {place}: {there} there"
            + (f", of which {allotted} for {_walks(part, place, lot)}. Pick them first." if allotted else ".")
            + ("" if allotted else " Count the place, or look where it is."),
            part=part.pk,
            place=place.code,
            there=there,
            allotted=allotted,
        )
    balance.quantity -= quantity
    balance.save(update_fields=["quantity"])


def _walks(part: Part, place: Place, lot: Lot | None) -> str:
    stops = WalkStop.objects.filter(part=part, place=place, lot=lot, quantity__gt=F("picked") + F("let_go"))
    numbers = {stop.walk.number for stop in stops.select_related("walk")}
    return "walk " + ", ".join(sorted(numbers)) if numbers else "a walk"


def _put_in(part: Part, place: Place, lot: Lot | None, quantity: int) -> None:
    here = Balance.objects.filter(part=part, place=place, lot=lot)
    if not here.update(quantity=F("quantity") + quantity):
        Balance.objects.create(part=part, place=place, lot=lot, quantity=quantity)
