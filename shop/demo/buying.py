"""Suppliers, their offers, targets, what was sold by month, and orders to suppliers."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from inventory.models import (
    MonthlyDemand,
    Offer,
    Part,
    PriceBreak,
    PurchaseLine,
    PurchaseOrder,
    Supplier,
    Target,
    TargetRun,
)

from .known import Known
from .reading import Entry, read_csv, read_yaml

MONTHS = 24
_TERMS = ("least_value", "carriage", "free_carriage_from", "review_days")
_OFFER_COLUMNS = ["supplier", "part", "their_number", "price", "pack", "least", "lead_days"]
_ORDER_COLUMNS = ["order", "supplier", "sent_days_ago", "part", "quantity", "due_in_days"]


def load_suppliers(known: Known) -> None:
    """Everything of suppliers.yaml and offers.csv."""
    for entry in read_yaml("suppliers.yaml").entries("suppliers"):
        entry.only("code", "name", "email", "lead_days", *_TERMS)
        known.suppliers[entry.text("code")] = Supplier.objects.create(
            code=entry.text("code"),
            name=entry.text("name"),
            email=entry.text("email", ""),
            lead_days=entry.whole("lead_days"),
            **_terms(entry),
        )
    Offer.objects.bulk_create(
        Offer(
            supplier=known.supplier(row, "supplier"),
            part=known.part(row, "part"),
            their_number=row.text("their_number", ""),
            price=row.money("price"),
            pack=row.whole("pack"),
            least=row.whole("least"),
            lead_days=row.whole("lead_days") if row.has("lead_days") else None,
        )
        for row in read_csv("offers.csv", _OFFER_COLUMNS)
    )
    _load_price_breaks(known)


def _terms(entry: Entry) -> dict[str, Any]:
    """What a supplier takes at least and charges to deliver, and how often one orders from them."""
    money = {name: entry.money(name) for name in _TERMS[:3] if entry.has(name)}
    return {**money, **({"review_days": entry.whole("review_days")} if entry.has("review_days") else {})}


def _load_price_breaks(known: Known) -> None:
    """Everything of price_breaks.csv: lower prices for more at once."""
    offers = {(offer.supplier_id, offer.part_id): offer for offer in Offer.objects.all()}
    breaks = []
    for row in read_csv("price_breaks.csv", ["supplier", "part", "at_least", "price"]):
        supplier, part = known.supplier(row, "supplier"), known.part(row, "part")
        offer = offers.get((supplier.pk, part.pk))
        if offer is None:
            raise row.wrong("part", f"{supplier} does not offer {part}; add it to offers.csv")
        breaks.append(PriceBreak(offer=offer, at_least=row.whole("at_least"), price=row.money("price")))
    PriceBreak.objects.bulk_create(breaks)


def load_targets(known: Known, now: datetime.datetime) -> None:
    """Everything of targets.csv; what is not kept by hand counts as reckoned a week ago, for the next run."""
    rows = read_csv("targets.csv", ["part", "by_hand", "reorder_at", "up_to", "why"])
    then = now - datetime.timedelta(days=7)
    run = TargetRun.objects.create(
        started_at=then,
        ended_at=then,
        stage=TargetRun.Stage.DONE,
        wanted=Decimal("0.95"),
        parts=len(rows),
        parts_done=len(rows),
        note="What the shop had when it began with this demo.",
    )
    Target.objects.bulk_create(_target(known, row, run) for row in rows)


def _target(known: Known, row: Entry, run: TargetRun) -> Target:
    by_hand = row.has("by_hand")
    return Target(
        part=known.part(row, "part"),
        reorder_at=row.whole("reorder_at"),
        up_to=row.whole("up_to"),
        why=row.text("why"),
        set_by=Target.SetBy.HAND if by_hand else Target.SetBy.PART,
        run=None if by_hand else run,
    )


def load_sales(known: Known, today: datetime.date) -> None:
    """Everything of sales.csv, sold loose: column 1 is last month, column 24 two years back."""
    columns = [str(back) for back in range(MONTHS, 0, -1)]
    months = {column: month_back(today, int(column)) for column in columns}
    MonthlyDemand.objects.bulk_create(
        MonthlyDemand(part=known.part(row, "part"), month=months[column], quantity=row.whole(column))
        for row in read_csv("sales.csv", ["part", *columns])
        for column in columns
    )


def month_back(today: datetime.date, back: int) -> datetime.date:
    """The first day of the month so many months before today's."""
    months = today.year * 12 + today.month - 1 - back
    return datetime.date(months // 12, months % 12 + 1, 1)


def load_purchase_orders(known: Known, by: User, now: datetime.datetime) -> None:
    """Everything of purchase_orders.csv; an order without `sent_days_ago` is a draft."""
    prices = {(o.supplier_id, o.part_id): o.price for o in Offer.objects.all()}
    orders: dict[str, PurchaseOrder] = {}
    for row in read_csv("purchase_orders.csv", _ORDER_COLUMNS):
        name, supplier, part = row.text("order"), known.supplier(row, "supplier"), known.part(row, "part")
        if name not in orders:
            orders[name] = _order(row, supplier, by, now)
        elif orders[name].supplier_id != supplier.pk:
            raise row.wrong("supplier", f"order {name!r} goes to {orders[name].supplier}; name another order")
        quantity, due = row.whole("quantity"), now.date() + datetime.timedelta(days=row.whole("due_in_days"))
        sent = row.has("sent_days_ago")
        PurchaseLine.objects.create(
            order=orders[name],
            part=part,
            quantity=quantity,
            ordered=quantity if sent else None,
            price=_price(row, prices, supplier, part),
            due=due,
            first_due=due if sent else None,
        )


def _order(row: Entry, supplier: Supplier, by: User, now: datetime.datetime) -> PurchaseOrder:
    sent = now - datetime.timedelta(days=row.whole("sent_days_ago")) if row.has("sent_days_ago") else None
    state = PurchaseOrder.State.SENT if sent else PurchaseOrder.State.DRAFT
    return PurchaseOrder.objects.create(
        supplier=supplier,
        state=state,
        sent_at=sent,
        made_by=by,
        approved_at=sent,
        approved_by=by if sent else None,
    )


def _price(row: Entry, prices: dict[tuple[int, int], Decimal], supplier: Supplier, part: Part) -> Decimal:
    price = prices.get((supplier.pk, part.pk))
    if price is None:
        raise row.wrong("part", f"{supplier} does not offer {part}; add it to offers.csv")
    return price
