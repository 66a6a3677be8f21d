"""How late suppliers' deliveries really were, and the day on which one that is still to come is counted on.

Plain reads. A delivery is late against the day that was agreed when it was ordered (`first_due`, or `due`
where that is not known): a supplier who puts a delivery off is late by that, though it was said.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from itertools import chain
from types import MappingProxyType

from django.conf import settings
from django.db import connection
from django.db.models import QuerySet
from django.db.models.functions import Coalesce
from django.utils import timezone

from .models import PurchaseLine, PurchaseOrder, ReceiptLine
from .planning import Arrival, safety_days

# So many deliveries back a supplier is remembered; what was before says little of today.
REMEMBERED = 50
NOBODY: Mapping[int, int] = MappingProxyType({})


def days_late(supplier_ids: Iterable[int]) -> dict[int, list[int]]:
    """By supplier, for each of the last receipt lines, the days after it was due; below zero if before.

    Of each supplier only so many are read, however long the past is: all in one query on PostgreSQL, one for
    each on SQLite, which cannot put them together and has no way to go.
    """
    lines = _lines()
    each = [
        lines.filter(purchase_line__order__supplier=one)[:REMEMBERED] for one in sorted(set(supplier_ids))
    ]
    if len(each) > 1 and connection.features.supports_slicing_ordering_in_compound:
        each = [each[0].union(*each[1:], all=True)]
    late: dict[int, list[int]] = defaultdict(list)
    for supplier, came_at, due in chain.from_iterable(each):
        late[supplier].append((timezone.localdate(came_at) - due).days)
    return dict(late)


def _lines() -> QuerySet[ReceiptLine, tuple[int, datetime, date]]:
    """Supplier, when it came, when it should have come; the last first."""
    lines = ReceiptLine.objects.annotate(agreed=Coalesce("purchase_line__first_due", "purchase_line__due"))
    return lines.order_by("-pk").values_list("purchase_line__order__supplier", "receipt__at", "agreed")


def safety(supplier_ids: Iterable[int], known: Mapping[int, int] = NOBODY) -> dict[int, int]:
    """By supplier the days within which SHOP_ON_TIME_SHARE of the deliveries came; no past, no safety.

    Of whom it is `known` already is not read again.
    """
    suppliers = set(supplier_ids)
    late = days_late(suppliers - known.keys())
    return {
        supplier: known[supplier]
        if supplier in known
        else safety_days(late.get(supplier, []), settings.SHOP_ON_TIME_SHARE)
        for supplier in suppliers
    }


def arrival(line: PurchaseLine, safety: int, quantity: int) -> Arrival:
    """So many pieces of a purchase line as planning sees them."""
    return arrival_of(line.pk, line.due, line.first_due, safety, quantity)


def arrival_of(line_id: int, due: date, first_due: date | None, safety: int, quantity: int) -> Arrival:
    """The same of a line in plain figures.

    What the supplier has put off already is not counted on top: the safety covers from `first_due`.
    """
    told = max(0, (due - first_due).days) if first_due else 0
    return Arrival(due, quantity, max(0, safety - told), str(line_id))


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
