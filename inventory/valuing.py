"""What the stock was worth at any moment: what it is worth now, less what has come since, and with what left.

So today costs next to nothing, and a day long past one sum over the movements since.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import BigIntegerField, Case, F, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Cast, Round

from .costing import PLACES, STEPS
from .models import LateCharge, Lot, Movement, Part, Place, Stock

# Part, and lot where lots cost by themselves: pieces, and what they cost in whole steps.
_Sums = dict[tuple[int, int | None], tuple[int, int]]


class Worth(NamedTuple):
    """What lay of one part, or of one lot that costs by itself, and what it had cost, landed."""

    part_id: int
    lot_id: int | None
    on_hand: int
    value: Decimal


def value_at(when: datetime, part_ids: Iterable[int] | None = None) -> list[Worth]:
    """What lay in the shop at the end of that moment, by part, and by lot where lots cost by themselves.

    Parts of which nothing lay are left out. Movements and charges count from when their act began. All of it
    is read in one statement, so in one moment.
    """
    return [_worth(one) for one in sorted(_sums(when, part_ids).items(), key=_by_part)]


def most_valuable(when: datetime, most: int | None = None) -> tuple[list[Worth], int, Decimal]:
    """The same, the most valuable first, at most so many; how many there are; what all are worth together."""
    sums = _sums(when, None)
    total = sum(steps for _, steps in sums.values())
    first = sorted(sums.items(), key=lambda one: (-one[1][1], _by_part(one)))[:most]
    return [_worth(one) for one in first], len(sums), _money(total)


def _by_part(one: tuple[tuple[int, int | None], tuple[int, int]]) -> tuple[int, int]:
    (part_id, lot_id), _ = one
    return part_id, lot_id or 0


def _worth(one: tuple[tuple[int, int | None], tuple[int, int]]) -> Worth:
    (part_id, lot_id), (pieces, steps) = one
    return Worth(part_id, lot_id, pieces, _money(steps))


def _money(steps: int) -> Decimal:
    return Decimal(steps).scaleb(-PLACES)


def _sums(when: datetime, part_ids: Iterable[int] | None) -> _Sums:
    read = [_parts(), _lots(), _moved_since(when), _absorbed_since(when)]
    if part_ids is not None:
        wanted = set(part_ids)
        read = [rows.filter(part_id__in=wanted) for rows in read]
    first, *others = (rows.order_by().values_list("part_id", "own_lot", "pieces", "steps") for rows in read)
    sums: _Sums = {}
    for part_id, lot_id, more, dearer in first.union(*others, all=True):
        pieces, steps = sums.get((part_id, lot_id), (0, 0))
        # PostgreSQL gives a sum of large numbers as a decimal.
        sums[part_id, lot_id] = pieces + more, steps + int(dearer)
    return {key: one for key, one in sums.items() if any(one)}


_NO_LOT = Value(None, output_field=BigIntegerField())
# A lot's cost is asked for only where it has one.
_OWN_LOT = Case(When(part__costing=Part.Costing.LOT, then=F("lot_id")), default=_NO_LOT)


def _in_steps(amount: str) -> Cast:
    """SQLite keeps a decimal as a float: whole steps add up exactly there too."""
    return Cast(Round(F(amount) * STEPS), BigIntegerField())


def _parts() -> QuerySet[Any]:
    """What lies here now of parts that cost by the average."""
    here = Stock.objects.exclude(part__costing=Part.Costing.LOT).filter(Q(on_hand__gt=0) | Q(value__gt=0))
    return here.annotate(own_lot=_NO_LOT, pieces=F("on_hand"), steps=_in_steps("value"))


def _lots() -> QuerySet[Any]:
    """What lies here now of lots that cost by themselves."""
    here = Lot.objects.filter(Q(on_hand__gt=0) | Q(value__gt=0), part__costing=Part.Costing.LOT)
    return here.annotate(own_lot=F("pk"), pieces=F("on_hand"), steps=_in_steps("value"))


def _moved_since(when: datetime) -> QuerySet[Any]:
    """What has left since, less what has come."""
    outside = list(Place.objects.exclude(kind__in=Place.INSIDE).values_list("pk", flat=True))
    came = Q(origin_id__in=outside) & ~Q(destination_id__in=outside)
    went = Q(destination_id__in=outside) & ~Q(origin_id__in=outside)
    back = Case(When(came, then=Value(-1)), default=Value(1))
    since = Movement.objects.filter(came | went, at__gt=when).annotate(own_lot=_OWN_LOT)
    sums = since.order_by().values("part_id", "own_lot")
    return sums.annotate(pieces=Sum(F("quantity") * back), steps=Sum(_in_steps("value") * back))


def _absorbed_since(when: datetime) -> QuerySet[Any]:
    since = LateCharge.objects.filter(at__gt=when).annotate(own_lot=F("lot_id"))
    sums = since.order_by().values("part_id", "own_lot")
    return sums.annotate(pieces=Value(0), steps=-Sum(_in_steps("absorbed")))
