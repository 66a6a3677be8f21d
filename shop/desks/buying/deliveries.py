"""What came of an order to a supplier, delivery by delivery, and the bills that came after it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from inventory.models import LateCharge, PurchaseOrder, Receipt


@dataclass(frozen=True)
class Bill:
    """One charge that came late, its shares of all parts together."""

    shares: Sequence[LateCharge]

    @property
    def first(self) -> LateCharge:
        """Any share: when, by whom and what for are the same in all."""
        return self.shares[0]

    @property
    def here(self) -> Decimal:
        """What was put onto pieces that were still in the shop."""
        return sum((share.absorbed for share in self.shares), Decimal(0))

    @property
    def gone(self) -> Decimal:
        """What fell on pieces that had left, and is spent."""
        return sum((share.spent for share in self.shares), Decimal(0))


@dataclass(frozen=True)
class Delivery:
    receipt: Receipt
    bills: Sequence[Bill]


def deliveries_of(order: PurchaseOrder) -> list[Delivery]:
    """The latest first, each with its bills in the order in which they were booked."""
    shares: dict[int, dict[tuple[datetime, str], list[LateCharge]]] = defaultdict(lambda: defaultdict(list))
    for one in LateCharge.objects.filter(receipt__order=order).select_related("by").order_by("pk"):
        shares[one.receipt_id][one.at, one.reason].append(one)
    receipts = order.receipts.select_related("by").prefetch_related("lines__purchase_line__part")
    return [
        Delivery(receipt, [Bill(of_one) for of_one in shares[receipt.pk].values()]) for receipt in receipts
    ]
