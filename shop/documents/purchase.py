"""What an order to a supplier says, for its PDF and its CSV alike."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.conf import settings
from django.utils import timezone

from inventory.buying import sum_of
from inventory.models import PurchaseOrder


@dataclass(frozen=True)
class PurchaseRow:
    """One line: so many of a part by the supplier's number and ours, at a price each, due on a day."""

    position: int
    their_number: str
    number: str
    what: str
    quantity: int
    price: Decimal
    due: date

    @property
    def net(self) -> Decimal:
        return self.quantity * self.price


@dataclass(frozen=True)
class PurchasePaper:
    """`sent_on` is None for what has not gone out: then the paper says that it is no order yet."""

    number: str
    shop: str
    supplier: str
    deliver_to: tuple[str, ...]
    sent_on: date | None
    currency: str
    rows: tuple[PurchaseRow, ...]
    goods: Decimal
    carriage: Decimal

    @property
    def total(self) -> Decimal:
        return self.goods + self.carriage


def purchase_paper(order: PurchaseOrder) -> PurchasePaper:
    """As the order was sent: what the supplier delivers otherwise than ordered is on no order."""
    lines = list(order.lines.select_related("part__maker").order_by("pk"))
    offers = order.supplier.offers.filter(part__in=[line.part_id for line in lines])
    theirs = dict(offers.values_list("part_id", "their_number"))
    comes_to = sum_of(order, lines)
    rows = tuple(
        PurchaseRow(
            position=position,
            their_number=theirs.get(line.part_id, ""),
            number=line.part.number,
            what=f"{line.part.maker} {line.part.name}",
            quantity=line.quantity if line.ordered is None else line.ordered,
            price=line.price,
            due=line.first_due or line.due,
        )
        for position, line in enumerate(lines, 1)
    )
    return PurchasePaper(
        number=order.number,
        shop=settings.SHOP_NAME,
        supplier=order.supplier.name,
        deliver_to=tuple(line.strip() for line in settings.SHOP_DELIVERY_ADDRESS.split("|") if line.strip()),
        sent_on=timezone.localdate(order.sent_at) if order.sent_at else None,
        currency=settings.SHOP_CURRENCY,
        rows=rows,
        goods=comes_to.goods,
        carriage=comes_to.carriage,
    )
