"""What left the shop and came back: plain functions, called by acts, on locked Stock rows."""

from datetime import datetime
from decimal import Decimal

from django.contrib.auth.models import User
from django.db.models import Sum

from .costing import NOTHING, at_average
from .deliveries import dock
from .ledger import move, outside
from .models import Lot, Movement, Part, Place


def cost_of_sale(reference: str, part: Part, lot: Lot | None, *, before: int, quantity: int) -> Decimal:
    """At what cost `quantity` of these pieces left with that reference, after `before` of them came back.

    Shares of one sum: once all are back, what they cost together is what left. 0 if none left.
    """
    left = Movement.objects.filter(act=Movement.Act.SHIP, reference=reference, part=part, lot=lot)
    sums = left.aggregate(value=Sum("value"), pieces=Sum("quantity"))
    value, pieces = sums["value"] or NOTHING, sums["pieces"] or 0
    if not pieces:
        return NOTHING
    return at_average(value, pieces, before + quantity) - at_average(value, pieces, before)


def come_back(
    part: Part,
    quantity: int,
    lot: Lot | None,
    *,
    good: bool,
    cost: Decimal,
    by: User,
    at: datetime,
    reference: str,
    reason: str,
) -> Movement:
    """From the customer to the dock, and on to the part's home as with a delivery; what is spoilt to scrap.

    Good pieces come in at the cost at which they left; spoilt ones never enter the stock.
    """
    arrived_at = dock() if good else outside(Place.Kind.SCRAP)
    back = move(
        act=Movement.Act.RETURN,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=outside(Place.Kind.CUSTOMER),
        destination=arrived_at,
        by=by,
        at=at,
        reference=reference,
        reason=reason[:200],
        cost=cost if good else None,
    )
    if good and part.home is not None and part.home != arrived_at:
        move(
            act=Movement.Act.PUT_AWAY,
            part=part,
            lot=lot,
            quantity=quantity,
            origin=arrived_at,
            destination=part.home,
            by=by,
            at=at,
            reference=reference,
        )
    return back
