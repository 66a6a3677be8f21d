"""Orders to suppliers: in whole packs, not twice, and sent once."""

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.buying import alert_waiting, look_again, order_from_alerts, send, write_order
from inventory.models import Alert, Part, PurchaseLine, PurchaseOrder, Target
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer, put

pytestmark = pytest.mark.django_db


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def wanted(up_to: int = 10, *, supplier: str = "Corran Supply") -> Part:
    part = a_part()
    an_offer(part, a_supplier(supplier))
    Target.objects.create(part=part, reorder_at=1, up_to=up_to, why="test")
    return part


def alerts() -> list[Alert]:
    return look_again(None, timezone.now())


def test_there_is_one_draft_per_supplier(buyer: User) -> None:
    for supplier in ("Corran Supply", "Corran Supply", "Inver Bearings"):
        wanted(supplier=supplier)
    drafts = order_from_alerts(buyer, alerts())
    assert sorted((draft.supplier.name, draft.lines.count()) for draft in drafts) == [
        ("Corran Supply", 2),
        ("Inver Bearings", 1),
    ]


def test_asking_twice_does_not_order_twice(buyer: User) -> None:
    ring = wanted(10)
    (first,) = order_from_alerts(buyer, alerts())
    (second,) = order_from_alerts(buyer, alerts())
    assert first == second and PurchaseLine.objects.get().quantity == 10
    assert "(10 in a draft: send it)" in alerts()[0].reason
    Target.objects.filter(part=ring).update(up_to=12)
    order_from_alerts(buyer, alerts())
    assert PurchaseLine.objects.get().quantity == 12


def test_two_causes_for_one_part_are_one_line(buyer: User) -> None:
    ring = wanted(10)
    both = alerts() + alert_waiting({ring.pk: 3}, "S1 waits", timezone.now())
    (draft,) = order_from_alerts(buyer, both)
    assert draft.lines.get().quantity == 13


def test_an_alert_that_is_cleared_meanwhile_orders_nothing(buyer: User) -> None:
    ring = wanted()
    seen = alerts()
    put(ring, 5)
    assert alerts() == []
    with pytest.raises(Conflict, match="No longer needed"):
        order_from_alerts(buyer, seen)
    assert not PurchaseOrder.objects.exists()


def test_alerts_without_an_offer_are_named_and_none_is_no_order(buyer: User) -> None:
    Target.objects.create(part=a_part("TF-1"), reorder_at=1, up_to=2, why="test")
    for chosen, code in [(alerts(), "no-offer"), ([], "nothing-wanted")]:
        with pytest.raises(ActError) as refused:
            order_from_alerts(buyer, chosen)
        assert refused.value.code == code


def test_an_order_by_hand_has_the_offer_s_price_and_date(buyer: User) -> None:
    offer = an_offer(a_part(), pack=5, least=10, price="3.20")
    order = write_order(buyer, offer.supplier, {offer.part_id: 15})
    line = order.lines.get()
    assert (line.quantity, str(line.price)) == (15, "3.20")


@pytest.mark.parametrize(("quantity", "instead"), [(5, 10), (12, 15), (1, 10)])
def test_what_the_supplier_does_not_sell_so_is_refused_with_what_he_does(
    buyer: User, quantity: int, instead: int
) -> None:
    offer = an_offer(a_part(), pack=5, least=10)
    with pytest.raises(ActError, match=f"order {instead} instead of {quantity}") as refused:
        write_order(buyer, offer.supplier, {offer.part_id: quantity})
    assert refused.value.code == "not-whole-packs"


def test_a_part_he_does_not_offer_and_an_empty_order_are_refused(buyer: User) -> None:
    ring = a_part()
    for lines, code in [
        ({ring.pk: 1}, "not-offered"),
        ({}, "nothing-wanted"),
        ({ring.pk: 0}, "nothing-wanted"),
    ]:
        with pytest.raises(ActError) as refused:
            write_order(buyer, a_supplier(), lines)
        assert refused.value.code == code


def test_an_order_is_sent_once_and_not_empty(buyer: User) -> None:
    offer = an_offer(a_part())
    order = send(buyer, write_order(buyer, offer.supplier, {offer.part_id: 1}))
    assert order.sent_at is not None
    with pytest.raises(Conflict, match="sent already"):
        send(buyer, order)
    empty = PurchaseOrder.objects.create(supplier=offer.supplier, made_by=buyer)
    with pytest.raises(ActError, match="no lines"):
        send(buyer, empty)
