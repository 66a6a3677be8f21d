"""Holds that give way to an order, where the shop's policy lets an order have what is only held.

A hold keeps all its pieces or none, so one that gives way ends whole. The youngest give way first, and
none does that need not.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime

from .keeping import end, lock_current, parts_of
from .models import Reservation, ReservationLine, Stock


def lock_with_holds(part_ids: Iterable[int], now: datetime) -> tuple[dict[int, Stock], list[Reservation]]:
    """Lock these parts and all parts of the holds on them; returns those holds, the youngest first.

    A hold that somebody makes between the look and the lock may keep a part that is not locked: it is
    left out, and stays.
    """
    wanted = set(part_ids)
    stocks = lock_current(wanted | parts_of(_holds_on(wanted)), now)
    holds = Reservation.objects.filter(pk__in=_holds_on(wanted)).order_by("-pk")
    return stocks, [hold for hold in holds if parts_of([hold.pk]) <= stocks.keys()]


def _holds_on(part_ids: set[int]) -> set[int]:
    """Found by the holds, which are few, and not by all the lines that the parts ever had."""
    holds = Reservation.objects.filter(kind=Reservation.Kind.HOLD, state=Reservation.State.KEPT)
    lines = ReservationLine.objects.filter(reservation_id__in=list(holds.values_list("pk", flat=True)))
    return {line.reservation_id for line in lines.order_by() if line.part_id in part_ids}


def make_way(
    missing: Mapping[int, int], holds: list[Reservation], stocks: Mapping[int, Stock]
) -> list[Reservation]:
    """End as few of `holds` (the youngest first) as free `missing` pieces of each part; [] if all do not.

    What a hold waits for counts as much as what it keeps from the shelf: either is free then.
    """
    keeps = {hold.pk: _pieces(hold) for hold in holds}
    chosen: list[Reservation] = []
    left = dict(missing)
    for hold in holds:
        if any(left.get(part_id, 0) > 0 for part_id in keeps[hold.pk]):
            chosen.append(hold)
            left = _less(left, keeps[hold.pk])
    if any(pieces > 0 for pieces in left.values()):
        return []
    for hold in chosen[::-1]:  # The oldest stays if the younger ones turn out to be enough.
        others = [one for one in chosen if one is not hold]
        rest = dict(missing)
        for other in others:
            rest = _less(rest, keeps[other.pk])
        if all(pieces <= 0 for pieces in rest.values()):
            chosen = others
    for hold in chosen:
        end(hold, Reservation.State.GAVE_WAY, stocks)
    return chosen


def _pieces(hold: Reservation) -> dict[int, int]:
    pieces: dict[int, int] = {}
    for part_id, quantity in hold.lines.values_list("part_id", "quantity"):
        pieces[part_id] = pieces.get(part_id, 0) + quantity
    return pieces


def _less(left: Mapping[int, int], pieces: Mapping[int, int]) -> dict[int, int]:
    return {part_id: wanted - pieces.get(part_id, 0) for part_id, wanted in left.items()}
