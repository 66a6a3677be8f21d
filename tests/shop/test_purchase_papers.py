"""The order to a supplier on paper and as a file: as it was sent, and whole."""

import csv
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.contrib.auth.models import User

from inventory.buying import close_short, send, write_order
from inventory.models import PurchaseOrder
from shop.documents import csv_of, pdf_of
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer
from tests.shop.reading_pdf import pages

pytestmark = pytest.mark.django_db


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    return clerk("buying")


def an_order(buyer: User, parts: int = 2) -> PurchaseOrder:
    supplier = a_supplier()
    supplier.carriage, supplier.free_carriage_from = Decimal("12.50"), Decimal(5000)
    supplier.save()
    lines = {}
    for nth in range(parts):
        offer = an_offer(a_part(f"TF-{nth + 1}"), supplier, price="7.25")
        offer.their_number = f"CS {nth + 1}/A"
        offer.save()
        lines[offer.part_id] = 10 + nth
    return write_order(buyer, supplier, lines)


def test_the_pdf_says_what_is_ordered(buyer: User, settings: Any) -> None:
    settings.SHOP_DELIVERY_ADDRESS = "Shim & Wright | Quay 3"
    order = send(buyer, an_order(buyer))
    (page,) = pages(pdf_of(order))
    for wanted in (
        f"Order {order.number}",
        "Corran Supply",
        "Shim & Wright",
        "Quay 3",
        "CS 1/A",
        "TF-2",
        "79.75",
        "152.25",
        "12.50",
        "164.75",
        "Sheet 1 of 1",
        f"{order.lines.all()[0].due:%-d %b %Y}",
    ):
        assert wanted in page
    assert "DRAFT" not in page


def test_a_draft_says_that_it_is_one(buyer: User) -> None:
    assert "DRAFT" in next(pages(pdf_of(an_order(buyer))))


def test_a_long_order_has_its_headings_and_number_on_every_sheet(buyer: User) -> None:
    order = an_order(buyer, parts=90)
    sheets = list(pages(pdf_of(order)))
    assert len(sheets) > 1
    for nth, page in enumerate(sheets, 1):
        assert f"Order {order.number}" in page and f"Sheet {nth} of {len(sheets)}" in page
    assert all("Your number" in page for page in sheets[:-1])
    assert all(any(f"TF-{nth} " in f"{page} " for page in sheets) for nth in range(1, 91))


def test_the_same_order_gives_the_same_paper(buyer: User) -> None:
    order = an_order(buyer)
    assert pdf_of(order) == pdf_of(order)


def test_a_number_without_a_gap_stays_in_its_column(buyer: User) -> None:
    offer = an_offer(a_part())
    offer.their_number = "W" * 40
    offer.save()
    (page,) = pages(pdf_of(write_order(buyer, offer.supplier, {offer.part_id: 1})))
    rows = [word for word in page.split() if set(word) == {"W"}]
    assert "".join(rows) == "W" * 40 and len(rows) > 3


def test_the_csv_can_be_read_back(buyer: User) -> None:
    order = send(buyer, an_order(buyer))
    rows = list(csv.DictReader(StringIO(csv_of(order))))
    assert [(row["your_number"], row["our_number"], row["quantity"], row["price"]) for row in rows] == [
        ("CS 1/A", "TF-1", "10", "7.25"),
        ("CS 2/A", "TF-2", "11", "7.25"),
    ]
    assert {row["order"] for row in rows} == {order.number}
    assert rows[0]["due"] == order.lines.all()[0].due.isoformat()


def test_a_text_is_no_formula_there(buyer: User) -> None:
    offer = an_offer(a_part("=1+1"))
    text = csv_of(write_order(buyer, offer.supplier, {offer.part_id: 1}))
    assert "'=1+1" in text and ",=1+1" not in text


def test_it_stays_as_it_was_sent(buyer: User) -> None:
    order = send(buyer, an_order(buyer))
    before = pdf_of(order), csv_of(order)
    close_short(buyer, order.lines.all()[0], "none left")
    order.supplier.carriage = Decimal(99)
    order.supplier.save()
    fresh = PurchaseOrder.objects.get(pk=order.pk)
    assert (pdf_of(fresh), csv_of(fresh)) == before
