"""Rows of orders to suppliers, for the tests that break a constraint with them."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import Group
from django.utils import timezone

from inventory.models import (
    BuyingLimit,
    Difference,
    PriceBreak,
    PurchaseLine,
    PurchaseOrder,
    Supplier,
    SupplierMail,
)
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, the_founder


def a_difference(**values: Any) -> None:
    given = {"kind": "short", "quantity": 1, "note": "test", "at": timezone.now(), "by": the_founder()}
    Difference.objects.create(**{"line": inbound(a_part(), 1)} | given | values)


def a_letter(line: PurchaseLine | None = None, **values: Any) -> None:
    line = line or inbound(a_part(), 1)
    number = SupplierMail.objects.count()
    SupplierMail.objects.create(
        **{"order": line.order, "to": "desk@corran.example", "message_id": f"<{number}@shop.example>"}
        | values
    )


def two_letters_for_one_order() -> None:
    line = inbound(a_part(), 1)
    a_letter(line)
    a_letter(line)


def a_break(**values: Any) -> None:
    PriceBreak.objects.create(**{"offer": an_offer(a_part()), "at_least": 5, "price": Decimal(1)} | values)


def two_breaks_at_once() -> None:
    offer = an_offer(a_part())
    a_break(offer=offer)
    a_break(offer=offer)


def terms(**values: Any) -> None:
    Supplier.objects.filter(pk=a_supplier().pk).update(**values)


def an_order(**values: Any) -> None:
    PurchaseOrder.objects.create(**{"supplier": a_supplier(), "made_by": the_founder()} | values)


BUYING_BREAKS: dict[str, Callable[[], object]] = {
    "purchase_order_is_approved_by_somebody": lambda: an_order(approved_at=timezone.now()),
    "purchase_carriage_not_negative": lambda: an_order(carriage=Decimal(-1)),
    "difference_is_one": lambda: a_difference(quantity=0),
    "difference_is_settled_by_somebody_somehow": lambda: a_difference(settled_at=timezone.now()),
    "one_letter_per_purchase_order": two_letters_for_one_order,
    "a_letter_tried_has_a_time": lambda: a_letter(state=SupplierMail.State.SENDING),
    "supplier_terms_not_negative": lambda: terms(carriage=Decimal(-1)),
    "supplier_is_ordered_from_on_days": lambda: terms(review_days=0),
    "one_price_per_quantity": two_breaks_at_once,
    "price_break_is_one": lambda: a_break(at_least=1),
    "buying_limit_not_negative": lambda: BuyingLimit.objects.create(
        group=Group.objects.create(name="others"), most=Decimal(-1)
    ),
}
