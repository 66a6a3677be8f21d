"""What a reservation waits for: its pieces that are still to come are tied to purchase lines.

When a delivery slips, comes early, or comes, what waits is tied anew: each waiting piece to the soonest
supply there is, commitments before holds and older ones before younger.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime

from django.db.models import Exists, F, OuterRef, QuerySet
from django.utils import timezone

from .acting import Conflict
from .keeping import change_kept, change_reserved, counted, end, lock_current, parts_of
from .ledger import lock_stock
from .models import PurchaseLine, Reservation, ReservationLine, Stock, WalkStop
from .sources import Pool, coming

# What one reservation has of one part, by the purchase line it waits for; None is the shelf.
Ties = Counter[int | None]


def retie(part_ids: Iterable[int], now: datetime) -> list[Reservation]:
    """Tie what waits for these parts anew; returns the reservations whose ties changed, oldest first.

    Runs in the caller's transaction and locks the Stock rows itself, unless the caller has them already.
    Pieces that are kept from the shelf stay there, but for those that nobody wants today and no walk is
    about to take: a delivery that is in time for them frees them for whoever does.
    """
    parts = set(part_ids)
    return tie_anew({part: stock for part, stock in lock_current(parts, now).items() if part in parts}, now)


def tie_anew(
    stocks: Mapping[int, Stock], now: datetime, less: Mapping[int, int] | None = None
) -> list[Reservation]:
    """The same for the parts of these locked rows.

    `less` are pieces, by purchase line, that will not come: there is other supply for whoever waits for them.
    """
    parts = stocks.keys()
    waiting = _movable(parts, timezone.localdate(now))
    if not waiting:
        return []
    pool = Pool(stocks, coming(parts), timezone.localdate(now))
    for (_, part), lines in waiting.items():
        for line in lines:
            pool.give_back(part, line.purchase_line_id, line.quantity)
    for line_id, fewer in (less or {}).items():
        pool.bring_less(line_id, fewer)
    changed: dict[int, Reservation] = {}
    reserved: Counter[int] = Counter()
    shelf: dict[str, Counter[int]] = defaultdict(Counter)
    for (pk, part), lines in waiting.items():
        before: Ties = Counter({line.purchase_line_id: line.quantity for line in lines})
        taken = pool.take(part, before.total(), lines[0].reservation.wanted_on)
        after: Ties = Counter({source.line_id: pieces for source, pieces in taken})
        assert after.total() == before.total(), "what was given back can be taken again"
        if after != before:
            moved = {line: after[line] - before[line] for line in {*before, *after}}
            reserved.update({line: pieces for line, pieces in moved.items() if line is not None})
            shelf[counted(lines[0].reservation)][part] += moved.get(None, 0)
            _tie(lines, after)
            changed[pk] = lines[0].reservation
    # All at once: in between, one line or one piece on the shelf would count for two reservations.
    change_reserved(reserved)
    for falls in (True, False):  # What is given up first: a commitment may take what a hold had.
        for figure, pieces in shelf.items():
            some = {part: change for part, change in pieces.items() if (change < 0) == falls}
            change_kept(stocks, some, **{figure: 1})
    return [changed[pk] for pk in sorted(changed)]


def let_go(line: PurchaseLine, pieces: int, stocks: Mapping[int, Stock], now: datetime) -> list[Reservation]:
    """So many pieces that the line still owes will not come: nobody is to count on them any more.

    What waits is tied to other supply of the part. Where that is not enough, reservations end whole until it
    is: holds before commitments, the younger before the older, and none that need not. The rows of all that
    those who wait keep are locked, and the line is. Returns the reservations that ended.
    """
    ended = _end_for(line, pieces, stocks, now)
    tie_anew({line.part_id: stocks[line.part_id]}, now, {line.pk: pieces})
    return ended


def waiting_for(parts: Collection[int], now: datetime) -> set[int]:
    """The reservations, by id, that `let_go` may end."""
    return {reservation for reservation, _ in _movable(parts, timezone.localdate(now))}


def _end_for(
    line: PurchaseLine, pieces: int, stocks: Mapping[int, Stock], now: datetime
) -> list[Reservation]:
    """End as few of those who wait as leave enough of the part for the others."""
    stock = stocks[line.part_id]
    left = sum(one.quantity - one.received - one.reserved for one in coming([line.part_id]))
    short = pieces - left - (stock.on_hand - stock.held - stock.committed)
    if short <= 0:
        return []
    waiting = [lines[0].reservation for lines in _movable([line.part_id], timezone.localdate(now)).values()]
    frees = {
        one: sum(one.lines.filter(part=line.part_id).values_list("quantity", flat=True))
        for one in reversed(waiting)
        if parts_of([one.pk]) <= stocks.keys()
    }
    chosen: list[Reservation] = []
    for one, freed in frees.items():
        if short > 0:
            chosen.append(one)
            short -= freed
    if short > 0:
        raise Conflict("Somebody has just reserved some of it: try again.")
    for one in reversed(chosen.copy()):  # The most urgent stays if the others turn out to be enough.
        if frees[one] <= -short:
            chosen.remove(one)
            short += frees[one]
    for one in chosen:
        end(one, Reservation.State.RELEASED, stocks)
    return chosen


def wanted_later(parts: Collection[int], today: date) -> bool:
    """Does anybody keep some of these parts for a later day?"""
    return bool(_kept_for_later(today)) and _later_lines(parts, today).exists()


def _kept_for_later(today: date) -> list[int]:
    later = Reservation.objects.filter(state=Reservation.State.KEPT, wanted_on__gt=today)
    return list(later.order_by().values_list("pk", flat=True))


def _later_lines(parts: Collection[int], today: date) -> QuerySet[ReservationLine]:
    """What is kept from the shelf for a later day and is on no walk."""
    on_walks = WalkStop.objects.filter(quantity__gt=F("let_go"), reservation_id=OuterRef("reservation_id"))
    lines = ReservationLine.objects.filter(reservation_id__in=_kept_for_later(today), part_id__in=parts)
    return lines.filter(~Exists(on_walks), purchase_line=None)


def _movable(parts: Collection[int], today: date) -> dict[tuple[int, int], list[ReservationLine]]:
    """By reservation and part the lines that may be tied anew, in the order in which they are served."""
    waiting = ReservationLine.objects.filter(
        part_id__in=parts, purchase_line__isnull=False, reservation__state=Reservation.State.KEPT
    )
    lines = [*waiting.select_related("reservation")]
    if _kept_for_later(today):
        lines += _later_lines(parts, today).select_related("reservation")
    found: dict[tuple[int, int], list[ReservationLine]] = defaultdict(list)
    for line in sorted(lines, key=_turn):
        found[line.reservation_id, line.part_id].append(line)
    return dict(found)


def _turn(line: ReservationLine) -> tuple[bool, int, int]:
    return line.reservation.kind != Reservation.Kind.COMMITMENT, line.reservation_id, line.pk


def _tie(lines: list[ReservationLine], after: Ties) -> None:
    """Write other ties of those lines of one reservation and part that may be tied anew."""
    reservation, part = lines[0].reservation, lines[0].part_id
    ReservationLine.objects.filter(pk__in=[line.pk for line in lines]).delete()
    onto_shelf = after.pop(None, 0)
    ReservationLine.objects.bulk_create(
        ReservationLine(reservation=reservation, part_id=part, purchase_line_id=line, quantity=pieces)
        for line, pieces in after.items()
    )
    if onto_shelf:
        _add_from_shelf(reservation, part, onto_shelf)


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
            _add_from_shelf(line.reservation, line.part_id, taken)
            change_kept(stocks, {line.part_id: taken}, **{counted(line.reservation): 1})
    change_reserved({purchase_line.pk: -settled})
    return settled


def _add_from_shelf(reservation: Reservation, part_id: int, pieces: int) -> None:
    """Write that the reservation keeps so many pieces more of a part from the shelf."""
    here = ReservationLine.objects.filter(reservation=reservation, part=part_id, purchase_line=None)
    if not here.update(quantity=F("quantity") + pieces):
        ReservationLine.objects.create(reservation=reservation, part_id=part_id, quantity=pieces)
