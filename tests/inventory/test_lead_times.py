"""How long suppliers take, from what they delivered; the offer's figure while that is little."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.lead_times import lead_times
from inventory.models import Part, PurchaseLine, PurchaseOrder, Receipt, ReceiptLine, Supplier
from inventory.planning.lead_times import FULL
from tests.inventory.builders import a_part, a_supplier, an_offer, the_founder

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

SENT = date(2026, 3, 2)


def at(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(9)))


def delivered(
    part: Part, supplier: Supplier, *came: tuple[int, int], due_in: int = 10, slipped: int = 0
) -> PurchaseLine:
    """An order of SENT for as many as came; `came` are (days after it was sent, pieces)."""
    order = PurchaseOrder.objects.create(
        supplier=supplier, state=PurchaseOrder.State.SENT, approved_at=at(SENT), approved_by=the_founder(),
        sent_at=at(SENT), made_by=the_founder(),
    )  # fmt: skip
    pieces = sum(quantity for _, quantity in came)
    due = SENT + timedelta(due_in)
    line = order.lines.create(
        part=part, quantity=pieces, received=pieces, price=8, due=due + timedelta(slipped), first_due=due
    )
    for number, (days, quantity) in enumerate(came):
        receipt = Receipt.objects.create(
            order=order, at=at(SENT + timedelta(days)), by=the_founder(), delivery_note=f"DN {number}"
        )
        ReceiptLine.objects.create(receipt=receipt, purchase_line=line, quantity=quantity)
    return line


def test_before_anything_came_the_offer_speaks_and_says_so() -> None:
    part, supplier = a_part(), a_supplier(lead_days=21)
    an_offer(part, supplier)
    quick = a_part()
    an_offer(quick, supplier, lead_days=4)
    found = lead_times([(supplier.pk, part.pk), (supplier.pk, quick.pk)])
    assert found[supplier.pk, part.pk].mean_days == 21
    assert found[supplier.pk, quick.pk].mean_days == 4
    assert found[supplier.pk, part.pk].source == "the offer's figure: no delivery yet"


def test_deliveries_speak_once_there_are_enough() -> None:
    part, supplier = a_part(), a_supplier(lead_days=21)
    an_offer(part, supplier)
    for days in (8, 9, 10, 12, 16):
        delivered(part, supplier, (days, 4))
    (found,) = lead_times([(supplier.pk, part.pk)]).values()
    assert (found.mean_days, found.receipts) == (11.0, FULL)
    assert found.late_share == 0.4
    assert found.sd_days == pytest.approx((9 + 4 + 1 + 1 + 25) ** 0.5 / 5**0.5)
    assert found.source == "5 deliveries"


def test_while_they_are_few_the_offer_stands_in_for_the_others() -> None:
    part, supplier = a_part(), a_supplier(lead_days=20)
    an_offer(part, supplier)
    delivered(part, supplier, (10, 4))
    (found,) = lead_times([(supplier.pk, part.pk)]).values()
    assert found.mean_days == (10 + 4 * 20) / 5
    assert found.source == "1 delivery and the offer's figure"


def test_one_missing_piece_does_not_make_a_delivery_late() -> None:
    part, supplier = a_part(), a_supplier()
    for _ in range(FULL):
        delivered(part, supplier, (8, 9), (60, 1))
    (found,) = lead_times([(supplier.pk, part.pk)]).values()
    assert (found.mean_days, found.late_share, found.receipts) == (8.0, 0.0, FULL)


def test_a_day_that_was_put_off_is_late_all_the_same() -> None:
    part, supplier = a_part(), a_supplier()
    delivered(part, supplier, (14, 2), due_in=10, slipped=10)
    (found,) = lead_times([(supplier.pk, part.pk)]).values()
    assert found.late_share == 1.0


def test_another_suppliers_or_another_parts_deliveries_do_not_count() -> None:
    part, other = a_part(), a_part()
    corran, vantry = a_supplier(), a_supplier("Vantry Drives", 14)
    for one in (part, other):
        an_offer(one, corran)
        an_offer(one, vantry)
    delivered(part, vantry, (3, 1))
    delivered(other, corran, (3, 1))
    assert lead_times([(corran.pk, part.pk)])[corran.pk, part.pk].receipts == 0


def test_a_pair_of_which_nothing_is_known_is_left_out() -> None:
    assert lead_times([(a_supplier().pk, a_part().pk)]) == {}


def test_a_slip_of_the_pen_is_no_lead_time() -> None:
    part, supplier = a_part(), a_supplier()
    delivered(part, supplier, (-3, 2))
    delivered(part, supplier, (9000, 2))
    (found,) = lead_times([(supplier.pk, part.pk)]).values()
    assert [day for day, _ in zip(*found.spread, strict=True)] == [0.0, 3650.0]


def test_two_statements_for_all_of_them_however_many() -> None:
    supplier = a_supplier()
    pairs = []
    for _ in range(12):
        part = a_part()
        an_offer(part, supplier)
        delivered(part, supplier, (5, 1), (6, 1))
        pairs.append((supplier.pk, part.pk))
    with CaptureQueriesContext(connection) as asked:
        assert len(lead_times(pairs)) == 12
    assert len(asked) == 2


def test_only_the_last_deliveries_are_remembered() -> None:
    part, supplier = a_part(), a_supplier()
    delivered(part, supplier, (400, 1))
    for _ in range(40):
        delivered(part, supplier, (5, 1))
    (found,) = lead_times([(supplier.pk, part.pk)]).values()
    assert (found.mean_days, found.receipts) == (5.0, 40)
