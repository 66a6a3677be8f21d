"""Who keeps pieces of a part: the holds and commitments that run, true by the clock."""

from __future__ import annotations

from datetime import datetime

from django.db.models import F, Q

from .models import Part, Reservation, ReservationLine


def keepers(part: Part, now: datetime) -> list[ReservationLine]:
    """The lines that keep pieces of it, commitments before holds and the oldest first.

    A line keeps from stock, or from the delivery that its `purchase_line` names. A hold that is over
    keeps nothing, whether or not the sweeper has been round.

    The reservations that run are found first, by an index that holds only those, then their lines: asked
    for by the part, PostgreSQL reads all that ever kept it.
    """
    runs = Q(until=None) | Q(until__gt=now)
    kept = Reservation.objects.filter(runs, state=Reservation.State.KEPT)
    running = list(kept.order_by().values_list("pk", flat=True))
    if not running:
        return []
    lines = ReservationLine.objects.filter(reservation_id__in=running).order_by().values_list("pk", "part_id")
    of_part = [pk for pk, part_id in lines if part_id == part.pk]
    found = ReservationLine.objects.filter(pk__in=of_part).select_related(
        "reservation", "purchase_line__order__supplier"
    )
    from_stock_first = F("purchase_line_id").asc(nulls_first=True)
    return list(found.order_by("reservation__kind", "reservation_id", from_stock_first))
