"""What an act tells when it is done, and how acts find what they are about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from inventory.models import Reservation, ReservationLine

Args = Mapping[str, Any]


@dataclass(frozen=True)
class Done:
    """What the act tells, and the parts whose Stock rows it has locked."""

    told: dict[str, Any]
    parts: Iterable[int]


def keeps(reservation: Reservation) -> Done:
    return Done({"reservation": reservation.pk}, parts_of(reservation.pk))


def reservation_of(args: Args) -> Reservation:
    return Reservation.objects.get(pk=args["reservation"])


def parts_of(*reservations: int) -> set[int]:
    lines = ReservationLine.objects.filter(reservation__in=reservations)
    return set(lines.values_list("part_id", flat=True))
