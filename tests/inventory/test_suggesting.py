"""What to order, from whom, how many and until when."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.alerting import alert_waiting, look_again, snooze
from inventory.buying import approve, draft_suggested, send, write_order
from inventory.models import (
    Alert,
    MonthlyDemand,
    Offer,
    Part,
    PriceBreak,
    PurchaseLine,
    PurchaseOrder,
    Stock,
    Supplier,
    Target,
)
from inventory.suggesting import Suggestion, suggestions
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, put, today

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def wanted(
    *offers: tuple[str, str], reorder_at: int = 2, up_to: int = 10, monthly: int = 0, here: int = 0
) -> Part:
    """A part that these suppliers sell at these prices, and that sells so many a month."""
    part = a_part()
    for supplier, price in offers or (("Corran Supply", "8.00"),):
        an_offer(part, a_supplier(supplier), price=price)
    Target.objects.create(part=part, reorder_at=reorder_at, up_to=up_to, why="test")
    if here:
        put(part, here)
    month = today().replace(day=1)
    for _ in range(12 if monthly else 0):
        month = (month - timedelta(days=1)).replace(day=1)
        MonthlyDemand.objects.create(part=part, month=month, quantity=monthly)
    return part


def terms(name: str = "Corran Supply", **values: object) -> Supplier:
    supplier = a_supplier(name)
    Supplier.objects.filter(pk=supplier.pk).update(**values)
    supplier.refresh_from_db()
    return supplier


def now_suggested() -> list[Suggestion]:
    now = timezone.now()
    look_again(None, now)
    return suggestions(now)


def the_lines(suggestion: Suggestion) -> dict[int, int]:
    return {line.part.pk: line.quantity for line in suggestion.lines}


def test_what_is_needed_is_put_together_by_supplier() -> None:
    ring, bolt, seal = wanted(), wanted(), wanted(("Inver Bearings", "5.00"))
    found = {one.supplier.name: the_lines(one) for one in now_suggested()}
    assert found == {"Corran Supply": {ring.pk: 10, bolt.pk: 10}, "Inver Bearings": {seal.pk: 10}}


def test_nothing_is_suggested_where_nothing_is_needed() -> None:
    wanted(here=3)
    a_part()
    assert now_suggested() == []


def test_a_part_at_its_order_level_is_seen_before_any_alert() -> None:
    ring = wanted()
    (one,) = suggestions(timezone.now())
    assert not Alert.objects.exists() and the_lines(one) == {ring.pk: 10}


def test_the_cheaper_supplier_is_chosen_and_carriage_counts() -> None:
    ring = wanted(("Corran Supply", "8.00"), ("Inver Bearings", "7.00"))
    (one,) = now_suggested()
    assert (one.supplier.name, one.total, one.carriage) == ("Inver Bearings", Decimal(70), Decimal(0))
    terms("Inver Bearings", carriage=Decimal(25))
    (one,) = now_suggested()
    assert (one.supplier.name, one.total) == ("Corran Supply", Decimal(80))
    assert the_lines(one) == {ring.pk: 10} and "Best in all from Corran Supply" in one.lines[0].why


def test_packs_least_and_price_breaks_are_kept() -> None:
    ring = wanted(up_to=11, monthly=30)
    offer = Offer.objects.get()
    offer.pack, offer.least = 4, 8
    offer.save()
    PriceBreak.objects.create(offer=offer, at_least=8, price=Decimal("7.00"))
    (one,) = now_suggested()
    assert the_lines(one) == {ring.pk: 12} and one.lines[0].price == 7
    PriceBreak.objects.create(offer=offer, at_least=30, price=Decimal("5.00"))
    (one,) = now_suggested()
    assert the_lines(one) == {ring.pk: 32} and "instead of 7.00 each: saves" in one.lines[0].why


def test_a_break_beyond_the_shelf_or_the_sales_is_left() -> None:
    ring = wanted(up_to=11, monthly=30)
    PriceBreak.objects.create(offer=Offer.objects.get(), at_least=30, price=Decimal("5.00"))
    Target.objects.update(most=20)
    assert the_lines(now_suggested()[0]) == {ring.pk: 11}
    Target.objects.update(most=None)
    MonthlyDemand.objects.update(quantity=1)
    assert the_lines(now_suggested()[0]) == {ring.pk: 11}


def test_an_order_is_filled_up_with_what_is_needed_soonest() -> None:
    terms(carriage=Decimal(20), free_carriage_from=Decimal(100))
    ring = wanted(monthly=4)
    soon, late = wanted(here=4, monthly=6), wanted(here=40, monthly=6, up_to=50)
    dead = wanted(here=4)
    (one,) = now_suggested()
    assert one.carriage == 0 and one.total >= 100 and one.to_free_carriage == 0
    assert ring.pk in the_lines(one) and soon.pk in the_lines(one)
    assert not {late.pk, dead.pk} & the_lines(one).keys()
    assert "to fill the order up" in next(line.why for line in one.lines if line.part == soon)


def test_what_cannot_be_filled_up_says_what_is_missing() -> None:
    terms(least_value=Decimal(100), carriage=Decimal(9), free_carriage_from=Decimal(200))
    wanted()  # Nothing of it was ever sold.
    (one,) = now_suggested()
    assert (one.total, one.below_least, one.to_free_carriage) == (Decimal(80), Decimal(20), Decimal(120))


def test_a_part_that_is_sold_out_or_has_no_target_fills_nothing() -> None:
    terms(least_value=Decimal(500))
    ring = wanted(monthly=2)
    ended = wanted(here=9, monthly=6)
    Part.objects.filter(pk=ended.pk).update(standing=Part.Standing.RUN_OUT)
    an_offer(put(a_part(), 5))
    assert the_lines(now_suggested()[0]).keys() == {ring.pk}


def test_it_is_to_be_sent_so_that_nothing_runs_out() -> None:
    ring = wanted(reorder_at=40, up_to=80, monthly=30, here=30)  # About a piece a day; 21 days to come.
    (one,) = now_suggested()
    assert today() + timedelta(days=8) <= one.send_by <= today() + timedelta(days=10)
    assert f"{ring} lasts until" in one.why
    Stock.objects.filter(part=ring).update(on_hand=10)
    assert suggestions(timezone.now())[0].send_by < today()


def test_no_order_waits_where_a_part_is_only_down_to_its_level() -> None:
    ring = wanted()  # Nothing of it was ever sold.
    (one,) = now_suggested()
    assert one.why == f"{ring} is down to where it is ordered, and Corran Supply takes 21 days."
    alert_waiting({ring.pk: 3}, "S1 waits", timezone.now())
    (one,) = suggestions(timezone.now())
    assert one.why == f"An order waits for {ring}, and Corran Supply takes 21 days."


def test_what_sells_slowly_goes_out_for_the_order_that_waits_not_for_its_pace() -> None:
    ring = wanted(monthly=1, reorder_at=1, up_to=10, here=8)
    alert_waiting({ring.pk: 9}, "S1 waits", timezone.now())
    (one,) = suggestions(timezone.now())
    assert one.send_by == today() and one.why.startswith(f"An order waits for {ring}")


def test_the_first_to_send_comes_first() -> None:
    wanted(("Corran Supply", "8.00"), reorder_at=60, up_to=80, monthly=30, here=50)
    wanted(("Inver Bearings", "8.00"), reorder_at=60, up_to=80, monthly=30, here=25)
    assert [one.supplier.name for one in now_suggested()] == ["Inver Bearings", "Corran Supply"]


def test_what_an_order_waits_for_comes_on_top() -> None:
    ring = wanted()
    look_again(None, timezone.now())
    alert_waiting({ring.pk: 3}, "S1 waits", timezone.now())
    (one,) = suggestions(timezone.now())
    assert the_lines(one) == {ring.pk: 13} and len(one.lines[0].alerts) == 2


def test_what_is_here_goes_to_the_order_that_waits_and_not_to_the_target() -> None:
    ring = wanted(here=3)
    alert_waiting({ring.pk: 5}, "S1 waits", timezone.now())
    look_again(None, timezone.now())
    (one,) = suggestions(timezone.now())
    assert the_lines(one) == {ring.pk: 12}  # Two more for the order, and ten for the shelf.


def test_what_is_left_until_a_day_is_not_suggested(buyer: User) -> None:
    wanted()
    (alert,) = look_again(None, timezone.now())
    snooze(buyer, alert, today() + timedelta(days=3), "the price falls")
    assert suggestions(timezone.now()) == []


def test_what_is_drafted_is_not_ordered_twice(buyer: User) -> None:
    ring = wanted()
    (one,) = now_suggested()
    first = draft_suggested(buyer, one.supplier, the_lines(one))
    second = draft_suggested(buyer, one.supplier, the_lines(one))
    assert first == second and first.lines.get().quantity == 10
    (again,) = now_suggested()
    assert [(line.quantity, line.drafted) for line in again.lines] == [(10, 10)]
    Target.objects.filter(part=ring).update(up_to=14)
    (more,) = now_suggested()
    assert [(line.quantity, line.drafted) for line in more.lines] == [(14, 10)]
    draft_suggested(buyer, more.supplier, the_lines(more))
    assert first.lines.get().quantity == 14


def test_what_is_approved_counts_as_drafted_and_what_is_sent_is_to_come(buyer: User) -> None:
    wanted()
    (one,) = now_suggested()
    (order,) = approve(buyer, [draft_suggested(buyer, one.supplier, the_lines(one))])
    (again,) = now_suggested()
    assert again.lines[0].drafted == 10
    assert draft_suggested(buyer, again.supplier, the_lines(again)) == order
    assert PurchaseOrder.objects.count() == 1
    send(buyer, order)
    assert now_suggested() == []


def test_a_part_stays_with_the_supplier_of_its_draft(buyer: User) -> None:
    ring = wanted(("Corran Supply", "8.00"), ("Inver Bearings", "7.00"))
    write_order(buyer, a_supplier("Corran Supply"), {ring.pk: 3})
    (one,) = now_suggested()
    assert (one.supplier.name, the_lines(one)) == ("Corran Supply", {ring.pk: 10})


def test_what_is_drafted_with_two_suppliers_is_not_ordered_twice_either(buyer: User) -> None:
    ring = wanted(("Corran Supply", "8.00"), ("Inver Bearings", "7.00"), up_to=12)
    corran, inver = a_supplier("Corran Supply"), terms("Inver Bearings", least_value=Decimal(10))
    write_order(buyer, corran, {ring.pk: 6})
    write_order(buyer, inver, {ring.pk: 4})
    for quantity, drafted in ((8, 6), (8, 8)):
        (one,) = now_suggested()
        assert (one.supplier, the_lines(one), one.lines[0].drafted) == (corran, {ring.pk: quantity}, drafted)
        draft_suggested(buyer, one.supplier, the_lines(one))
    assert sum(PurchaseLine.objects.values_list("quantity", flat=True)) == 12


def test_what_is_needed_elsewhere_counts_towards_the_draft_that_it_is_in(buyer: User) -> None:
    ring, seal = (
        wanted(("Corran Supply", "8.00"), ("Inver Bearings", "7.00")),
        wanted(("Inver Bearings", "5.00")),
    )
    inver = terms("Inver Bearings", least_value=Decimal(70))
    write_order(buyer, a_supplier("Corran Supply"), {ring.pk: 7})
    write_order(buyer, inver, {ring.pk: 3})
    below = {one.supplier.name: (the_lines(one), one.below_least) for one in now_suggested()}
    assert below["Inver Bearings"] == ({seal.pk: 10}, Decimal(0))


def test_what_else_is_in_the_draft_counts_towards_free_carriage(buyer: User) -> None:
    supplier = terms(carriage=Decimal(20), free_carriage_from=Decimal(100))
    other = an_offer(a_part(), supplier, price="50.00")
    wanted()
    (bare,) = now_suggested()
    assert bare.carriage == bare.to_free_carriage == 20
    write_order(buyer, supplier, {other.part_id: 1})
    (one,) = now_suggested()
    assert one.total == 80 and one.carriage == one.to_free_carriage == 0


def test_a_draft_knows_until_when_it_is_to_be_sent(buyer: User) -> None:
    wanted(reorder_at=40, up_to=80, monthly=30, here=30)
    (one,) = now_suggested()
    order = draft_suggested(buyer, one.supplier, the_lines(one))
    assert PurchaseOrder.objects.get(pk=order.pk).send_by == one.send_by


def test_what_is_to_come_is_counted() -> None:
    ring = wanted()
    inbound(ring, 5)
    assert now_suggested() == []


@pytest.mark.parametrize("parts", [3, 30])
def test_the_questions_do_not_grow_with_the_parts(parts: int, django_assert_max_num_queries: object) -> None:
    terms(least_value=Decimal(10_000))
    for _ in range(parts):
        wanted(monthly=2)
    look_again(None, timezone.now())
    with django_assert_max_num_queries(40):  # type: ignore[operator]  # pytest-django's
        suggestions(timezone.now())
