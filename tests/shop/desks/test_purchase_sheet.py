"""The sheet of an order to a supplier: written, approved, and sent."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from inventory import buying
from inventory.models import (
    Part,
    PurchaseOrder,
)
from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.desks.buying_desk import (
    DESK,
    address,
    approver,
    checked,
    kept,
    limited,
    post,
)
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said


def test_quantities_are_changed_together(at: At, stages: Stages) -> None:
    draft = stages.draft()
    line = draft.lines.get()
    page = said(post(at(DESK), draft, "save", **{f"quantity-{line.pk}": "7"}))
    line.refresh_from_db()
    assert line.quantity == 7 and "140.00" in page


def test_a_line_is_left_out_and_a_part_added_at_once(at: At, stages: Stages) -> None:
    draft, shop = stages.draft(), stages.shop
    line = draft.lines.get()
    typed = {f"drop-{line.pk}": "1", "add_part": "or 8b", "add_quantity": "40"}
    post(at(DESK), draft, "save", **typed)
    assert [(one.part, one.quantity) for one in draft.lines.all()] == [(shop.bolt, 40)]


def test_nothing_is_changed_if_one_thing_is_wrong(at: At, stages: Stages) -> None:
    draft = stages.draft()
    line = draft.lines.get()
    browser = at(DESK)
    form = {
        f"quantity-{line.pk}": "9",
        "add_part": stages.shop.pump.number,
        "add_quantity": "2",
    }
    refused = post(browser, draft, "save", **form)
    assert refused.status_code == 422 and "does not offer" in said(refused)
    fields = kept(refused)
    assert (fields[f"quantity-{line.pk}"], fields["add_part"], fields["add_quantity"]) == (
        "9",
        stages.shop.pump.number,
        "2",
    )
    line.refresh_from_db()
    assert line.quantity == 5


@pytest.mark.parametrize("quantity", ["", "x", "-1", "2.5"])
def test_what_is_no_quantity_is_refused_and_kept(at: At, stages: Stages, quantity: str) -> None:
    draft = stages.draft()
    field = f"quantity-{draft.lines.get().pk}"
    refused = post(at(DESK), draft, "save", **{field: quantity})
    assert refused.status_code == 422 and kept(refused)[field] == quantity


def test_what_was_ticked_to_leave_out_stays_ticked(at: At, stages: Stages) -> None:
    draft = stages.draft()
    line = draft.lines.get()
    refused = post(at(DESK), draft, "save", **{f"drop-{line.pk}": "1", "add_part": "no such"})
    assert checked(refused, f"drop-{line.pk}")


def test_an_unknown_part_is_named(at: At, stages: Stages) -> None:
    refused = post(at(DESK), stages.draft(), "save", add_part="ZZ-1", add_quantity="3")
    assert refused.status_code == 422 and "'ZZ-1' is no part" in said(refused)


def test_it_is_discarded_with_all_its_lines(at: At, stages: Stages) -> None:
    page = said(post(at(DESK), stages.draft(), "discard"))
    assert "Discarded: B0" in page and not PurchaseOrder.objects.exists()


def test_the_sheet_shows_what_there_is_beside_what_is_ordered(at: At, stages: Stages) -> None:
    page = said(at(DESK).get(address(stages.draft())))
    assert "OR-40 pulley" in page and "Add a part that Pell Stores sells" in page


def test_what_will_happen_is_said_before_it_is_sent(at: At, stages: Stages, settings: Any) -> None:
    settings.SHOP_MAILS = True
    draft, browser = stages.draft(), at(DESK)
    assert "there is no address of Pell Stores" in said(browser.get(address(draft)))
    stages.shop.supplier.email = "desk@pell.example"
    stages.shop.supplier.save()
    assert "A letter goes to desk@pell.example, with the order as PDF and as CSV" in said(
        browser.get(address(draft))
    )
    settings.SHOP_MAILS = False
    assert "this shop sends none by itself" in said(browser.get(address(draft)))


def test_it_is_approved_taken_back_and_sent(at: At, stages: Stages) -> None:
    draft, browser = stages.draft(), at(DESK)
    assert "is approved; it is to be sent" in said(post(browser, draft, "approve"))
    assert "is a draft again" in said(post(browser, draft, "take_back"))
    sent = said(post(browser, draft, "send"))
    draft.refresh_from_db()
    assert draft.state == "sent" and "counts as sent to Pell Stores" in sent
    assert draft.lines.get().due == timezone.localdate() + timedelta(days=5)


def test_what_was_changed_beside_the_button_is_what_is_approved(at: At, stages: Stages) -> None:
    draft = stages.draft()
    line = draft.lines.get()
    post(at(DESK), draft, "approve", once="a key", **{f"quantity-{line.pk}": "6"})
    line.refresh_from_db()
    draft.refresh_from_db()
    assert (line.quantity, draft.state) == (6, "approved")


def test_above_the_limit_the_page_says_whom_to_ask_and_shows_no_button(
    at: At, stages: Stages, clerk: Clerk
) -> None:
    approver(clerk)
    limited("50")
    draft, browser = stages.draft(), at(DESK)
    page = said(browser.get(address(draft)))
    assert "you may approve up to 50.00. Ask clerk-catalogue to approve it." in page
    assert "Approve it" not in page and "send to Pell" not in page
    refused = post(browser, draft, "approve")
    assert refused.status_code == 403
    assert post(browser, draft, "send").status_code == 403


def test_who_only_approves_changes_nothing_and_sends_nothing(at: At, stages: Stages, clerk: Clerk) -> None:
    draft, browser = stages.draft(), approver(clerk)
    line = draft.lines.get()
    page = said(browser.get(address(draft)))
    assert "Approve it" in page and "Keep these changes" not in page and "Discard" not in page
    assert post(browser, draft, "save", **{f"quantity-{line.pk}": "9"}).status_code == 403
    assert "is approved" in said(post(browser, draft, "approve"))
    assert post(browser, draft, "send").status_code == 403


def test_too_small_an_order_goes_only_if_they_agreed(at: At, stages: Stages) -> None:
    stages.shop.supplier.least_value = Decimal(500)
    stages.shop.supplier.save()
    draft, browser = stages.draft(), at(DESK)
    assert "takes no order below 500.00 EUR: 400.00 are missing" in said(browser.get(address(draft)))
    refused = post(browser, draft, "send")
    assert refused.status_code == 422 and "they have agreed" in said(refused)
    post(browser, draft, "send", although_small="1")
    draft.refresh_from_db()
    assert draft.state == "sent"


def test_the_floor_may_not_send_it(at: At, stages: Stages) -> None:
    draft = stages.draft()
    refused = post(at("floor"), draft, "send")
    assert refused.status_code == 403 and "may not do this" in said(refused)
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_nothing_can_be_sent_of_an_empty_draft(at: At, stages: Stages) -> None:
    draft = stages.draft()
    page = said(post(at(DESK), draft, "save", **{f"quantity-{draft.lines.get().pk}": "0"}))
    assert "No line yet" in page and "Approve, and send" not in page
    assert post(at(DESK), draft, "send").status_code == 422


def test_every_stage_of_the_sheet_reads_well(at: At, stages: Stages) -> None:
    shop, faults = stages.shop, {}
    draft = buying.write_order(stages.clerk(DESK), shop.supplier, {shop.pulley.pk: 5, shop.bolt.pk: 40})
    Part.objects.filter(pk=shop.bolt.pk).update(tracking="lot")
    browser = at(DESK)
    faults["draft"] = read(browser.get(address(draft))).faults
    post(browser, draft, "approve")
    faults["approved"] = read(browser.get(address(draft))).faults
    post(browser, draft, "send")
    faults["sent"] = read(browser.get(address(draft))).faults
    buying.close_short(stages.clerk(DESK), draft.lines.all()[0], "made no more")
    faults["short"] = read(browser.get(address(draft))).faults
    assert faults == {"draft": [], "approved": [], "sent": [], "short": []}


def test_the_counter_does_not_open_it(at: At, stages: Stages) -> None:
    assert at("counter").get(address(stages.draft())).status_code == 403
