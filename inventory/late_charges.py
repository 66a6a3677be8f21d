"""Act of the buying desk: a charge that comes after the goods, such as a freight bill or duty."""

from collections.abc import Mapping
from decimal import Decimal

from django.contrib.auth.models import User
from django.utils import timezone

from .acting import ActError, act
from .costing import share_out, still_here
from .ledger import lock_stock, not_before_the_last
from .models import LateCharge, Lot, Movement, Part, Receipt, Stock
from .worth import MOST_VALUE, must_be_money

Came = tuple[Part, Lot | None]


@act("inventory.buy")
def charge_late(user: User, receipt: Receipt, amount: Decimal, reason: str) -> list[LateCharge]:
    """Share `amount` over what the delivery brought, by what it cost; by pieces if it cost nothing.

    The share of pieces that can still be here raises what those on hand are worth, the rest is spent.
    Which pieces have left is not known of a part at moving average: as many of the delivery are taken to be
    here as are on hand at all. Raises ActError "bad-charges", "reason-needed", "nothing-received" or
    "bad-quantity" for more than any stock is worth.
    """
    if not amount.is_finite() or not 0 < amount < MOST_VALUE or amount != round(amount, 2):
        raise ActError(
            f"A late charge is money, with two decimals, above 0 and below {MOST_VALUE:,}, not {amount}.",
            code="bad-charges",
        )
    if not reason.strip():
        raise ActError("Say what the charge is for: whoever reads the ledger will ask.", code="reason-needed")
    came = _came(receipt)
    if not came:
        raise ActError(f"The {receipt} brought nothing that could bear a charge.", code="nothing-received")
    stocks = lock_stock(part.pk for part, _ in came)
    costs = [cost for _, cost in came.values()]
    shares = share_out(amount, costs if any(costs) else [pieces for pieces, _ in came.values()])
    now = timezone.now()
    return [
        LateCharge.objects.create(
            at=not_before_the_last(part.pk, now),
            receipt=receipt,
            part=part,
            lot=lot,
            absorbed=(absorbed := _absorb(share, pieces, stocks[part.pk], lot)),
            spent=share - absorbed,
            reason=reason.strip()[:200],
            by=user,
        )
        for ((part, lot), (pieces, _)), share in zip(came.items(), shares, strict=True)
    ]


def _came(receipt: Receipt) -> Mapping[Came, tuple[int, Decimal]]:
    """What bears a cost, a part or a lot with a cost of its own: how many came, and what they cost."""
    movements = Movement.objects.filter(
        act=Movement.Act.RECEIVE,
        purchase_line__in=receipt.lines.values("purchase_line"),
        reference=receipt.delivery_note,
    )
    came: dict[Came, tuple[int, Decimal]] = {}
    for one in movements.select_related("part__maker", "lot").order_by("part_id", "pk"):
        key = (one.part, one.lot if one.part.costing == Part.Costing.LOT else None)
        pieces, cost = came.get(key, (0, Decimal(0)))
        came[key] = (pieces + one.quantity, cost + one.value)
    return came


def _absorb(share: Decimal, pieces: int, stock: Stock, lot: Lot | None) -> Decimal:
    """Raise what is on hand by the share of those pieces that can still be here. Returns how much."""
    if lot is None:
        absorbed = still_here(share, pieces, stock.on_hand)
    else:
        lot = Lot.objects.select_for_update().get(pk=lot.pk)
        absorbed = still_here(share, pieces, lot.on_hand)
        lot.value += absorbed
        lot.save(update_fields=["value"])
    stock.value += absorbed
    must_be_money(stock.part, stock.value)
    stock.save(update_fields=["value"])
    return absorbed
