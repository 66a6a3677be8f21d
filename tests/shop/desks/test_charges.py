"""Freight and duty at goods in, and a bill that comes after its delivery."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory import buying
from inventory.counting import scrap
from inventory.models import LateCharge, PurchaseOrder, Receipt
from tests.shop.api.stages import Stages
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said


def address(order: PurchaseOrder) -> str:
    return reverse("purchase", args=[order.pk])


def delivery(order: PurchaseOrder, charges: str) -> dict[str, str]:
    line = order.lines.get()
    return {"do": "receive", "delivery_note": "DN 7", f"quantity-{line.pk}": "5", "charges": charges}


def bill(receipt: Receipt, amount: str = "40.00", reason: str = "carrier's bill") -> dict[str, str]:
    return {"do": "charge_late", "receipt": str(receipt.pk), "late_amount": amount, "late_reason": reason}


def test_freight_is_part_of_what_the_pieces_cost(at: At, stages: Stages) -> None:
    order = stages.sent()
    done = at("floor").post(address(order), delivery(order, "1 012.50"), follow=True)
    receipt = Receipt.objects.get()
    assert receipt.charges == Decimal("1012.50")
    assert "with 1 012.50" in said(done)
    assert stages.shop.pulley.movements.get(act="receive").value == Decimal("1112.50")


@pytest.mark.parametrize("charges", ["-1", "12,50", "1e3", "a lot", "999999999"])
def test_what_is_no_amount_is_refused_and_kept(at: At, stages: Stages, charges: str) -> None:
    order = stages.sent()
    refused = at("floor").post(address(order), delivery(order, charges))
    assert refused.status_code == 422 and "with a point" in said(refused)
    kept = {one.name: one.value for one in read(refused).fields}
    assert (kept["charges"], kept["delivery_note"]) == (charges, "DN 7")
    assert not Receipt.objects.exists()


@pytest.mark.parametrize("note", ["D" * 61, "D\x007"])
def test_a_delivery_note_that_no_book_holds_is_refused(at: At, stages: Stages, note: str) -> None:
    order = stages.sent()
    refused = at("floor").post(address(order), delivery(order, "") | {"delivery_note": note})
    assert refused.status_code == 422 and not Receipt.objects.exists()


def test_a_late_bill_says_what_stayed_and_what_is_spent(at: At, stages: Stages) -> None:
    receipt = stages.received()
    pulley = stages.shop.pulley  # Eight are here, five of them from this delivery; two stay.
    scrap(stages.clerk("floor"), pulley, stages.shop.bins[pulley.pk], 6, "dropped")
    browser = at("buying")
    done = browser.post(address(receipt.order), bill(receipt), follow=True)
    charge = LateCharge.objects.get()
    assert (charge.absorbed, charge.spent) == (Decimal(16), Decimal(24))
    assert "16.00 onto the pieces that are still here, 24.00 spent on those that have left" in said(done)
    again = said(browser.get(address(receipt.order)))
    assert "carrier's bill; 16.00" in again and "24.00 spent on those that had left" in again


def test_a_refused_bill_leaves_what_is_still_to_come_as_it_was(at: At, stages: Stages) -> None:
    order, browser = stages.sent(), at("buying")
    line = order.lines.get()
    browser.post(address(order), delivery(order, "") | {f"quantity-{line.pk}": "2"})
    refused = browser.post(address(order), bill(Receipt.objects.get(), "ten"))
    assert {one.name: one.value for one in read(refused).fields}[f"quantity-{line.pk}"] == "3"


def test_the_shares_of_one_bill_are_told_as_one(at: At, stages: Stages) -> None:
    shop, clerk = stages.shop, stages.clerk("buying")
    draft = buying.write_order(clerk, shop.supplier, {shop.pulley.pk: 5, shop.bolt.pk: 40})
    order = buying.send(clerk, draft)
    quantities = {line.pk: line.quantity for line in order.lines.all()}
    receipt = buying.receive(clerk, order, delivery_note="DN 9", quantities=quantities)
    browser = at("buying")
    for amount in ("13.00", "26.00"):
        browser.post(address(order), bill(receipt, amount))
    assert LateCharge.objects.count() == 4
    page = said(browser.get(address(order)))
    assert page.count("carrier's bill; ") == 2
    assert "carrier's bill; 13.00" in page and "carrier's bill; 26.00" in page


@pytest.mark.parametrize(
    ("amount", "reason", "refusal"),
    [
        ("0", "duty", "above 0"),
        ("ten", "duty", "with a point"),
        ("10.00", "", "Say what the charge is for"),
        ("10.00", "r" * 201, "at most 200"),
    ],
)
def test_a_bill_that_is_refused_is_kept(
    at: At, stages: Stages, amount: str, reason: str, refusal: str
) -> None:
    receipt = stages.received()
    answer = at("buying").post(address(receipt.order), bill(receipt, amount, reason))
    assert answer.status_code == 422 and refusal in said(answer)
    kept = {one.name: one.value for one in read(answer).fields}
    assert (kept["late_amount"], kept["late_reason"]) == (amount, reason)
    assert "<details" in answer.content.decode() and " open>" in answer.content.decode()
    assert read(answer).faults == [] and not LateCharge.objects.exists()


def test_a_bill_is_for_whoever_buys_and_for_a_delivery_of_this_order(at: At, stages: Stages) -> None:
    receipt, other = stages.received(), stages.sent()
    assert "freight bill" not in said(at("floor").get(address(receipt.order)))
    assert at("floor").post(address(receipt.order), bill(receipt)).status_code == 403
    assert at("buying").post(address(other), bill(receipt)).status_code == 404
    assert not LateCharge.objects.exists()
