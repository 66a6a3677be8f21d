"""Act of the counter on shipped orders: take back what the customer sends back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import Max, Sum
from django.utils import timezone

from inventory import buying, demand
from inventory.acting import ActError, Conflict, act
from inventory.ledger import lock_stock
from inventory.models import Lot, Part
from inventory.returning import come_back, cost_of_sale

from .models import AsBuilt, CustomerReturn, Order, ReturnLine
from .ordering import review_waiting

# A part, how many, of which lot or serial number, and good or spoilt.
Back = tuple[Part, int, Lot | None, str]
Piece = tuple[int, int | None]


@act("shop.sell")
def take_back(user: User, order: Order, lines: Sequence[Back], reason: str) -> CustomerReturn:
    """Book what came back of a shipped order: no more than went out with it and is not back yet.

    Good pieces come in at the cost at which they left and may go to an order that waits; spoilt ones are
    scrap. Both come off what was sold, in the period of the sale. Raises Conflict "not-shipped", and ActError
    "reason-needed", "nothing-returned", "unknown-condition", "not-sold" or "over-returned".
    """
    now = timezone.now()
    _check(lines, reason)
    order = Order.objects.select_for_update(of=("self",)).get(pk=order.pk)  # Two clerks, one return.
    if order.state != Order.State.SHIPPED:
        raise Conflict(
            f"{order} is {order.get_state_display()}: only what was shipped comes back. Cancel it instead.",
            code="not-shipped",
            state=order.state,
        )
    lock_stock(part.pk for part, *_ in lines)
    made = CustomerReturn.objects.create(order=order, at=now, by=user, reason=reason.strip()[:200])
    sold, returned = went_out(order), came_back(order)
    for line in lines:
        part, quantity, lot, _ = line
        piece = (part.pk, lot.pk if lot else None)
        _refuse_too_many(order, line, sold, returned[piece])
        _book(made, line, before=returned[piece])
        returned[piece] += quantity
    review_waiting(now)
    buying.look_again({part.pk for part, *_ in lines}, now)
    return made


def _book(made: CustomerReturn, line: Back, *, before: int) -> None:
    part, quantity, lot, condition = line
    movement = come_back(
        part,
        quantity,
        lot,
        good=condition == ReturnLine.Condition.GOOD,
        cost=cost_of_sale(made.order.number, part, lot, before=before, quantity=quantity),
        by=made.by,
        at=made.at,
        reference=made.number,
        reason=made.reason,
    )
    shipped_at = made.order.parcels.aggregate(last=Max("shipped_at"))["last"]
    demand.came_back(
        part.pk,
        quantity,
        made.order.number,
        sold_on=timezone.localdate(shipped_at),
        day=timezone.localdate(made.at),
    )
    made.lines.create(part=part, lot=lot, quantity=quantity, condition=condition, movement=movement)


def lot_of(part: Part, code: str) -> Lot | None:
    """The part's lot or serial number as written; None where none is. Raises ActError "not-sold"."""
    code = code.strip()
    if not code:
        return None
    found = Lot.objects.filter(part=part, code__iexact=code).first()
    if found is None:
        raise ActError(f"No {part}, {code} was ever here: read the number again.", code="not-sold")
    return found


def went_out(order: Order) -> Counter[Piece]:
    """What was packed into the order's kits: how many of each part and lot."""
    built = AsBuilt.objects.filter(order_kit__order=order).order_by()
    pieces = built.values_list("part", "lot").annotate(Sum("quantity"))
    return Counter({(part, lot): quantity for part, lot, quantity in pieces})


def came_back(order: Order) -> Counter[Piece]:
    """What of it has come back already."""
    lines = ReturnLine.objects.filter(customer_return__order=order).order_by()
    pieces = lines.values_list("part", "lot").annotate(Sum("quantity"))
    return Counter({(part, lot): quantity for part, lot, quantity in pieces})


@dataclass(frozen=True)
class Sold:
    """What went out with an order, and how many of it can still come back."""

    part: Part
    lot: Lot | None
    went_out: int
    left: int


def what_can_come_back(order: Order) -> list[Sold]:
    """Everything that went out, by part and lot."""
    sold, returned = went_out(order), came_back(order)
    parts = Part.objects.select_related("maker").in_bulk({part for part, _ in sold})
    lots = Lot.objects.in_bulk({lot for _, lot in sold if lot is not None})
    return [
        Sold(parts[part], lots[lot] if lot else None, quantity, quantity - returned[part, lot])
        for (part, lot), quantity in sorted(sold.items(), key=lambda item: (item[0][0], item[0][1] or 0))
    ]


def _check(lines: Sequence[Back], reason: str) -> None:
    if not reason.strip():
        raise ActError("Say why it comes back: whoever looks back will ask.", code="reason-needed")
    if not lines or min(quantity for _, quantity, *_ in lines) < 1:
        raise ActError(
            "Say what came back: at least one part, and at least one piece of each.", code="nothing-returned"
        )
    if strange := sorted({condition for *_, condition in lines} - set(ReturnLine.Condition.values)):
        raise ActError(
            f"Nothing comes back {', '.join(map(repr, strange))}: say "
            f"{' or '.join(ReturnLine.Condition.values)}.",
            code="unknown-condition",
        )


def _refuse_too_many(order: Order, line: Back, sold: Counter[Piece], back: int) -> None:
    part, quantity, lot, _ = line
    went = sold[part.pk, lot.pk if lot else None]
    named = f"{part}, {lot}" if lot else str(part)
    if not went:
        lots = sorted(str(of) for pk, of in sold if pk == part.pk and of is not None)
        hint = " Say which lot or serial number came back." if lots and lot is None else ""
        raise ActError(f"No {named} went out with {order}.{hint}", code="not-sold", part=part.number)
    if back + quantity > went:
        raise Conflict(
            f"{quantity} x {named} cannot come back: {went} went out with {order}, and {back} of them are "
            "back already.",
            code="over-returned",
            part=part.number,
            went_out=went,
            came_back=back,
        )
