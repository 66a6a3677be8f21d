"""How stock is kept for somebody: plain functions on locked rows, under the acts of `reserving`.

Everything here runs inside a transaction. Stock rows are locked first, in part order; a purchase line
belongs to one part, so the lock on that part's row guards its purchase lines and reservations as well.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.db.models import F, QuerySet

from .acting import Conflict
from .ledger import lock_stock
from .models import PurchaseLine, PurchaseOrder, Reservation, ReservationLine, Stock


@dataclass
class Allotment:
    """Where a want is kept from: stock on hand by part, then purchase lines; and what nothing covers."""

    from_stock: dict[int, int] = field(default_factory=dict)
    from_lines: list[tuple[PurchaseLine, int]] = field(default_factory=list)
    missing: dict[int, int] = field(default_factory=dict)


def lock_current(part_ids: Iterable[int], now: datetime) -> dict[int, Stock]:
    """Lock the Stock rows of these parts, and end the holds on them that are over by `now`.

    Those holds may keep other parts too, whose rows are locked in the same sweep to keep the order.
    """
    wanted = set(part_ids)
    over = _over(now).filter(
        pk__in=ReservationLine.objects.filter(part_id__in=wanted).values("reservation_id")
    )
    ids = list(over.values_list("pk", flat=True))
    if ids:
        wanted |= set(
            ReservationLine.objects.filter(reservation_id__in=ids).values_list("part_id", flat=True)
        )
    stocks = lock_stock(wanted)
    if ids:  # Read again: until the rows were locked, a hold could still become a commitment.
        for hold in _over(now).filter(pk__in=ids).order_by("pk"):
            end(hold, Reservation.State.LAPSED, stocks)
    return stocks


def _over(now: datetime) -> QuerySet[Reservation]:
    return Reservation.objects.filter(
        kind=Reservation.Kind.HOLD, state=Reservation.State.KEPT, until__lte=now
    )


def allot(wants: Mapping[int, int], stocks: Mapping[int, Stock]) -> Allotment:
    """Free stock first, then what sent purchase orders still bring, by due date. Writes nothing."""
    allotment = Allotment()
    for part_id, wanted in sorted(wants.items()):
        stock = stocks[part_id]
        here = min(wanted, stock.on_hand - stock.held - stock.committed)
        if here:
            allotment.from_stock[part_id] = here
        if wanted > here:
            allotment.missing[part_id] = wanted - here
    if allotment.missing:
        _allot_inbound(allotment)
    return allotment


def _allot_inbound(allotment: Allotment) -> None:
    lines = PurchaseLine.objects.select_for_update(of=("self",)).filter(
        part_id__in=list(allotment.missing),
        order__state=PurchaseOrder.State.SENT,
        quantity__gt=F("received") + F("reserved"),
    )
    for line in sorted(lines.order_by("id"), key=lambda line: (line.due, line.pk)):
        missing = allotment.missing.get(line.part_id, 0)
        taken = min(missing, line.quantity - line.received - line.reserved)
        if taken:
            allotment.from_lines.append((line, taken))
            allotment.missing[line.part_id] = missing - taken
    allotment.missing = {part_id: missing for part_id, missing in allotment.missing.items() if missing}


def keep(reservation: Reservation, allotment: Allotment, stocks: Mapping[int, Stock]) -> None:
    """Write the lines of a new reservation and what they change."""
    lines = [
        ReservationLine(reservation=reservation, part_id=part_id, quantity=quantity)
        for part_id, quantity in allotment.from_stock.items()
    ]
    lines += [
        ReservationLine(reservation=reservation, part_id=line.part_id, quantity=quantity, purchase_line=line)
        for line, quantity in allotment.from_lines
    ]
    ReservationLine.objects.bulk_create(lines)
    change_kept(stocks, allotment.from_stock, **{_counted(reservation): 1})
    for line, quantity in allotment.from_lines:
        PurchaseLine.objects.filter(pk=line.pk).update(reserved=F("reserved") + quantity)


def _counted(reservation: Reservation) -> str:
    return "held" if reservation.kind == Reservation.Kind.HOLD else "committed"


def change_kept(
    stocks: Mapping[int, Stock], quantities: Mapping[int, int], *, held: int = 0, committed: int = 0
) -> None:
    """Add `quantities` times `held` and `committed` (1, 0 or -1) to the locked rows.

    One statement for each quantity that occurs, a kit's are few: one for all would need a case for
    every row, which takes longer to write down than to run.
    """
    alike: dict[int, list[int]] = {}
    for part_id, quantity in sorted(quantities.items()):
        stocks[part_id].held += held * quantity
        stocks[part_id].committed += committed * quantity
        alike.setdefault(quantity, []).append(part_id)
    for quantity, part_ids in alike.items():
        Stock.objects.filter(pk__in=part_ids).update(
            held=F("held") + held * quantity, committed=F("committed") + committed * quantity
        )


def kept_from_stock(reservation: Reservation) -> dict[int, int]:
    """Part: how many this reservation keeps from stock on hand."""
    lines = reservation.lines.filter(purchase_line=None)
    return dict(lines.values_list("part_id", "quantity"))


def end(reservation: Reservation, state: Reservation.State, stocks: Mapping[int, Stock]) -> None:
    """Give back all that a kept reservation keeps, and say why it ended."""
    change_kept(stocks, kept_from_stock(reservation), **{_counted(reservation): -1})
    waiting = reservation.lines.filter(purchase_line__isnull=False).order_by("purchase_line_id")
    for line_id, quantity in waiting.values_list("purchase_line__pk", "quantity"):
        PurchaseLine.objects.filter(pk=line_id).update(reserved=F("reserved") - quantity)
    reservation.state = state
    reservation.save(update_fields=["state"])


def lapse(now: datetime) -> int:
    """End every hold that is over; each in its own transaction. Returns how many were ended."""
    ended = 0
    for hold in _over(now).order_by("until", "pk"):
        with transaction.atomic():
            lock_current(hold.lines.values_list("part_id", flat=True), now)
            hold.refresh_from_db()
            ended += hold.state == Reservation.State.LAPSED
    return ended


def use_up(reservation: Reservation) -> None:
    """The kept pieces leave the shop: call it before their movements, so that they are free to go.

    Raises Conflict when the reservation is no commitment any more or still waits for a delivery.
    """
    stocks = lock_stock(reservation.lines.values_list("part_id", flat=True))
    reservation.refresh_from_db()
    if (reservation.kind, reservation.state) != (Reservation.Kind.COMMITMENT, Reservation.State.KEPT):
        raise Conflict(
            f"Nothing is committed by this any more: {reservation} is {reservation.get_state_display()}."
        )
    waiting = reservation.lines.exclude(purchase_line=None).select_related("part", "purchase_line__order")
    if waits := [f"{line.quantity} x {line.part} on {line.purchase_line.order}" for line in waiting]:  # type: ignore[union-attr]  # excluded above
        raise Conflict(f"{reservation} still waits for {'; '.join(waits)}. Receive it first.")
    end(reservation, Reservation.State.USED, stocks)


def settle_receipt(purchase_line: PurchaseLine, quantity: int) -> int:
    """Move up to `quantity` of what waits on this purchase line to stock on hand.

    Commitments before holds, oldest first. Call it after the pieces have come in and before they are
    counted as received on the line. Returns how many are kept for somebody.
    """
    stocks = lock_stock([purchase_line.part_id])
    lines = purchase_line.reservation_lines.filter(reservation__state=Reservation.State.KEPT)
    waiting = sorted(
        lines.select_related("reservation"),
        key=lambda line: (line.reservation.kind != Reservation.Kind.COMMITMENT, line.reservation_id),
    )
    settled = 0
    for line in waiting:
        taken = min(line.quantity, quantity - settled)
        if taken:
            settled += taken
            _onto_stock(line, taken)
            change_kept(stocks, {line.part_id: taken}, **{_counted(line.reservation): 1})
    PurchaseLine.objects.filter(pk=purchase_line.pk).update(reserved=F("reserved") - settled)
    return settled


def _onto_stock(line: ReservationLine, taken: int) -> None:
    """Shift `taken` pieces from a waiting line to the reservation's line on stock, made if need be."""
    if taken < line.quantity:
        ReservationLine.objects.filter(pk=line.pk).update(quantity=F("quantity") - taken)
    else:
        line.delete()
    on_stock = ReservationLine.objects.filter(
        reservation=line.reservation_id, part=line.part_id, purchase_line=None
    )
    if not on_stock.update(quantity=F("quantity") + taken):
        ReservationLine.objects.create(
            reservation_id=line.reservation_id, part_id=line.part_id, quantity=taken
        )
