"""Goods in: a delivery is booked once, put away, and what waited for it is kept from stock."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import look_again
from .costing import NOTHING, share_out
from .keeping import lock_current
from .ledger import move, outside
from .lot_codes import lot_quantities
from .models import Lot, Movement, Part, Place, PurchaseLine, PurchaseOrder, Receipt, ReceiptLine
from .tying import settle_receipt


@act("inventory.receive_goods")
def receive(
    user: User,
    order: PurchaseOrder,
    *,
    delivery_note: str,
    quantities: Mapping[int, int],
    lots: Mapping[int, Sequence[str]] | None = None,
    charges: Decimal = NOTHING,
) -> Receipt:
    """Book one delivery: `quantities` by purchase line id, `lots` the lot or serial codes by line id.

    A line's `lots` are one code for all its pieces, or one code for each piece. `charges` are freight,
    duty and the like of the whole delivery; the lines share them by what they cost. Raises ActError
    "over-delivered", "delivery-note-booked", "lot-needed", "wrong-lot", "no-such-line", "bad-charges" or
    "nothing-received", and Conflict unless the order is sent.
    """
    _check_charges(charges)
    now = timezone.now()
    lock_current(order.lines.filter(pk__in=list(quantities)).values_list("part_id", flat=True), now)
    order = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    note = _check_order(order, delivery_note)
    lines = _lines(order, quantities)
    codes = {
        line.pk: lot_quantities(line.part, quantities[line.pk], (lots or {}).get(line.pk, ()), line=line.pk)
        for line in lines
    }
    costs = _landed([(line.price * quantities[line.pk], quantities[line.pk]) for line in lines], charges)
    receipt = Receipt.objects.create(order=order, at=now, by=user, delivery_note=note, charges=charges)
    for line, cost in zip(lines, costs, strict=True):
        counts = codes[line.pk]
        for code, part_of_it in zip(counts, share_out(cost, list(counts.values())), strict=True):
            _bring_in(line, code, counts[code], receipt, part_of_it)
        settle_receipt(line, quantities[line.pk])
        PurchaseLine.objects.filter(pk=line.pk).update(received=F("received") + quantities[line.pk])
        ReceiptLine.objects.create(receipt=receipt, purchase_line=line, quantity=quantities[line.pk])
    if not order.lines.filter(received__lt=F("quantity")).exists():
        order.state = PurchaseOrder.State.CLOSED
        order.save(update_fields=["state"])
    look_again([line.part_id for line in lines], now)
    return receipt


@act("inventory.receive_goods")
def put_away(
    user: User,
    part: Part,
    *,
    origin: Place,
    destination: Place,
    quantity: int,
    lot: Lot | None = None,
    reference: str = "",
) -> Movement:
    """Carry pieces from one place in the shop to another: off the dock, or from bin to bin."""
    if not (origin.is_inside and destination.is_inside) or origin == destination:
        raise ActError("Name two different places in the shop.", code="not-a-place-here")
    now = timezone.now()
    lock_current([part.pk], now)
    off_the_dock = origin.kind == Place.Kind.DOCK
    return move(
        act=Movement.Act.PUT_AWAY if off_the_dock else Movement.Act.MOVE,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=origin,
        destination=destination,
        by=user,
        at=now,
        reference=reference,
    )


def _landed(lines: Sequence[tuple[Decimal, int]], charges: Decimal) -> list[Decimal]:
    """What each line (price, pieces) cost with its share of the charges: by pieces if all are free."""
    prices = [price for price, _ in lines]
    weights = prices if any(prices) else [quantity for _, quantity in lines]
    return [price + share for price, share in zip(prices, share_out(charges, weights), strict=True)]


def _check_charges(charges: Decimal) -> None:
    if not charges.is_finite() or charges < 0 or charges != round(charges, 2):
        raise ActError(
            f"Charges are an amount of money with two decimals and not below 0, not {charges}.",
            code="bad-charges",
        )


def _check_order(order: PurchaseOrder, delivery_note: str) -> str:
    note = delivery_note.strip()
    if not note:
        raise ActError("Give the number of the delivery note.", code="delivery-note-needed")
    if order.sent_at is None:
        raise Conflict(f"{order} has not been sent to {order.supplier}: send it first.")
    if earlier := order.receipts.filter(delivery_note=note).first():
        raise ActError(
            f"The {earlier} was booked already, on {timezone.localtime(earlier.at):%-d %b %Y %H:%M}.",
            code="delivery-note-booked",
            receipt=earlier.pk,
        )
    return note


def _lines(order: PurchaseOrder, quantities: Mapping[int, int]) -> list[PurchaseLine]:
    """The lines that were delivered, or an error that names every line that cannot be."""
    if not quantities or min(quantities.values()) < 1:
        raise ActError("Name what came: at least one line, at least one piece each.", code="nothing-received")
    lines = list(
        order.lines.filter(pk__in=list(quantities)).select_related("part__maker", "part__home").order_by("pk")
    )
    if strange := sorted(set(quantities) - {line.pk for line in lines}):
        raise ActError(f"{order} has no line {strange}.", code="no-such-line", lines=strange)
    over = [line for line in lines if line.received + quantities[line.pk] > line.quantity]
    if over:
        said = "; ".join(
            f"{quantities[line.pk]} x {line.part} came, but of {line.quantity} ordered "
            f"{line.received} came before and {line.quantity - line.received} can come still"
            for line in over
        )
        raise ActError(
            f"More came than {order} asks for: {said}. Book what was ordered and send the rest back, "
            "or order it first.",
            code="over-delivered",
            lines=[line.pk for line in over],
        )
    return lines


def _bring_in(line: PurchaseLine, code: str, quantity: int, receipt: Receipt, cost: Decimal) -> None:
    """Supplier to dock, and on to the part's home if it has one; else it stays on the dock."""
    part = line.part
    arrived_at = dock()
    of_both: dict[str, Any] = {
        "part": part,
        "lot": Lot.objects.get_or_create(part=part, code=code)[0] if code else None,
        "quantity": quantity,
        "by": receipt.by,
        "at": receipt.at,
        "reference": receipt.delivery_note,
    }
    move(
        act=Movement.Act.RECEIVE,
        origin=outside(Place.Kind.SUPPLIER),
        destination=arrived_at,
        purchase_line=line,
        cost=cost,
        **of_both,
    )
    if part.home is not None and part.home != arrived_at:
        move(act=Movement.Act.PUT_AWAY, origin=arrived_at, destination=part.home, **of_both)


def dock() -> Place:
    """The dock at which goods come in: the first by code."""
    place = Place.objects.filter(kind=Place.Kind.DOCK).order_by("code").first()
    if place is None:
        raise ActError("There is no goods-in dock: add a place of that kind.", code="no-dock")
    return place
