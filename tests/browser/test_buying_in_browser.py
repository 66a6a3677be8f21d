"""A morning at the buying desk, by keyboard and mouse: from the alert to a short delivery that is settled."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from inventory.alerting import look_again
from inventory.models import Alert, Difference, Part, PurchaseOrder, Target
from tests.browsing import sign_in, visiting
from tests.clerks import Clerk

pytestmark = pytest.mark.main_job


@pytest.fixture
def wanted(demo: date) -> Alert:
    """A spacer is wanted: many more than lie here and come."""
    part = Part.objects.get(number="AW-1407")
    Target.objects.filter(part=part).update(reorder_at=60, up_to=80)
    look_again([part.pk], timezone.now())
    return Alert.objects.get(part=part, cause=Alert.Cause.BELOW_TARGET, cleared_at=None)


def leave_and_bring_back(page: Page, alert: Alert) -> None:
    """In place: nothing else of the page changes, and the focus is on what was said."""
    number = alert.part.number
    row = page.locator(".need").filter(has_text=number)
    typed = page.get_by_label(f"How many {number}")
    typed.fill("77")
    row.get_by_text("Leave it for now").focus()
    page.keyboard.press("Enter")
    row.get_by_label("Until").fill("2999-01-31")
    row.get_by_label("Why").fill("the maker rings on Friday")
    page.keyboard.press("Enter")
    expect(page.locator("#needs .done")).to_contain_text("Left until 31 Jan 2999")
    expect(page.locator("#needs .done")).to_be_focused()
    expect(row).to_have_count(0)
    expect(typed).to_have_value("77")
    page.get_by_text("1 left for later").click()
    page.get_by_role("button", name=f"Bring back {number}").click()
    expect(row).to_have_count(1)


def draft_and_approve(page: Page, alert: Alert) -> PurchaseOrder:
    """The suggestion becomes a draft with a quantity of the buyer's own; it is approved from the list."""
    number = alert.part.number
    order = page.locator(".proposed").filter(has=page.get_by_label(f"How many {number}"))
    order.get_by_label(f"How many {number}").fill("90")
    order.get_by_role("button", name=re.compile("Draft the ticked")).click()
    expect(page.get_by_role("status")).to_contain_text("Drafted:")
    draft = PurchaseOrder.objects.get(lines__part=alert.part, state="draft")
    page.get_by_label(f"Approve {draft.number}").check()
    page.get_by_role("button", name="Approve the ticked").click()
    expect(page.get_by_role("status")).to_contain_text(f"Approved: {draft.number}")
    return draft


def receive_short(page: Page, alert: Alert) -> None:
    """Eighty come, two more are spoilt, and the rest will not come."""
    number = alert.part.number
    lines = page.get_by_role("table", name="What was ordered")
    for field in lines.get_by_role("textbox").all():
        field.fill("")
    page.get_by_label(f"Pieces of {number} that came").fill("80")
    page.get_by_label("Number on the delivery note").fill("VD 41")
    page.get_by_text("Some are spoilt, or more came than ordered").click()
    page.get_by_label(f"Spoilt of {number}").fill("2")
    page.get_by_label(re.compile("What to tell")).fill("threads torn")
    page.get_by_role("button", name="Book what came").click()
    expect(page.get_by_role("status")).to_contain_text("1 difference to settle")
    page.get_by_text("The rest of a line does not come").click()
    rest = page.locator("#short_line")
    rest.select_option(rest.locator("option").filter(has_text=number).get_attribute("value"))
    page.locator("#short_reason").fill("made no more")
    page.get_by_role("button", name="Wait for it no more").click()
    expect(page.get_by_role("status")).to_contain_text(f"10 × {number} are not waited for any more")


def test_the_morning_from_the_alert_to_the_settled_difference(
    page: Page, wanted: Alert, clerk: Clerk
) -> None:
    sign_in(page, clerk("buying"), "Buying")
    leave_and_bring_back(page, wanted)
    page.reload()
    draft = draft_and_approve(page, wanted)
    page.locator("#unsent").get_by_role("link", name=re.compile(draft.number)).click()
    page.get_by_role("button", name=re.compile("Send to")).click()
    expect(page.get_by_role("status")).to_contain_text("counts as sent")
    receive_short(page, wanted)
    unsettled = page.locator(".differences > li").filter(has=page.get_by_role("button"))
    for left, how in ((1, "credited"), (0, "credited with the spoilt ones")):
        unsettled.first.get_by_label(re.compile("How it is settled")).fill(how)
        page.keyboard.press("Enter")
        expect(page.get_by_role("status")).to_contain_text("Settled:")
        expect(unsettled).to_have_count(left)
    assert not Difference.objects.filter(settled_at=None).exists()
    assert draft.lines.get(part=wanted.part).quantity == 80


def test_an_alert_is_left_and_an_order_drafted_without_scripts(
    browser: Browser, live_server: LiveServer, wanted: Alert, clerk: Clerk
) -> None:
    with visiting(browser, live_server.url, java_script_enabled=False) as page:
        sign_in(page, clerk("buying"), "Buying")
        row = page.locator(".need").filter(has_text=wanted.part.number)
        row.locator("summary").click()
        row.get_by_label("Until").fill("2999-01-31")
        row.get_by_label("Why").fill("the maker rings on Friday")
        row.get_by_role("button", name="Leave it until then").click()
        expect(page.get_by_role("status")).to_contain_text("Left until 31 Jan 2999")
        page.get_by_role("button", name=re.compile("Draft the ticked")).first.click()
        expect(page.get_by_role("status")).to_contain_text("Drafted:")
