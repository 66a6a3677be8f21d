"""What the tests of the buying desk share: addresses, forms, and what a page has kept of them."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.models import BuyingLimit, PurchaseLine, PurchaseOrder, SupplierMail
from tests.clerks import Clerk
from tests.shop.desks.reading import read, said

DESK = "buying"


def desk(browser: Client, query: str = "") -> str:
    """All the words of the desk's page."""
    return said(browser.get(reverse("buying") + query))


def address(order: PurchaseOrder) -> str:
    return reverse("purchase", args=[order.pk])


def post(browser: Client, order: PurchaseOrder, do: str, **typed: Any) -> Any:
    """Press a button of the order's sheet, and go on to where it leads."""
    return browser.post(address(order), {"do": do, **typed}, follow=True)


def kept(answer: Any) -> dict[str, str]:
    """The fields of a page as they stand."""
    return {one.name: one.value for one in read(answer).fields}


def checked(answer: Any, field: str) -> bool:
    return f'id="{field}" value="1" checked' in answer.content.decode()


def in_days(days: int) -> str:
    return f"{timezone.localdate() + timedelta(days=days):%Y-%m-%d}"


def late(line: PurchaseLine, days: int = 4) -> None:
    """As if the order had been due so many days ago."""
    line.due = line.first_due = timezone.localdate() - timedelta(days=days)
    line.save()


def limited(most: str) -> None:
    """Up to which total the desk may approve."""
    BuyingLimit.objects.filter(group__name=DESK).update(most=Decimal(most))


def approver(clerk: Clerk, most: str = "9000") -> Client:
    """Somebody who approves, and does nothing else here."""
    group = Group.objects.create(name="owner")
    group.permissions.add(*Group.objects.get(name=DESK).permissions.filter(codename="approve_orders"))
    BuyingLimit.objects.create(group=group, most=Decimal(most))
    user = clerk("catalogue")
    user.groups.set([group])
    browser = Client()
    browser.force_login(user)
    return browser


def hanging(order: PurchaseOrder, state: str) -> SupplierMail:
    """A letter that was refused, or of which nobody knows."""
    return SupplierMail.objects.create(
        order=order,
        to="desk@pell.example",
        subject="Order",
        body="Dear Pell",
        message_id=f"<{state}@shop.example>",
        state=state,
        tried_at=timezone.now() - timedelta(hours=1),
        answer="550 no such box" if state == "failed" else "",
    )
