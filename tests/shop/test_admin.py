"""The admin: customers can be put right; quotes and orders are only read."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory import targeting
from inventory.models import Demand, MonthlyDemand
from shop import ordering
from shop.models import Customer, Order, Quote
from tests.shop.small import SmallShop


@pytest.fixture
def owner(client: Client, db: None) -> Client:
    client.force_login(User.objects.create_superuser("owner"))
    return client


@pytest.mark.parametrize("name", ["quote", "quotekit", "order", "orderkit"])
def test_what_was_sold_is_only_read(name: str, owner: Client, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    thing = {
        "quote": order.quote,
        "quotekit": order.quote.kits.get(),
        "order": order,
        "orderkit": order.kits.get(),
    }[name]
    assert owner.get(reverse(f"admin:shop_{name}_changelist")).status_code == 200
    assert owner.get(reverse(f"admin:shop_{name}_add")).status_code == 403
    change = reverse(f"admin:shop_{name}_change", args=[thing.pk])
    assert owner.get(change).status_code == 200
    assert owner.post(change, {"state": "withdrawn", "quantity": 9}).status_code == 403
    assert (
        owner.post(reverse(f"admin:shop_{name}_delete", args=[thing.pk]), {"post": "yes"}).status_code == 403
    )
    assert (Quote.objects.get().state, Order.objects.get().state) == (Quote.State.ACCEPTED, Order.State.READY)


def test_a_customer_can_be_put_right_but_not_deleted(owner: Client) -> None:
    customer = Customer.objects.create(name="Ines Haloran")
    change = reverse("admin:shop_customer_change", args=[customer.pk])
    owner.post(change, {"name": "Ines Halloran", "email": "", "phone": "", "address": ""})
    customer.refresh_from_db()
    assert customer.name == "Ines Halloran"
    assert owner.post(reverse("admin:shop_customer_delete", args=[customer.pk])).status_code == 403


def test_targets_and_their_runs_are_only_read(owner: Client, small_shop: SmallShop) -> None:
    run = targeting.go_on(targeting.begin(None, wanted=Decimal("0.9")))
    target = run.targets.select_related("part").first()
    assert target is not None
    for name, thing in (("targetrun", run), ("target", target)):
        assert owner.get(reverse(f"admin:inventory_{name}_changelist")).status_code == 200
        assert owner.get(reverse(f"admin:inventory_{name}_add")).status_code == 403
        change = reverse(f"admin:inventory_{name}_change", args=[thing.pk])
        assert owner.get(change).status_code == 200
        assert owner.post(change, {"reorder_at": 5, "stage": "failed"}).status_code == 403
    assert target.part.number in owner.get(reverse("admin:inventory_target_changelist")).content.decode()


@pytest.mark.parametrize("name", ["demand", "monthlydemand"])
def test_demand_is_only_read(name: str, owner: Client, small_shop: SmallShop) -> None:
    today = timezone.localdate()
    rows: dict[str, Callable[[], Demand | MonthlyDemand]] = {
        "demand": lambda: Demand.objects.create(part=small_shop.bolt, day=today, quantity=4, kind="loose"),
        "monthlydemand": lambda: MonthlyDemand.objects.create(
            part=small_shop.bolt, month=today.replace(day=1), quantity=4
        ),
    }
    row = rows[name]()
    assert owner.get(reverse(f"admin:inventory_{name}_changelist")).status_code == 200
    assert owner.get(reverse(f"admin:inventory_{name}_add")).status_code == 403
    assert owner.post(reverse(f"admin:inventory_{name}_change", args=[row.pk]), {}).status_code == 403
