"""How late suppliers' deliveries really were, and the day on which one that is still to come is counted on.

Plain reads. A delivery is late against the day that was agreed when it was ordered (`first_due`, or `due`
where that is not known): a supplier who puts a delivery off is late by that, though it was said.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from django.conf import settings
from django.db.models import F, Window
from django.db.models.functions import Coalesce, RowNumber
from django.utils import timezone

from .models import PurchaseLine, PurchaseOrder, ReceiptLine
from .planning import Arrival, safety_days

# So many deliveries back a supplier is remembered; what was before says little of today.
REMEMBERED = 50


def days_late(supplier_ids: Iterable[int]) -> dict[int, list[int]]:
    """By supplier, for each of the last receipt lines, the days after it was due; below zero if before."""
    suppliers = set(supplier_ids)
    if not suppliers:
        return {}
    newest_first = Window(RowNumber(), partition_by="purchase_line__order__supplier", order_by=F("pk").desc())
    rows = (
        ReceiptLine.objects.filter(purchase_line__order__supplier__in=suppliers)
        .annotate(turn=newest_first)
        .filter(turn__lte=REMEMBERED)
        .values_list(
            "purchase_line__order__supplier",
            "receipt__at",
            Coalesce("purchase_line__first_due", "purchase_line__due"),
        )
    )
    late: dict[int, list[int]] = defaultdict(list)
    for supplier, came_at, due in rows:
        late[supplier].append((timezone.localdate(came_at) - due).days)
    return dict(late)


def safety(supplier_ids: Iterable[int]) -> dict[int, int]:
    """By supplier the days within which SHOP_ON_TIME_SHARE of the deliveries came; no past, no safety."""
    suppliers = set(supplier_ids)
    late = days_late(suppliers)
    return {
        supplier: safety_days(late.get(supplier, []), settings.SHOP_ON_TIME_SHARE) for supplier in suppliers
    }


def arrival(line: PurchaseLine, safety: int, quantity: int) -> Arrival:
    """So many pieces of a purchase line as planning sees them.

    What the supplier has put off already is not counted on top: the safety covers from `first_due`.
    """
    told = max(0, (line.due - line.first_due).days) if line.first_due else 0
    return Arrival(line.due, quantity, max(0, safety - told), str(line.pk))


def expected_on(line: PurchaseLine, safety: int, today: date) -> date:
    """The day to count on; one that is over even with its safety is not expected before tomorrow."""
    return arrival(line, safety, 0).expected(today)


def expected_days(lines: Sequence[PurchaseLine], today: date) -> dict[int, date]:
    """By the id of a line the day on which what it still brings is counted on; two queries for all."""
    supplier_of = suppliers_of(lines)
    days = safety(supplier_of.values())
    return {line.pk: expected_on(line, days[supplier_of[line.order_id]], today) for line in lines}


def suppliers_of(lines: Iterable[PurchaseLine]) -> Mapping[int, int]:
    """By purchase order the supplier of these lines, read only where it is not at hand."""
    known: dict[int, int] = {}
    unknown = set()
    for line in lines:
        if PurchaseLine.order.is_cached(line):
            known[line.order_id] = line.order.supplier_id
        else:
            unknown.add(line.order_id)
    if unknown:
        known.update(PurchaseOrder.objects.filter(pk__in=unknown).values_list("pk", "supplier"))
    return known
