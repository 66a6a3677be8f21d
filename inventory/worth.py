"""What pieces are worth as they come and go: on the locked Stock row, for the ledger alone.

A part costs by moving average over all that is on hand, or each lot has a cost of its own; then the
part's value is the sum of its lots'. Absolute values are written, never sums made by the database, since
SQLite keeps a decimal as a float.
"""

from decimal import Decimal

from .acting import ActError, Conflict
from .costing import NOTHING, at_average, leaving, rounded
from .models import Lot, Movement, Offer, Part, Place, ReceiptLine, Stock

# Ten digits before the point, as the columns have them.
MOST_VALUE = Decimal(10**10)


def come_in(stock: Stock, part: Part, lot: Lot | None, quantity: int, cost: Decimal | None) -> Decimal:
    """Add pieces that cost `cost` together, reckoned if None, to the row (not saved) and to their lot."""
    own = _own_cost(part, lot)
    if cost is None:
        value = _reckoned(stock, part, own, quantity)
    else:
        value = rounded(cost)
        if value < 0:
            raise ActError(f"{part} cannot come in for less than nothing: {cost}.", code="bad-cost")
    must_be_money(part, stock.value + value)
    if own is not None:
        _keep(own, quantity, value)
    stock.on_hand += quantity
    stock.value += value
    return value


def must_be_money(part: Part, value: Decimal) -> None:
    """ActError "bad-quantity" for more than the columns hold: SQLite would take it and never read it."""
    if value >= MOST_VALUE:
        raise ActError(
            f"All {part} would be worth {value:,.2f} then, more than any stock is. Look at how many pieces "
            "you gave, and at what one costs.",
            code="bad-quantity",
        )


def go_out(stock: Stock, part: Part, lot: Lot | None, quantity: int) -> Decimal:
    """Take pieces off the row (not saved) and off their lot; returns what they cost."""
    own = _own_cost(part, lot)
    if own is None:
        value = leaving(stock.value, stock.on_hand, quantity)
    else:
        if own.on_hand < quantity:
            raise Conflict(
                f"{quantity} x {part} of {own} cannot leave: {own.on_hand} of it on hand. Count it.",
                part=part.pk,
                lot=own.code,
                on_hand=own.on_hand,
            )
        value = leaving(own.value, own.on_hand, quantity)
        _keep(own, -quantity, -value)
    stock.on_hand -= quantity
    stock.value -= value
    return value


def last_price(part_id: int) -> Decimal | None:
    """What one piece was last bought for, else the cheapest offer; None when neither is known."""
    bought = ReceiptLine.objects.filter(purchase_line__part_id=part_id).order_by("-pk")
    price = bought.values_list("purchase_line__price", flat=True).first()
    if price is None:
        offers = Offer.objects.filter(part_id=part_id).order_by("price")
        price = offers.values_list("price", flat=True).first()
    return price


def _own_cost(part: Part, lot: Lot | None) -> Lot | None:
    """The lot's row, locked, where it has a cost of its own."""
    if part.costing != Part.Costing.LOT:
        return None
    if lot is None:
        raise ActError(f"Each lot of {part} has its own cost: say which lot.", code="lot-needed")
    return Lot.objects.select_for_update().get(pk=lot.pk)


def _keep(lot: Lot, quantity: int, value: Decimal) -> None:
    lot.on_hand += quantity
    lot.value += value
    lot.save(update_fields=["on_hand", "value"])


def _reckoned(stock: Stock, part: Part, own: Lot | None, quantity: int) -> Decimal:
    """The present average; else what the lot last went for, the part's average, the last price, or 0."""
    if own is not None and own.on_hand:
        return at_average(own.value, own.on_hand, quantity)
    if own is not None and (went := _last_gone(own)) is not None:
        return at_average(went.value, went.quantity, quantity)
    if stock.on_hand:
        return at_average(stock.value, stock.on_hand, quantity)
    return rounded((last_price(part.pk) or NOTHING) * quantity)


def _last_gone(lot: Lot) -> Movement | None:
    gone = lot.movements.filter(origin__kind__in=Place.INSIDE).exclude(destination__kind__in=Place.INSIDE)
    return gone.order_by("-pk").first()
