"""The records of the database at the end, held against the model's: each of its kind, row by row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from django.db.models import F, Sum

from inventory.models import (
    Correction,
    Difference,
    LateCharge,
    Movement,
    PurchaseLine,
    PurchaseOrder,
    ReceiptLine,
    Reservation,
    WalkStop,
)

from .costs import steps
from .model import Shop

Rows = Mapping[Any, Any]


def compared(shop: Shop) -> Iterator[str]:
    """One sentence for every record in which the two differ."""
    for what, model, database in (
        ("reservation", _reservations(shop), _rows(Reservation, "kind", "state", "until")),
        ("stop", *_stops(shop)),
        ("purchase line", *_lines(shop)),
        ("received on line", *_received(shop)),
        ("difference", *_differences(shop)),
        ("late charge", shop.charges, _charges()),
        ("correction", _corrections(shop), _rows(Correction, "part_id", "place_id", "change", "state")),
    ):
        yield from _differ(what, model, database)
    for act in ("receive", "pick", "put back", "ship", "return", "scrap"):
        yield from _differ(act, dict(shop.moved.get(act, {})), _moved(act))


def _rows(model: Any, *fields: Any) -> Rows:
    return {pk: tuple(figures) for pk, *figures in model.objects.values_list("pk", *fields)}


def _reservations(shop: Shop) -> Rows:
    return {pk: (kept.kind, kept.state, kept.until) for pk, kept in shop.reservations.items()}


def _stops(shop: Shop) -> tuple[Rows, Rows]:
    """Where something is to take, or was taken and has not left."""
    live = WalkStop.objects.filter(reservation__state=Reservation.State.KEPT, quantity__gt=F("let_go"))
    rows = live.values_list("pk", F("quantity") - F("let_go"), "picked")
    mine = {pk: (stop.quantity, stop.picked) for pk, stop in shop.stops.items()}
    return mine, {pk: (quantity, picked) for pk, quantity, picked in rows}


def _lines(shop: Shop) -> tuple[Rows, Rows]:
    """An order has one line, and is closed once nothing of it is owed any more."""
    mine = {
        pk: (line.quantity, line.received, line.ordered, line.due, line.received == line.quantity)
        for pk, line in shop.lines.items()
    }
    closed = PurchaseOrder.State.CLOSED
    rows = PurchaseLine.objects.values_list("pk", "quantity", "received", "ordered", "due", "order__state")
    return mine, {pk: (*pieces, due.isoformat(), state == closed) for pk, *pieces, due, state in rows}


def _received(shop: Shop) -> tuple[Rows, Rows]:
    """What the delivery notes say together."""
    rows = ReceiptLine.objects.order_by().values_list("purchase_line").annotate(Sum("quantity"))
    return {pk: line.received for pk, line in shop.lines.items() if line.received}, dict(rows)


def _differences(shop: Shop) -> tuple[Rows, Rows]:
    mine = {pk: (one.line, one.kind, one.quantity, one.settled) for pk, one in shop.noted.items()}
    rows = Difference.objects.values_list("pk", "line_id", "kind", "quantity", "settled_at")
    return mine, {pk: (*said, settled_at is not None) for pk, *said, settled_at in rows}


def _charges() -> Rows:
    rows = LateCharge.objects.values_list("pk", "absorbed", "spent")
    return {pk: (steps(absorbed), steps(spent)) for pk, absorbed, spent in rows}


def _corrections(shop: Shop) -> Rows:
    return {pk: (one.part, one.place, one.change, one.state) for pk, one in shop.asked.items()}


def _moved(act: str) -> Rows:
    rows = Movement.objects.filter(act=act).order_by().values_list("part_id")
    return Counter(dict(rows.annotate(Sum("quantity"))))


def _differ(what: str, model: Rows, database: Rows) -> Iterator[str]:
    for key in sorted(model.keys() | database.keys()):
        if model.get(key) != database.get(key):
            yield f"{what} {key}: model {model.get(key)}, database {database.get(key)}"
