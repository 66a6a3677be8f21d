"""How late suppliers really were, and what that does to the day that is counted on."""

from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import pytest
from django.utils import timezone

from inventory.lateness import REMEMBERED, days_late, expected_days, safety
from inventory.models import PurchaseLine, Receipt, ReceiptLine
from inventory.promising import promise
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, the_founder, today

pytestmark = pytest.mark.django_db


def came(days: int, supplier: str = "Corran Supply", *, put_off: int = 0) -> PurchaseLine:
    """A delivery that came today, so many days after it was first due; `put_off` of these were said."""
    line = inbound(a_part(), 1, in_days=put_off - days, supplier=a_supplier(supplier))
    if put_off:
        line.first_due = line.due - timedelta(days=put_off)
        line.save()
    receipt = Receipt.objects.create(order=line.order, at=timezone.now(), by=the_founder(), delivery_note="D")
    ReceiptLine.objects.create(receipt=receipt, purchase_line=line, quantity=1)
    return line


def in_days(days: int) -> date:
    return today() + timedelta(days=days)


@pytest.mark.main_job
def test_lateness_is_against_the_day_that_was_agreed_first() -> None:
    came(3)
    came(-2)
    came(9, put_off=7)
    [late] = days_late([a_supplier().pk]).values()
    assert sorted(late) == [-2, 3, 9]


def test_only_the_last_deliveries_of_a_supplier_count() -> None:
    came(40)
    for _ in range(REMEMBERED):
        came(1)
    came(5, "Another")
    corran, another = a_supplier().pk, a_supplier("Another").pk
    assert days_late([corran, another]) == {corran: [1] * REMEMBERED, another: [5]}


def test_the_safety_covers_the_share_that_the_shop_asks_for(settings: Any) -> None:
    for days in (0, 0, 2, 4, 10):
        came(days)
    supplier = a_supplier().pk
    found = {}
    for share in ("0", "0.4", "0.6", "0.8", "1"):
        settings.SHOP_ON_TIME_SHARE = Fraction(share)
        found[share] = safety([supplier])[supplier]
    assert found == {"0": 0, "0.4": 0, "0.6": 2, "0.8": 4, "1": 10}


def test_a_supplier_without_a_past_is_taken_at_their_word() -> None:
    assert safety([a_supplier().pk]) == {a_supplier().pk: 0}
    assert safety([]) == {}


def test_whose_safety_is_known_is_not_read_again(django_assert_num_queries: Any) -> None:
    came(2)
    came(5, "Another")
    corran, another = a_supplier().pk, a_supplier("Another").pk
    with django_assert_num_queries(0):
        assert safety([corran, another], {corran: 7, another: 8, 0: 9}) == {corran: 7, another: 8}
    assert safety([corran, another], {corran: 7}) == {corran: 7, another: safety([another])[another]}


@pytest.mark.main_job
def test_a_delivery_of_a_late_supplier_is_counted_on_later(django_assert_num_queries: Any) -> None:
    for days in (4, 4, 4, 4, 9):
        came(days)
    ring = a_part()
    line = inbound(ring, 1, in_days=10)
    told = promise({ring.pk: 1}, timezone.now()).lines[0]
    assert told.on == in_days(14)
    assert told.how.endswith(f"due {line.due:%-d %b}, counted on for {in_days(14):%-d %b}")
    with django_assert_num_queries(1):
        assert expected_days([line], today()) == {line.pk: in_days(14)}


def test_what_the_supplier_put_off_is_not_counted_twice() -> None:
    for _ in range(5):
        came(6)
    line = inbound(a_part(), 1, in_days=10)
    line.first_due = in_days(8)
    line.save()
    assert expected_days([line], today()) == {line.pk: in_days(14)}  # six after it was first due
    line.due = in_days(20)
    assert expected_days([line], today()) == {line.pk: in_days(20)}  # what they say is later still


def test_what_has_to_be_ordered_is_as_late_as_its_supplier_is() -> None:
    for _ in range(5):
        came(3)
    ring = a_part()
    an_offer(ring, lead_days=7)
    told = promise({ring.pk: 1}, timezone.now()).lines[0]
    assert (told.on, told.how) == (in_days(10), "1 to order from Corran Supply, 7 days and 3 more to be safe")
