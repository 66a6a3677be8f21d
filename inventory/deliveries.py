"""Goods in: a delivery is booked once, put away, and what waited for it is kept from stock."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import look_again
from .costing import NOTHING, share_out
from .differences import close_if_done, lock_for_less, note, take_off
from .keeping import lock_current
from .ledger import move, outside
from .lot_codes import lot_of, lot_quantities
from .models import (
    Difference,
    Lot,
    Movement,
    Part,
    Place,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    ReceiptLine,
    Stock,
)
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
    keep_over: bool = False,
    spoilt: Mapping[int, int] | None = None,
    not_owed: Collection[int] = (),
    remark: str = "",
) -> Receipt:
    """Book one delivery: `quantities` by purchase line id, `lots` the lot or serial codes by line id.

    A line's `lots` are one code for all its pieces, or one code for each piece. `charges` are freight,
    duty and the like of the whole delivery; the lines share them by what they cost. More than was ordered is
    refused, unless `keep_over`: then it comes in and is noted. `spoilt` pieces, by line id and beside
    `quantities`, never come into stock; they stay owed but on the lines `not_owed`. `remark` goes with what
    is noted. Raises ActError "over-delivered", "delivery-note-booked", "lot-needed", "wrong-lot",
    "no-such-line", "bad-charges" or "nothing-received", and Conflict unless the order is sent.
    """
    now = timezone.now()
    came = Delivery(order, dict(quantities), dict(spoilt or {}), frozenset(not_owed), charges, lots or {})
    came.check()
    stocks = _lock(came, now)
    order = came.order = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    note_number = _check_order(order, delivery_note)
    lines = _lines(came)
    over = {line: extra for line in lines if (extra := line.received + came.good(line) - line.quantity) > 0}
    if over and not keep_over:
        raise _over_delivered(came, over)
    codes = came.codes(lines)
    receipt = Receipt.objects.create(order=order, at=now, by=user, delivery_note=note_number, charges=charges)
    for line, extra in over.items():
        PurchaseLine.objects.filter(pk=line.pk).update(quantity=F("quantity") + extra)
        note(line, Difference.Kind.OVER, extra, remark or _on(receipt), user, now, receipt)
    if came.quantities:
        _book(receipt, [line for line in lines if came.good(line)], came, codes)
    for line in lines:
        if pieces := came.spoilt.get(line.pk, 0):
            _note_spoilt(line, pieces, came, receipt, remark, stocks)
    close_if_done(order)
    look_again([line.part_id for line in lines], now)
    return receipt


@dataclass
class Delivery:
    """What came, as it is said: pieces by purchase line id, fit for use and not."""

    order: PurchaseOrder
    quantities: Mapping[int, int]
    spoilt: Mapping[int, int]
    not_owed: frozenset[int]
    charges: Decimal
    lots: Mapping[int, Sequence[str]]

    @property
    def named(self) -> set[int]:
        return {*self.quantities, *self.spoilt}

    def good(self, line: PurchaseLine) -> int:
        return self.quantities.get(line.pk, 0)

    def check(self) -> None:
        _check_charges(self.charges)
        if not self.named or min([*self.quantities.values(), *self.spoilt.values()]) < 1:
            raise ActError(
                "Name what came: at least one line, at least one piece each.", code="nothing-received"
            )
        if self.charges and not self.quantities:
            raise ActError(
                "Nothing comes in that could bear the charges: leave them out.",
                code="bad-charges",
            )

    def codes(self, lines: Sequence[PurchaseLine]) -> dict[int, dict[str, int]]:
        """By line the lots of what comes in, and how many of each."""
        return {
            line.pk: lot_quantities(line.part, self.good(line), self.lots.get(line.pk, ()), line=line.pk)
            for line in lines
            if self.good(line)
        }


def _lock(came: Delivery, now: datetime) -> dict[int, Stock]:
    """Lock the parts that came; where a line will bring less, also those of whoever waits for it."""
    parts = dict(came.order.lines.filter(pk__in=came.named).values_list("pk", "part_id"))
    less = [part for line, part in parts.items() if line in came.not_owed and line in came.spoilt]
    return lock_for_less(less, now, also=parts.values())


def _book(
    receipt: Receipt, lines: Sequence[PurchaseLine], came: Delivery, codes: Mapping[int, dict[str, int]]
) -> None:
    """Bring what is fit for use in, at what it cost landed, and give it to those who waited for it."""
    costs = _landed([(line.price * came.good(line), came.good(line)) for line in lines], receipt.charges)
    for line, cost in zip(lines, costs, strict=True):
        counts = codes[line.pk]
        for code, part_of_it in zip(counts, share_out(cost, list(counts.values())), strict=True):
            _bring_in(line, code, counts[code], receipt, part_of_it)
        settle_receipt(line, came.good(line))
        PurchaseLine.objects.filter(pk=line.pk).update(received=F("received") + came.good(line))
        ReceiptLine.objects.create(receipt=receipt, purchase_line=line, quantity=came.good(line))


def _note_spoilt(
    line: PurchaseLine,
    pieces: int,
    came: Delivery,
    receipt: Receipt,
    remark: str,
    stocks: Mapping[int, Stock],
) -> None:
    """Spoilt pieces are a difference; if they are not owed any more, the line brings so many fewer."""
    note(line, Difference.Kind.SPOILT, pieces, remark or _on(receipt), receipt.by, receipt.at, receipt)
    if line.pk in came.not_owed:
        line.refresh_from_db(fields=["quantity", "received", "reserved"])
        if fewer := min(pieces, line.quantity - line.received):
            take_off(line, fewer, stocks, receipt.at)


def _on(receipt: Receipt) -> str:
    return f"on delivery note {receipt.delivery_note}"


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


def _lines(came: Delivery) -> list[PurchaseLine]:
    """The lines that were delivered, or an error that names those that there are not."""
    lines = list(
        came.order.lines.filter(pk__in=came.named)
        .select_related("part__maker", "part__home", "order")
        .order_by("pk")
    )
    if strange := sorted((came.named | came.not_owed) - {line.pk for line in lines}):
        raise ActError(f"{came.order} has no line {strange}.", code="no-such-line", lines=strange)
    return lines


def _over_delivered(came: Delivery, over: Mapping[PurchaseLine, int]) -> ActError:
    said = "; ".join(
        f"{came.good(line)} x {line.part} came, but of {line.quantity} ordered "
        f"{line.received} came before and {line.quantity - line.received} can come still"
        for line in over
    )
    return ActError(
        f"More came than {came.order} asks for: {said}. Book what was ordered and send the rest back, "
        "or say that it is kept.",
        code="over-delivered",
        lines=[line.pk for line in over],
    )


def _bring_in(line: PurchaseLine, code: str, quantity: int, receipt: Receipt, cost: Decimal) -> None:
    """Supplier to dock, and on to the part's home if it has one; else it stays on the dock."""
    part = line.part
    arrived_at = dock()
    of_both: dict[str, Any] = {
        "part": part,
        "lot": lot_of(part, code) if code else None,
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
