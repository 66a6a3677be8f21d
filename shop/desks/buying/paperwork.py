"""Where the orders to suppliers stand: what waits for approval or sending, what is late, what hangs."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Count, F, Min, Q, QuerySet

from inventory.buying import Sum, late_lines, limit_of, sum_of
from inventory.buying.approving import who_can
from inventory.models import Difference, PurchaseLine, PurchaseOrder, SupplierMail, scan_key
from inventory.post import PATIENCE

FOUND_SHOWN = 12
_NUMBER = re.compile(r"[Bb]0*([0-9]{1,9})")
NEXT_FIRST = F("next_due").asc(nulls_last=True)


@dataclass(frozen=True)
class Unsent:
    """An order that has not gone yet: what it comes to, and up to which total who looks at it may approve."""

    order: PurchaseOrder
    sum: Sum
    lines: int
    limit: Decimal | None

    @property
    def below_least(self) -> Decimal:
        """What lacks to the least that the supplier takes an order for."""
        return max(self.order.supplier.least_value - self.sum.goods, Decimal(0))

    @property
    def to_free_carriage(self) -> Decimal:
        """What lacks until they charge nothing to bring it; 0 where they never do, or do not charge."""
        free = self.order.supplier.free_carriage_from
        return (
            max(free - self.sum.goods, Decimal(0)) if free is not None and self.sum.carriage else Decimal(0)
        )

    @property
    def above_limit(self) -> bool:
        return self.limit is not None and self.sum.total > self.limit

    @property
    def in_order(self) -> bool:
        """Nothing has to be thought about before it is approved."""
        return bool(self.lines) and not (self.below_least or self.to_free_carriage or self.above_limit)

    @property
    def who_can(self) -> str:
        """A sentence that names who may approve it."""
        return who_can(self.sum.total)


def unsent(orders: Iterable[PurchaseOrder], user: User) -> list[Unsent]:
    """These orders, with their lines fetched, as the user stands to them."""
    limit = limit_of(user)
    return [Unsent(order, sum_of(order), len(order.lines.all()), limit) for order in orders]


def purchases() -> QuerySet[PurchaseOrder]:
    """Orders with how many lines are still to come and when the next one is due."""
    still_open = Q(lines__received__lt=F("lines__quantity"))
    return PurchaseOrder.objects.select_related("supplier", "made_by", "approved_by").annotate(
        lines_open=Count("lines", filter=still_open), next_due=Min("lines__due", filter=still_open)
    )


def find_orders(words: str) -> QuerySet[PurchaseOrder]:
    """The latest orders of that number, supplier or part; without words those that were closed."""
    found = purchases()
    number = _NUMBER.fullmatch(words)
    key = scan_key(words)
    if number:
        found = found.filter(pk=int(number[1]))
    elif words:
        named = Q(supplier__name__icontains=words)
        # A query of its own: joined, its lines would be counted among those that are open.
        with_part = PurchaseLine.objects.filter(part__key=key).values("order")
        found = found.filter(named | Q(pk__in=with_part))
    else:
        found = found.filter(state=PurchaseOrder.State.CLOSED)
    return found.order_by("-pk")[:FOUND_SHOWN]


def paperwork(user: User, now: datetime) -> dict[str, Any]:
    """The lists of the desk, each by what has to be done first."""
    orders, state = purchases(), PurchaseOrder.State
    waiting = orders.prefetch_related("lines").order_by(F("send_by").asc(nulls_last=True), "pk")
    return {
        "drafts": unsent(waiting.filter(state=state.DRAFT), user),
        "approved": unsent(waiting.filter(state=state.APPROVED), user),
        "late": late_lines(now),
        "sent": orders.filter(state=state.SENT).order_by(NEXT_FIRST, "pk"),
        "differences": open_differences(),
        "hanging": hanging_letters(now),
    }


def open_differences() -> QuerySet[Difference]:
    """What came otherwise than ordered and is not settled yet, the oldest first."""
    return differences().filter(settled_at__isnull=True).order_by("pk")


def differences() -> QuerySet[Difference]:
    return Difference.objects.select_related(
        "line__order__supplier", "line__part__maker", "receipt", "by", "settled_by"
    )


def hanging_letters(now: datetime) -> QuerySet[SupplierMail]:
    """Letters that were refused, and those of which nobody knows whether they left."""
    state = SupplierMail.State
    hang = Q(state=state.FAILED) | Q(state=state.SENDING, tried_at__lt=now - PATIENCE)
    return SupplierMail.objects.filter(hang).select_related("order__supplier").order_by("pk")
