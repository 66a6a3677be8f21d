"""Another set of wants for a reservation that is kept already: what differs is changed, and nothing else."""

from collections.abc import Mapping
from datetime import datetime

from django.utils import timezone

from .keeping import change_kept, change_reserved, counted
from .models import Reservation, ReservationLine, Stock
from .sources import Pool, coming

# By part and purchase line; None is the shelf.
Key = tuple[int, int | None]


def rekeep(
    reservation: Reservation, wants: Mapping[int, int], stocks: Mapping[int, Stock], now: datetime
) -> Mapping[int, int]:
    """Let a kept reservation keep exactly `wants` from now on; returns what is missing for it.

    With anything missing nothing is changed. Its own pieces count as free first, so that a part in both keeps
    its place. The Stock rows of what it keeps and of what is wanted are locked.
    """
    before: dict[Key, ReservationLine] = {
        (line.part_id, line.purchase_line_id): line for line in reservation.lines.all()
    }
    parts = {part_id for part_id, _ in before} | set(wants)
    pool = Pool({part_id: stocks[part_id] for part_id in parts}, coming(parts), timezone.localdate(now))
    for (part_id, line_id), line in before.items():
        pool.give_back(part_id, line_id, line.quantity)
    allotment = pool.allot(wants, reservation.wanted_on)
    if allotment.missing:
        return allotment.missing
    after: dict[Key, int] = {(part_id, None): pieces for part_id, pieces in allotment.from_stock.items()}
    after |= {(line.part_id, line.pk): pieces for line, pieces in allotment.from_lines}
    _write_over(reservation, before, after, stocks)
    return {}


def _write_over(
    reservation: Reservation,
    before: Mapping[Key, ReservationLine],
    after: Mapping[Key, int],
    stocks: Mapping[int, Stock],
) -> None:
    old = {key: line.quantity for key, line in before.items()}
    changes = {key: after.get(key, 0) - old.get(key, 0) for key in {*old, *after}}
    changed = sorted((key for key, change in changes.items() if change), key=str)
    ReservationLine.objects.filter(pk__in=[before[key].pk for key in changed if key in before]).delete()
    ReservationLine.objects.bulk_create(
        ReservationLine(reservation=reservation, part_id=key[0], purchase_line_id=key[1], quantity=after[key])
        for key in changed
        if key in after
    )
    shelf = {part_id: changes[part_id, line_id] for part_id, line_id in changed if line_id is None}
    change_kept(stocks, shelf, **{counted(reservation): 1})
    change_reserved(
        {line_id: changes[part_id, line_id] for part_id, line_id in changed if line_id is not None}
    )
