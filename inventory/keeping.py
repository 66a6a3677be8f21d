"""How stock is kept for somebody: plain functions on locked rows, under the acts of `reserving`.

Everything here runs inside a transaction. Stock rows are locked first, in part order; a purchase line
belongs to one part, so the lock on that part's row guards its purchase lines and reservations as well.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone

from .acting import Conflict
from .alerting import availability_changed
from .ledger import lock_stock
from .models import PurchaseLine, Reservation, ReservationLine, Stock
from .sources import Allotment, Pool, coming


def lock_current(part_ids: Iterable[int], now: datetime) -> dict[int, Stock]:
    """Lock the Stock rows of these parts, and end the holds on them that are over by `now`.

    Those holds may keep other parts too, whose rows are locked in the same sweep to keep the order.
    """
    wanted = set(part_ids)
    ids = _over_on(wanted, now)
    if ids:
        wanted |= parts_of(ids)
    stocks = lock_stock(wanted)
    if ids:  # Read again: until the rows were locked, a hold could still become a commitment.
        for hold in _over(now).filter(pk__in=ids).order_by("pk"):
            # One that was changed meanwhile may keep a part that is not locked: the next act ends it.
            if parts_of([hold.pk]) <= stocks.keys():
                end(hold, Reservation.State.LAPSED, stocks)
    return stocks


def _over_on(part_ids: Collection[int], now: datetime) -> list[int]:
    """The holds on these parts that are over, by id. They are few, and a part's old lines may be many."""
    over = list(_over(now).order_by().values_list("pk", flat=True))
    if not over:
        return []
    lines = ReservationLine.objects.filter(reservation_id__in=over).order_by()
    return sorted({line.reservation_id for line in lines if line.part_id in part_ids})


def lock_kept(reservations: Iterable[int], now: datetime, *, also: Iterable[int] = ()) -> dict[int, Stock]:
    """Lock, as `lock_current` does, all parts of these reservations, by id, and those of `also`.

    Somebody may change what they keep between the look and the lock, so it is looked at again after it. A
    part that is new by then is locked out of turn: if two meet so in a deadlock, one begins anew.
    """
    ids = list(reservations)
    wanted = set(also) | parts_of(ids)
    while True:
        stocks = lock_current(wanted, now)
        kept = parts_of(ids)
        if kept <= stocks.keys():
            return stocks
        wanted |= kept


def parts_of(reservations: Iterable[int]) -> set[int]:
    """The parts that these reservations, by id, keep."""
    lines = ReservationLine.objects.filter(reservation_id__in=list(reservations))
    return set(lines.values_list("part_id", flat=True))


def _over(now: datetime) -> QuerySet[Reservation]:
    return Reservation.objects.filter(
        kind=Reservation.Kind.HOLD, state=Reservation.State.KEPT, until__lte=now
    )


def pool_for(
    wants: Mapping[int, int], stocks: Mapping[int, Stock], reservation: Reservation, now: datetime
) -> Pool:
    """The sources of these wants; deliveries only where the shelf is not enough, or would be too soon."""
    today = timezone.localdate(now)
    late = reservation.wanted_on is not None and reservation.wanted_on > today
    short = [
        part_id
        for part_id, wanted in wants.items()
        if late or wanted > stocks[part_id].on_hand - stocks[part_id].held - stocks[part_id].committed
    ]
    return Pool({part_id: stocks[part_id] for part_id in wants}, coming(short), today)


def keep(reservation: Reservation, allotment: Allotment, stocks: Mapping[int, Stock]) -> None:
    """Write the lines of a reservation that has none, and what they change."""
    lines = [
        ReservationLine(reservation=reservation, part_id=part_id, quantity=quantity)
        for part_id, quantity in allotment.from_stock.items()
    ]
    lines += [
        ReservationLine(reservation=reservation, part_id=line.part_id, quantity=quantity, purchase_line=line)
        for line, quantity in allotment.from_lines
    ]
    ReservationLine.objects.bulk_create(lines)
    change_kept(stocks, allotment.from_stock, **{counted(reservation): 1})
    change_reserved({line.pk: quantity for line, quantity in allotment.from_lines})


def counted(reservation: Reservation) -> str:
    """The figure of a part's stock in which the reservation counts."""
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
        if quantity:
            alike.setdefault(quantity, []).append(part_id)
    for quantity, part_ids in alike.items():
        Stock.objects.filter(pk__in=part_ids).update(
            held=F("held") + held * quantity, committed=F("committed") + committed * quantity
        )


def change_reserved(quantities: Mapping[int, int]) -> None:
    """Add to what reservations count on from purchase lines, by the line's id."""
    for line_id, quantity in sorted(quantities.items()):
        if quantity:
            PurchaseLine.objects.filter(pk=line_id).update(reserved=F("reserved") + quantity)


def kept_from_stock(reservation: Reservation) -> dict[int, int]:
    """Part: how many this reservation keeps from stock on hand."""
    lines = reservation.lines.filter(purchase_line=None)
    return dict(lines.values_list("part_id", "quantity"))


def end(reservation: Reservation, state: Reservation.State, stocks: Mapping[int, Stock]) -> None:
    """Give back all that a kept reservation keeps, and say why it ended."""
    kept: Counter[int] = Counter()
    waiting: Counter[int] = Counter()
    for part_id, line_id, quantity in reservation.lines.values_list(
        "part_id", "purchase_line_id", "quantity"
    ):
        if line_id is None:
            kept[part_id] += quantity
        else:
            waiting[line_id] -= quantity
    change_kept(stocks, kept, **{counted(reservation): -1})
    change_reserved(waiting)
    reservation.state = state
    reservation.save(update_fields=["state"])


def lapse(now: datetime) -> int:
    """End every hold that is over; each in its own transaction. Returns how many were ended."""
    ended = 0
    for hold in _over(now).order_by("until", "pk"):
        with transaction.atomic():
            stocks = lock_kept([hold.pk], now)
            hold.refresh_from_db()
            ended += hold.state == Reservation.State.LAPSED
            availability_changed(stocks)
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
