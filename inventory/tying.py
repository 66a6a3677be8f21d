"""What a reservation waits for: its pieces that are still to come are tied to purchase lines.

When a delivery slips, comes early, or comes, what waits is tied anew: each waiting piece to the soonest
supply there is, commitments before holds and older ones before younger.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from datetime import datetime

from django.db.models import F
from django.utils import timezone

from .keeping import change_kept, change_reserved, counted, lock_current
from .ledger import lock_stock
from .models import PurchaseLine, Reservation, ReservationLine, Stock
from .sources import Pool, coming

# What one reservation has of one part, by the purchase line it waits for; None is the shelf.
Ties = Counter[int | None]


def retie(part_ids: Iterable[int], now: datetime) -> list[Reservation]:
    """Tie what waits for these parts anew; returns the reservations whose ties changed, oldest first.

    Runs in the caller's transaction and locks the Stock rows itself, unless the caller has them already.
    Pieces that are kept from the shelf stay there: only what waits moves.
    """
    parts = set(part_ids)
    stocks = lock_current(parts, now)
    waiting = _waiting(parts)
    if not waiting:
        return []
    pool = Pool({part: stocks[part] for part in parts}, coming(parts), timezone.localdate(now))
    for (_, part), lines in waiting.items():
        for line in lines:
            pool.give_back(part, line.purchase_line_id, line.quantity)
    changed: dict[int, Reservation] = {}
    reserved: Counter[int] = Counter()
    for (pk, part), lines in waiting.items():
        before: Ties = Counter({line.purchase_line_id: line.quantity for line in lines})
        taken = pool.take(part, before.total(), lines[0].reservation.wanted_on)
        after: Ties = Counter({source.line_id: pieces for source, pieces in taken})
        assert after.total() == before.total(), "what was given back can be taken again"
        if after != before:
            _tie(lines, after, stocks)
            reserved.update({line: after[line] - before[line] for line in {*before, *after} if line})
            changed[pk] = lines[0].reservation
    change_reserved(reserved)  # All at once: in between, one line would count for two reservations.
    return [changed[pk] for pk in sorted(changed)]


def _waiting(parts: Collection[int]) -> dict[tuple[int, int], list[ReservationLine]]:
    """By reservation and part the lines that wait, in the order in which they are served."""
    lines = ReservationLine.objects.filter(
        part_id__in=parts, purchase_line__isnull=False, reservation__state=Reservation.State.KEPT
    ).select_related("reservation", "purchase_line")
    found: dict[tuple[int, int], list[ReservationLine]] = defaultdict(list)
    for line in sorted(lines, key=_turn):
        found[line.reservation_id, line.part_id].append(line)
    return dict(found)


def _turn(line: ReservationLine) -> tuple[bool, int, int]:
    return line.reservation.kind != Reservation.Kind.COMMITMENT, line.reservation_id, line.pk


def _tie(lines: list[ReservationLine], after: Ties, stocks: dict[int, Stock]) -> None:
    """Write other ties of one reservation's waiting lines of one part."""
    reservation, part = lines[0].reservation, lines[0].part_id
    ReservationLine.objects.filter(pk__in=[line.pk for line in lines]).delete()
    ReservationLine.objects.bulk_create(
        ReservationLine(reservation=reservation, part_id=part, purchase_line_id=line, quantity=pieces)
        for line, pieces in after.items()
        if line is not None
    )
    if after[None]:
        onto_stock(reservation, part, after[None], stocks)


def settle_receipt(purchase_line: PurchaseLine, quantity: int) -> int:
    """Move up to `quantity` of what waits on this purchase line to stock on hand.

    Commitments before holds, oldest first. Call it after the pieces have come in and before they are
    counted as received on the line. Returns how many are kept for somebody.
    """
    stocks = lock_stock([purchase_line.part_id])
    lines = purchase_line.reservation_lines.filter(reservation__state=Reservation.State.KEPT)
    settled = 0
    for line in sorted(lines.select_related("reservation"), key=_turn):
        if taken := min(line.quantity, quantity - settled):
            settled += taken
            if taken < line.quantity:
                ReservationLine.objects.filter(pk=line.pk).update(quantity=F("quantity") - taken)
            else:
                line.delete()
            onto_stock(line.reservation, line.part_id, taken, stocks)
    change_reserved({purchase_line.pk: -settled})
    return settled


def onto_stock(reservation: Reservation, part_id: int, pieces: int, stocks: dict[int, Stock]) -> None:
    """The reservation keeps so many pieces more of a part from the shelf."""
    here = ReservationLine.objects.filter(reservation=reservation, part=part_id, purchase_line=None)
    if not here.update(quantity=F("quantity") + pieces):
        ReservationLine.objects.create(reservation=reservation, part_id=part_id, quantity=pieces)
    change_kept(stocks, {part_id: pieces}, **{counted(reservation): 1})
