"""The admin of buying: terms are kept there, what was ordered is only read."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.differences import report
from inventory.models import BuyingLimit, Offer, PriceBreak, PurchaseOrder, Supplier, SupplierMail
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, inbound

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(User.objects.create_superuser("owner"))
    return client


@pytest.fixture
def keeper(client: Client, clerk: Clerk) -> Client:
    user = clerk("catalogue")
    user.is_staff = True
    user.save()
    client.force_login(user)
    return client


@pytest.mark.parametrize("name", ["purchaseorder", "difference", "reminder", "suppliermail"])
def test_what_was_ordered_is_only_read(name: str, owner: Client, clerk: Clerk) -> None:
    line = inbound(a_part(), 5)
    letter = SupplierMail.objects.create(order=line.order, to="a@corran.example", message_id="<1>")
    reminder = line.reminders.create(at=timezone.now(), by=line.order.made_by, note="where?")
    things = {
        "purchaseorder": line.order,
        "difference": report(clerk("buying"), line, 1, "another bore"),
        "reminder": reminder,
        "suppliermail": letter,
    }
    assert owner.get(reverse(f"admin:inventory_{name}_changelist")).status_code == 200
    assert owner.get(reverse(f"admin:inventory_{name}_add")).status_code == 403
    change = reverse(f"admin:inventory_{name}_change", args=[things[name].pk])
    assert owner.get(change).status_code == 200
    assert owner.post(change, {"state": "draft"}).status_code == 403
    assert PurchaseOrder.objects.get().state == "sent"


def test_the_catalogue_desk_keeps_terms_and_price_breaks(keeper: Client) -> None:
    offer = an_offer(a_part())
    page = reverse("admin:inventory_offer_change", args=[offer.pk])
    assert keeper.get(page).status_code == 200
    typed = {
        "supplier": offer.supplier_id,
        "part": offer.part_id,
        "their_number": "CS 7",
        "price": "8.00",
        "pack": 1,
        "least": 1,
        "lead_days": "",
        "breaks-TOTAL_FORMS": 1,
        "breaks-INITIAL_FORMS": 0,
        "breaks-0-at_least": 10,
        "breaks-0-price": "7.10",
    }
    assert keeper.post(page, typed).status_code == 302
    assert Offer.objects.get().their_number == "CS 7"
    assert PriceBreak.objects.get(offer=offer, at_least=10).price == Decimal("7.10")
    supplier = reverse("admin:inventory_supplier_change", args=[offer.supplier_id])
    terms = {"code": "corran", "name": "Corran Supply", "email": "", "lead_days": 4, "least_value": "50",
             "carriage": "9.50", "free_carriage_from": "", "review_days": 7}  # fmt: skip
    assert keeper.post(supplier, terms).status_code == 302
    assert Supplier.objects.get().carriage == Decimal("9.50")


def test_limits_are_for_the_owner(keeper: Client) -> None:
    limit = BuyingLimit.objects.get()
    page = reverse("admin:inventory_buyinglimit_change", args=[limit.pk])
    assert keeper.get(page).status_code == 403


def test_the_owner_sets_a_limit(owner: Client) -> None:
    limit = BuyingLimit.objects.get()
    page = reverse("admin:inventory_buyinglimit_change", args=[limit.pk])
    assert owner.post(page, {"group": limit.group_id, "most": "750.00"}).status_code == 302
    assert BuyingLimit.objects.get().most == Decimal(750)
