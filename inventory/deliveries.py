"""Goods in: a delivery is booked once, put away, and what waited for it is kept from stock."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from .acting import ActError, Conflict, act
from .alerting import look_again
from .keeping import lock_current, settle_receipt
from .ledger import move, outside
from .models import Lot, Movement, Part, Place, PurchaseLine, PurchaseOrder, Receipt, ReceiptLine


@act("inventory.receive_goods")
def receive(
    user: User,
    order: PurchaseOrder,
    *,
    delivery_note: str,
    quantities: Mapping[int, int],
    lots: Mapping[int, Sequence[str]] | None = None,
) -> Receipt:
    """Book one delivery: `quantities` by purchase line id, `lots` the lot or serial codes by line id.

    A line's `lots` are one code for all its pieces, or one code for each piece. Raises ActError
    "over-delivered", "delivery-note-booked", "lot-needed", "wrong-lot", "no-such-line" or
    "nothing-received", and Conflict unless the order is sent.
    """
    now = timezone.now()
    lock_current(order.lines.filter(pk__in=list(quantities)).values_list("part_id", flat=True), now)
    order = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    note = _check_order(order, delivery_note)
    lines = _lines(order, quantities)
    codes = {
        line.pk: _lot_quantities(line, quantities[line.pk], (lots or {}).get(line.pk, ())) for line in lines
    }
    receipt = Receipt.objects.create(order=order, at=now, by=user, delivery_note=note)
    for line in lines:
        for code, quantity in codes[line.pk].items():
            _bring_in(line, code, quantity, receipt)
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
    user: User, part: Part, *, origin: Place, destination: Place, quantity: int, lot: Lot | None = None
) -> Movement:
    """Carry pieces from one place in the shop to another: off the dock, or from bin to bin."""
    if not (origin.is_inside and destination.is_inside) or origin == destination:
        raise ActError("Name two different places in the shop.", code="not-a-place-here")
    now = timezone.now()
    lock_current([part.pk], now)
    return _put_away(part, lot, quantity, origin, destination, by=user, at=now)


def _put_away(
    part: Part,
    lot: Lot | None,
    quantity: int,
    origin: Place,
    destination: Place,
    *,
    by: User,
    at: datetime,
    reference: str = "",
) -> Movement:
    return move(
        act=Movement.Act.PUT_AWAY,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=origin,
        destination=destination,
        by=by,
        at=at,
        reference=reference,
    )


def _check_order(order: PurchaseOrder, delivery_note: str) -> str:
    note = delivery_note.strip()
    if not note:
        raise ActError("Give the number of the delivery note.", code="delivery-note-needed")
    if order.state == PurchaseOrder.State.DRAFT:
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


def _lot_quantities(line: PurchaseLine, quantity: int, codes: Sequence[str]) -> dict[str, int]:
    """Lot or serial code: how many pieces; an empty code for a part that is not tracked."""
    part = line.part
    given = [code.strip() for code in codes if code.strip()]
    if part.tracking == Part.Tracking.NONE:
        if given:
            raise ActError(f"{part} is not tracked: leave out {', '.join(given)}.", code="wrong-lot")
        return {"": quantity}
    each = part.tracking == Part.Tracking.SERIAL
    if not given or (each and len(given) != quantity):
        what = f"{quantity} serial numbers, one for each piece" if each else "the lot"
        raise ActError(f"{part} is tracked: give {what}.", code="lot-needed", line=line.pk)
    if len(given) == 1:
        return {given[0]: quantity}
    counted = Counter(given)
    if len(given) != quantity or (each and len(counted) != quantity):
        raise ActError(
            f"{part}: give one lot for all {quantity} pieces or one code for each, and no serial twice.",
            code="wrong-lot",
            line=line.pk,
        )
    return dict(counted)


def _bring_in(line: PurchaseLine, code: str, quantity: int, receipt: Receipt) -> None:
    """Supplier to dock, and on to the part's home if it has one; else it stays on the dock."""
    part = line.part
    lot = Lot.objects.get_or_create(part=part, code=code)[0] if code else None
    arrived_at = dock()
    move(
        act=Movement.Act.RECEIVE,
        part=part,
        lot=lot,
        quantity=quantity,
        origin=outside(Place.Kind.SUPPLIER),
        destination=arrived_at,
        by=receipt.by,
        at=receipt.at,
        reference=receipt.delivery_note,
        purchase_line=line,
    )
    if part.home is not None and part.home != arrived_at:
        _put_away(
            part,
            lot,
            quantity,
            arrived_at,
            part.home,
            by=receipt.by,
            at=receipt.at,
            reference=receipt.delivery_note,
        )


def dock() -> Place:
    """The dock at which goods come in: the first by code."""
    place = Place.objects.filter(kind=Place.Kind.DOCK).order_by("code").first()
    if place is None:
        raise ActError("There is no goods-in dock: add a place of that kind.", code="no-dock")
    return place
