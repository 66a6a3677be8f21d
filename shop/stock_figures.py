"""Stock figures of a page of parts, in as few questions to the database as one part would take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import F, Min, Sum

from inventory.models import Balance, Part, PurchaseLine, PurchaseOrder, Stock
from inventory.promising import free


@dataclass(frozen=True)
class StockOfPart:
    """One part's figures at a moment; `held` leaves out holds that have lapsed by then.

    `value` is what all that is on hand cost, landed.
    """

    part: Part
    on_hand: int
    held: int
    committed: int
    free: int
    to_come: int
    next_due: date | None
    value: Decimal

    @property
    def average_cost(self) -> Decimal | None:
        """Of one piece on hand; None where there is none."""
        return self.value / self.on_hand if self.on_hand else None


def stock_of(parts: Sequence[Part], now: datetime) -> list[StockOfPart]:
    """The figures of these parts, in their order; zeros for a part that never was in stock."""
    ids = [part.pk for part in parts]
    rows = Stock.objects.in_bulk(ids)
    free_now = free(ids, now)
    coming = _coming(ids)
    return [
        _figures(part, rows.get(part.pk, Stock(part=part)), free_now.get(part.pk, 0), coming.get(part.pk))
        for part in parts
    ]


def _figures(part: Part, row: Stock, free_now: int, coming: dict[str, Any] | None) -> StockOfPart:
    return StockOfPart(
        part=part,
        on_hand=row.on_hand,
        held=row.on_hand - row.committed - free_now,
        committed=row.committed,
        free=free_now,
        to_come=coming["quantity"] if coming else 0,
        next_due=coming["due"] if coming else None,
        value=row.value,
    )


def _coming(ids: Sequence[int]) -> dict[int, dict[str, Any]]:
    lines = PurchaseLine.objects.filter(
        part__in=ids, order__state=PurchaseOrder.State.SENT, quantity__gt=F("received")
    )
    sums = lines.order_by().values("part").annotate(coming=Sum(F("quantity") - F("received")), due=Min("due"))
    return {row["part"]: {"quantity": row["coming"], "due": row["due"]} for row in sums}


def lying(part: Part) -> list[Balance]:
    """What lies where, by place and lot."""
    balances = Balance.objects.filter(part=part, quantity__gt=0).select_related("place", "lot")
    return list(balances.order_by("place__code", "lot__code", "pk"))
