"""What the stock was worth at any moment: one sum over the movements, and one over the late charges."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import BigIntegerField, Case, F, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Cast, Round

from .costing import PLACES, STEPS
from .models import LateCharge, Movement, Part, Place


@dataclass(frozen=True)
class Worth:
    """What lay of one part, or of one lot that costs by itself, and what it had cost, landed."""

    part_id: int
    lot_id: int | None
    on_hand: int
    value: Decimal


def value_at(when: datetime, part_ids: Iterable[int] | None = None) -> list[Worth]:
    """What lay in the shop at the end of that moment, by part, and by lot where lots cost by themselves.

    Parts of which nothing lay are left out. Movements and charges count from when their act began.
    """
    movements = Movement.objects.filter(at__lte=when)
    charges = LateCharge.objects.filter(at__lte=when)
    if part_ids is not None:
        wanted = set(part_ids)
        movements, charges = movements.filter(part_id__in=wanted), charges.filter(part_id__in=wanted)
    sums: dict[tuple[int, int | None], list[int]] = {}
    for part_id, lot_id, pieces, steps in (*_moved(movements), *_absorbed(charges)):
        here = sums.setdefault((part_id, lot_id), [0, 0])
        here[0] += pieces
        here[1] += int(steps)  # PostgreSQL gives a sum of large numbers as a decimal.
    return [
        Worth(part_id, lot_id, pieces, Decimal(steps).scaleb(-PLACES))
        for (part_id, lot_id), (pieces, steps) in sorted(sums.items(), key=lambda one: _key(*one[0]))
        if pieces or steps
    ]


def _key(part_id: int, lot_id: int | None) -> tuple[int, int]:
    return part_id, lot_id or 0


# A lot's cost is asked for only where it has one.
_OWN_LOT = Case(When(part__costing=Part.Costing.LOT, then=F("lot_id")), default=Value(None))
# SQLite keeps a decimal as a float: whole steps add up exactly there too.
_IN_STEPS = Cast(Round(F("value") * STEPS), BigIntegerField())


def _moved(movements: QuerySet[Movement]) -> Iterable[tuple[int, int | None, int, int]]:
    outside = list(Place.objects.exclude(kind__in=Place.INSIDE).values_list("pk", flat=True))
    came = Q(origin_id__in=outside) & ~Q(destination_id__in=outside)
    went = Q(destination_id__in=outside) & ~Q(origin_id__in=outside)
    sign = Case(When(came, then=Value(1)), default=Value(-1))
    return (
        movements.filter(came | went)
        .order_by()
        .values_list("part_id", _OWN_LOT)
        .annotate(pieces=Sum(F("quantity") * sign), steps=Sum(_IN_STEPS * sign))
    )


def _absorbed(charges: QuerySet[LateCharge]) -> Iterable[tuple[int, int | None, int, int]]:
    steps = Sum(Cast(Round(F("absorbed") * STEPS), BigIntegerField()))
    sums = charges.order_by().values_list("part_id", "lot_id").annotate(steps=steps)
    return [(part_id, lot_id, 0, total) for part_id, lot_id, total in sums]
