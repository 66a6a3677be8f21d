"""Changing an order that has not gone: by the supplier's packs and prices, and without losing anything."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.buying import add_line, change_line, discard, send, write_order
from inventory.models import Alert, Offer, PriceBreak, PurchaseLine, PurchaseOrder
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


@pytest.fixture
def offer() -> Offer:
    found = an_offer(a_part(), pack=5, least=10)
    PriceBreak.objects.create(offer=found, at_least=50, price=Decimal("7.00"))
    PriceBreak.objects.create(offer=found, at_least=100, price=Decimal("6.00"))
    return found


@pytest.fixture
def order(buyer: User, offer: Offer) -> PurchaseOrder:
    return write_order(buyer, offer.supplier, {offer.part_id: 10})


def the_line(order: PurchaseOrder) -> PurchaseLine:
    return order.lines.get()


@pytest.mark.parametrize(
    ("quantity", "price"), [(10, "8.00"), (45, "8.00"), (50, "7.00"), (95, "7.00"), (100, "6.00")]
)
def test_a_line_costs_what_so_many_cost(buyer: User, order: PurchaseOrder, quantity: int, price: str) -> None:
    change_line(buyer, the_line(order), quantity)
    line = the_line(order)
    assert (line.quantity, line.price) == (quantity, Decimal(price))


@pytest.mark.parametrize("quantity", [5, 12, 101])
def test_a_quantity_that_is_not_sold_is_refused_with_what_is(
    buyer: User, order: PurchaseOrder, quantity: int
) -> None:
    with pytest.raises(ActError, match="in packs of 5, at least 10: order") as refused:
        change_line(buyer, the_line(order), quantity)
    assert refused.value.code == "not-whole-packs" and the_line(order).quantity == 10


def test_no_pieces_drop_the_line_and_the_rest_stays(buyer: User, order: PurchaseOrder) -> None:
    other = an_offer(a_part(), order.supplier)
    add_line(buyer, order, other.part, 2)
    change_line(buyer, order.lines.get(part_id=other.part_id), 0)
    assert the_line(order).quantity == 10
    with pytest.raises(ActError, match="or 0 to drop"):
        change_line(buyer, the_line(order), -5)


def test_a_line_that_somebody_dropped_cannot_be_changed(buyer: User, order: PurchaseOrder) -> None:
    line = the_line(order)
    change_line(buyer, line, 0)
    with pytest.raises(Conflict, match="was dropped"):
        change_line(buyer, PurchaseLine(pk=line.pk or 1, order=order), 10)


def test_a_part_is_added_once_if_the_supplier_sells_it(buyer: User, order: PurchaseOrder) -> None:
    part = the_line(order).part
    other = an_offer(a_part(), a_supplier("Inver Bearings"))
    for wrong, quantity, code in [
        (part, 10, "ordered-already"),
        (other.part, 1, "not-offered"),
        (other.part, 0, "nothing-wanted"),
    ]:
        with pytest.raises(ActError) as refused:
            add_line(buyer, order, wrong, quantity)
        assert refused.value.code == code
    assert order.lines.count() == 1


def test_a_draft_is_discarded_whole(buyer: User, order: PurchaseOrder) -> None:
    discard(buyer, order)
    assert not PurchaseOrder.objects.exists() and not PurchaseLine.objects.exists()
    with pytest.raises(Conflict, match="was discarded"):
        discard(buyer, order)


def test_what_was_sent_is_neither_changed_nor_discarded(buyer: User, order: PurchaseOrder) -> None:
    line = the_line(send(buyer, order))
    for act in (
        lambda: change_line(buyer, line, 15),
        lambda: change_line(buyer, line, 0),
        lambda: add_line(buyer, order, an_offer(a_part(), order.supplier).part, 1),
        lambda: discard(buyer, order),
    ):
        with pytest.raises(Conflict, match="was sent already"):
            act()
    assert the_line(order).quantity == 10


def test_what_something_refers_to_stays(buyer: User, order: PurchaseOrder) -> None:
    line = the_line(order)
    Alert.objects.create(
        part=line.part,
        cause=Alert.Cause.LATE_LINE,
        reason="test",
        quantity=0,
        purchase_line=line,
        order_by=timezone.localdate(),
    )
    for act in (lambda: change_line(buyer, line, 0), lambda: discard(buyer, order)):
        with pytest.raises(Conflict, match="refers to"):
            act()
    assert the_line(order) == line
