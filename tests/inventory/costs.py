"""Costs in tests: stock that comes in at a cost, parts whose lots cost by themselves, values read back."""

from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from inventory.ledger import lock_stock, move, outside
from inventory.models import Lot, Movement, Part, Place, Stock
from tests.inventory.builders import a_bin, a_lot, a_part, the_founder


def a_part_by_lot(tracking: str = Part.Tracking.LOT) -> Part:
    part = a_part(tracking=tracking)
    part.costing = Part.Costing.LOT
    part.save()
    return part


@transaction.atomic
def buy(
    part: Part, quantity: int, cost: str | None, *, lot: str = "", place: Place | None = None
) -> Movement:
    """Pieces that cost so much together come into a bin; reckoned by the ledger if None."""
    lock_stock([part.pk])
    return move(
        act=Movement.Act.RECEIVE,
        part=part,
        lot=a_lot(part, lot) if lot else None,
        quantity=quantity,
        origin=outside(Place.Kind.SUPPLIER),
        destination=place or a_bin(),
        by=the_founder(),
        at=timezone.now(),
        cost=None if cost is None else Decimal(cost),
    )


@transaction.atomic
def sell(part: Part, quantity: int, *, lot: str = "", place: Place | None = None) -> Decimal:
    """Pieces leave a bin for the customers. Returns what they had cost."""
    lock_stock([part.pk])
    return move(
        act=Movement.Act.SHIP,
        part=part,
        lot=a_lot(part, lot) if lot else None,
        quantity=quantity,
        origin=place or a_bin(),
        destination=outside(Place.Kind.CUSTOMER),
        by=the_founder(),
        at=timezone.now(),
    ).value


def worth(part: Part) -> Decimal:
    return Stock.objects.get(part=part).value


def lots_of(part: Part) -> dict[str, tuple[int, Decimal]]:
    """Lot code: how many are on hand, and what they cost."""
    rows = Lot.objects.filter(part=part).values_list("code", "on_hand", "value")
    return {code: (on_hand, value) for code, on_hand, value in rows}
