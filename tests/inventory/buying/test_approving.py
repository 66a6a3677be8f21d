"""Who may stand for an order, up to which total, and what becomes of it when it changes."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import Group, User
from django.core.management import call_command

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.buying import add_line, approve, change_line, limit_of, send, sum_of, take_back, write_order
from inventory.models import BuyingLimit, PurchaseOrder, Supplier
from shop.roles import make_roles
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

State = PurchaseOrder.State


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def an_order(buyer: User, *, price: str = "8.00", quantity: int = 10) -> PurchaseOrder:
    offer = an_offer(a_part(), price=price)
    return write_order(buyer, offer.supplier, {offer.part_id: quantity})


def limit(most: str) -> None:
    BuyingLimit.objects.filter(group__name="buying").update(most=Decimal(most))


def state_of(order: PurchaseOrder) -> str:
    return PurchaseOrder.objects.get(pk=order.pk).state


def test_the_role_has_a_limit_that_a_migration_does_not_raise_again(buyer: User) -> None:
    assert limit_of(buyer) == Decimal(5000)
    limit("70.00")
    make_roles()
    assert limit_of(buyer) == Decimal(70)


def test_the_highest_limit_of_all_roles_counts(buyer: User, clerk: Clerk) -> None:
    assert limit_of(clerk("floor")) == 0
    other = Group.objects.create(name="owners")
    BuyingLimit.objects.create(group=other, most=Decimal(9000))
    buyer.groups.add(other)
    assert limit_of(buyer) == Decimal(9000)
    assert limit_of(User(username="boss", is_superuser=True)) is None


def test_an_approved_order_says_by_whom_and_can_go(buyer: User) -> None:
    (order,) = approve(buyer, [an_order(buyer)])
    assert (order.state, order.approved_by) == (State.APPROVED, buyer) and order.approved_at is not None
    sent = send(buyer, order)
    assert (sent.state, sent.approved_by, sent.approved_at) == (State.SENT, buyer, order.approved_at)


def test_the_limit_counts_carriage_and_the_refusal_names_who_can(buyer: User) -> None:
    order = an_order(buyer)
    Supplier.objects.update(carriage=Decimal("12.50"))
    order.supplier.refresh_from_db()
    assert sum_of(order).total == Decimal("92.50")
    limit("92.49")
    with pytest.raises(
        NotAllowed, match=r"92\.50 with carriage, and you may approve up to 92\.49"
    ) as refused:
        approve(buyer, [order])
    assert refused.value.code == "above-limit" and "Nobody may" in refused.value.message
    User.objects.create_superuser("boss")
    with pytest.raises(NotAllowed, match="Ask boss to approve it"):
        send(buyer, order)
    assert state_of(order) == State.DRAFT
    limit("92.50")
    assert approve(buyer, [order])[0].state == State.APPROVED


def test_free_carriage_is_not_counted(buyer: User) -> None:
    order = an_order(buyer)
    Supplier.objects.update(carriage=Decimal("12.50"), free_carriage_from=Decimal(80))
    limit("80.00")
    assert approve(buyer, [order])[0].state == State.APPROVED


def test_all_of_them_are_approved_or_none(buyer: User) -> None:
    small, large = an_order(buyer), an_order(buyer, quantity=100)
    limit("500")
    with pytest.raises(NotAllowed, match=f"{large} comes to 800.00") as refused:
        approve(buyer, [small, large])
    assert refused.value.details["orders"] == [large.pk]
    assert [state_of(small), state_of(large)] == [State.DRAFT, State.DRAFT]
    limit("800")
    assert {one.state for one in approve(buyer, [large, small])} == {State.APPROVED}


def test_what_is_empty_gone_or_no_draft_is_not_approved(buyer: User) -> None:
    with pytest.raises(ActError, match="at least one order"):
        approve(buyer, [])
    empty = PurchaseOrder.objects.create(supplier=a_supplier(), made_by=buyer)
    with pytest.raises(ActError, match="no lines"):
        approve(buyer, [empty])
    order = an_order(buyer)
    approve(buyer, [order])
    with pytest.raises(Conflict, match=f"{order} is approved"):
        approve(buyer, [order])
    gone = PurchaseOrder(pk=order.pk + 100)
    with pytest.raises(Conflict, match="was discarded"):
        approve(buyer, [gone])


def test_an_approval_can_be_taken_back_until_it_is_sent(buyer: User) -> None:
    order = an_order(buyer)
    with pytest.raises(Conflict, match="no approval"):
        take_back(buyer, order)
    approve(buyer, [order])
    assert take_back(buyer, order).approved_by is None
    approve(buyer, [order])
    send(buyer, order)
    with pytest.raises(Conflict, match="is sent"):
        take_back(buyer, order)


def test_what_changes_after_the_approval_is_a_draft_again(buyer: User) -> None:
    order = an_order(buyer)
    approve(buyer, [order])
    line = order.lines.get()
    assert change_line(buyer, line, line.quantity).state == State.APPROVED  # Nothing changed.
    assert change_line(buyer, line, 12).state == State.DRAFT
    approve(buyer, [order])
    offer = an_offer(a_part(), order.supplier)
    added = add_line(buyer, order, offer.part, 3)
    assert (added.state, added.approved_at, added.approved_by) == (State.DRAFT, None, None)


def test_without_the_right_a_draft_does_not_go_but_what_is_approved_does(buyer: User) -> None:
    order = an_order(buyer)
    right = Group.objects.get(name="buying").permissions
    approve_orders = right.get(codename="approve_orders")
    right.remove(approve_orders)
    plain = User.objects.get(pk=buyer.pk)
    with pytest.raises(NotAllowed, match="not approved") as refused:
        send(plain, order)
    assert refused.value.code == "not-approved"
    approve(User.objects.create_superuser("boss"), [order])
    assert send(plain, order).state == State.SENT


def test_an_order_below_what_the_supplier_takes_goes_only_if_they_agreed(buyer: User) -> None:
    order = an_order(buyer)
    Supplier.objects.update(least_value=Decimal(100))
    with pytest.raises(ActError, match=r"below 100\.00: .* is 20\.00 short") as refused:
        send(buyer, order)
    assert refused.value.code == "below-least" and state_of(order) == State.DRAFT
    assert send(buyer, order, although_small=True).state == State.SENT


def test_carriage_stays_as_it_was_sent(buyer: User) -> None:
    order = an_order(buyer)
    Supplier.objects.update(carriage=Decimal("12.50"))
    sent = send(buyer, order)
    Supplier.objects.update(carriage=Decimal(99))
    assert sum_of(PurchaseOrder.objects.get(pk=sent.pk)).total == Decimal("92.50")
    call_command("check_ledger")
