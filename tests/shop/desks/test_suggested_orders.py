"""What would mend it: suggested orders become drafts, and drafts are approved together."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.urls import reverse
from django.utils import timezone

from inventory import buying
from inventory.alerting import snooze
from inventory.buying import look_again
from inventory.models import (
    Alert,
    BuyingLimit,
    PurchaseLine,
    PurchaseOrder,
    Target,
)
from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.desks.buying_desk import (
    DESK,
    desk,
    kept,
)
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said
from tests.shop.small import SmallShop


@pytest.fixture
def alert(small_shop: SmallShop) -> Alert:
    """Ten bolts lie here, and twenty should."""
    Target.objects.create(part=small_shop.bolt, reorder_at=20, up_to=40, why="Every kit takes four.")
    (raised,) = look_again([small_shop.bolt.pk], timezone.now())
    return raised


def typed_for(shop: SmallShop, **typed: Any) -> dict[str, Any]:
    return {
        "do": "draft",
        "supplier": str(shop.supplier.pk),
        "line": [str(shop.bolt.pk)],
        f"quantity-{shop.bolt.pk}": "30",
        **typed,
    }


def test_a_suggestion_says_what_why_and_what_it_comes_to(at: At, alert: Alert, small_shop: SmallShop) -> None:
    small_shop.supplier.least_value, small_shop.supplier.carriage = Decimal(50), Decimal("7.50")
    small_shop.supplier.free_carriage_from = Decimal(80)
    small_shop.supplier.save()
    page = desk(at(DESK))
    assert "22.50" in page and "7.50" in page  # Thirty at 0.75.
    assert "27.50 EUR short of the 50.00" in page and "57.50 EUR more, and they bring it free" in page


def test_it_is_drafted_with_other_quantities_and_gone_from_the_list(
    at: At, alert: Alert, small_shop: SmallShop
) -> None:
    form = typed_for(small_shop, **{f"quantity-{small_shop.bolt.pk}": "60"})
    page = said(at(DESK).post(reverse("buying"), form, follow=True))
    line = PurchaseLine.objects.get()
    assert (line.part, line.quantity) == (small_shop.bolt, 60)
    assert f"Drafted: {line.order.number} to Pell Stores" in page
    assert "No order has to be written" in page and "1 to approve" in page
    assert f"{line.order.number} asks for it: have it approved, and send it by" in page


def test_less_than_is_wanted_leaves_the_rest_suggested(at: At, alert: Alert, small_shop: SmallShop) -> None:
    form = typed_for(small_shop, **{f"quantity-{small_shop.bolt.pk}": "10"})
    page = said(at(DESK).post(reverse("buying"), form, follow=True))
    assert "10 of them are in a draft" in page


def test_what_was_left_for_later_is_not_suggested(
    at: At, alert: Alert, small_shop: SmallShop, clerk: Clerk
) -> None:
    later = timezone.localdate() + timedelta(days=7)
    Target.objects.create(part=small_shop.pulley, reorder_at=5, up_to=9, why="One a kit.")
    look_again([small_shop.pulley.pk], timezone.now())
    snooze(clerk(DESK), alert, later, "a sale next week")
    page = desk(at(DESK))
    assert "How many OR-40" in page and "How many OR-8B" not in page


@pytest.mark.parametrize("quantity", ["", "none", "0", "-4", "1.5", "12345678"])
def test_what_is_no_quantity_is_refused_and_kept(
    at: At, alert: Alert, small_shop: SmallShop, quantity: str
) -> None:
    field = f"quantity-{small_shop.bolt.pk}"
    answer = at(DESK).post(reverse("buying"), typed_for(small_shop, **{field: quantity}))
    assert answer.status_code == 422 and kept(answer)[field] == quantity
    assert f'value="{small_shop.bolt.pk}" checked' in answer.content.decode()
    assert not PurchaseOrder.objects.exists()


def test_nothing_ticked_is_refused_and_stays_unticked(at: At, alert: Alert, small_shop: SmallShop) -> None:
    answer = at(DESK).post(reverse("buying"), typed_for(small_shop, line=[]))
    assert answer.status_code == 422 and "tick what is to be ordered" in said(answer)
    assert f'value="{small_shop.bolt.pk}" checked' not in answer.content.decode()


def test_the_floor_may_not_draft(at: At, alert: Alert, small_shop: SmallShop) -> None:
    assert at("floor").post(reverse("buying"), typed_for(small_shop)).status_code == 403
    assert not PurchaseOrder.objects.exists()


def two(stages: Stages) -> list[PurchaseOrder]:
    clerk, shop = stages.clerk(DESK), stages.shop
    return [
        buying.write_order(clerk, shop.supplier, {part.pk: quantity})
        for part, quantity in ((shop.pulley, 5), (shop.bolt, 40))
    ]


def test_the_ticked_are_approved_together(at: At, stages: Stages) -> None:
    drafts = two(stages)
    form = {"do": "approve", "order": [str(one.pk) for one in drafts]}
    page = said(at(DESK).post(reverse("buying"), form, follow=True))
    assert set(PurchaseOrder.objects.values_list("state", flat=True)) == {"approved"}
    assert "Approved, to be sent" in page and "2 to send" in page


def test_all_or_none_and_whose_approval_is_needed(at: At, stages: Stages) -> None:
    dear, cheap = two(stages)
    BuyingLimit.objects.filter(group__name="buying").update(most=Decimal(50))
    form = {"do": "approve", "order": [str(dear.pk), str(cheap.pk)]}
    answer = at(DESK).post(reverse("buying"), form)
    assert answer.status_code == 403 and "you may approve up to 50.00" in said(answer)
    assert answer.content.decode().count("checked") == 2
    assert set(PurchaseOrder.objects.values_list("state", flat=True)) == {"draft"}


def test_the_limit_is_said_before_the_button_is_pressed(at: At, stages: Stages) -> None:
    two(stages)
    BuyingLimit.objects.filter(group__name="buying").update(most=Decimal(50))
    group = Group.objects.create(name="owner")
    group.permissions.set(Group.objects.get(name="buying").permissions.all())
    BuyingLimit.objects.create(group=group, most=Decimal(9000))
    stages.clerk("catalogue").groups.add(group)
    page = desk(at(DESK))
    assert "Above your limit of 50.00. Ask clerk-catalogue to approve it." in page


def test_nothing_ticked_is_refused(at: At, stages: Stages) -> None:
    two(stages)
    assert at(DESK).post(reverse("buying"), {"do": "approve"}).status_code == 422


def test_an_order_is_written_by_hand(at: At, small_shop: SmallShop) -> None:
    form = {
        "do": "write",
        "write_supplier": small_shop.supplier.pk,
        "write_part": "or-40",
        "write_quantity": "3",
    }
    page = said(at(DESK).post(reverse("buying"), form, follow=True))
    line = PurchaseLine.objects.get()
    assert (line.part, line.quantity) == (small_shop.pulley, 3)
    assert f"Drafted: {line.order.number} to Pell Stores" in page and "Keep these changes" in page


@pytest.mark.parametrize(
    ("typed", "refusal"),
    [
        ({"write_part": "OR-7P"}, "does not offer"),
        ({"write_part": "ZZ"}, "is no part"),
        ({"write_part": ""}, "is missing"),
        ({"write_quantity": "few"}, "whole number"),
    ],
)
def test_what_cannot_be_written_is_kept(
    at: At, small_shop: SmallShop, typed: dict[str, str], refusal: str
) -> None:
    form = {"do": "write", "write_supplier": str(small_shop.supplier.pk), "write_part": "OR-40"}
    form |= {"write_quantity": "3", **typed}
    refused = at(DESK).post(reverse("buying"), form)
    assert refused.status_code == 422 and refusal in said(refused)
    assert all(kept(refused)[field] == form[field] for field in ("write_part", "write_quantity"))
    assert f'value="{small_shop.supplier.pk}" selected' in refused.content.decode()
    assert not PurchaseOrder.objects.exists()
