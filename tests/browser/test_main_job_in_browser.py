"""The main job through the pages, by keyboard and mouse: from the customer's engine to buying's alert.

A raw-water pump for a Heddle, with the tight-bore bracket that the shop has to open up; a wrong part
scanned on the walk; and, once the parcel has gone, the alert for the part that now runs short.
"""

from __future__ import annotations

import re
from datetime import date

import pytest
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from inventory.models import Alert, Part, Walk, WalkStop
from shop.models import AsBuilt, Order
from tests.browsing import follow, sign_in, visiting
from tests.clerks import Clerk

BRACKET = "E-21-C"  # goes with work: its bore is opened
BIG_PUMP = "CV 340"  # more than two ribs of belt can drive

pytestmark = pytest.mark.main_job


def sell(page: Page) -> Order:
    """The counter: engine, kit, swap, quote, hold, order."""
    page.get_by_label("Name, code, what the plate says, or the year").fill("heddle third")
    engine = page.get_by_role("link", name="HED-12")
    expect(page.get_by_role("link", name="HED-13")).to_have_count(0)
    engine.focus()
    page.keyboard.press("Enter")
    follow(page.get_by_role("button", name="Open a kit of Raw-water pump on the side"))
    expect(page.locator(".kit-block")).to_contain_text("goes together")
    swap_the_bracket(page)
    page.get_by_role("link", name="Quote this kit").click()
    page.get_by_role("textbox", name="Name").fill("Marit Oake")
    page.get_by_label("Telephone", exact=True).fill("0000 111 299")
    page.get_by_role("button", name="Make the quote").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("for Marit Oake")
    page.get_by_role("button", name="Hold the parts").click()
    expect(page.get_by_role("status")).to_contain_text("held")
    page.get_by_role("button", name="Customer accepts").click()
    expect(page.locator(".figures")).to_contain_text("ready to pick")
    return Order.objects.get(customer__name="Marit Oake")


def swap_the_bracket(page: Page) -> None:
    """By keyboard: open the slot, press the button; the sheet is drawn again in place."""
    slot = page.locator("#slot-bracket")
    slot.locator("summary").first.focus()
    page.keyboard.press("Enter")
    price = page.locator(".kit-block .price").inner_text()
    slot.get_by_role("button", name=re.compile(BRACKET)).focus()
    page.keyboard.press("Enter")
    expect(page.locator(".kit-block .whole")).to_contain_text("goes with work")
    expect(page.locator(".kit-block .price")).not_to_have_text(price)
    expect(page.locator("#slot-bracket")).to_have_attribute("open", "")
    expect(page.locator("#slot-bracket > summary")).to_be_focused()
    expect(page.locator("#slot-bracket .fitted")).to_contain_text("fitted")


def insist_on_pulley_and_belt(page: Page) -> None:
    """A belt front on a Heddle whose pulley and belt stay as they are: too weak for the big pump."""
    page.goto("/counter/engines/HED-11/")
    follow(page.get_by_role("button", name="Open a kit of Belt front"))
    for slot in ("crank-pulley", "belt"):
        row = page.locator(f"#slot-{slot}")
        row.locator("summary").first.focus()
        page.keyboard.press("Enter")
        row.get_by_role("button", name=re.compile("Insist on it")).focus()
        page.keyboard.press("Enter")
        expect(row.locator("> summary")).to_contain_text("chosen")


def test_a_part_that_is_in_no_whole_kit_gets_into_one_with_one_click(
    page: Page, demo: date, clerk: Clerk
) -> None:
    """By keyboard, to the way out."""
    sign_in(page, clerk("counter"), "Counter")
    insist_on_pulley_and_belt(page)
    pump = page.locator("#slot-pump")
    pump.locator("summary").first.focus()
    page.keyboard.press("Enter")
    pump.locator(".in-no-kit > summary").focus()
    page.keyboard.press("Enter")
    blocked = pump.locator(".in-no-kit li").filter(has_text=BIG_PUMP)
    blocked.locator(".blocked > summary").focus()
    page.keyboard.press("Enter")
    expect(blocked).to_contain_text("Does not go with what was chosen: belt HB-0880.")
    blocked.get_by_role("button", name=re.compile("Change and fit")).first.focus()
    page.keyboard.press("Enter")
    expect(pump.locator("> summary")).to_contain_text(BIG_PUMP)
    expect(page.locator(".kit-block .whole")).to_contain_text("goes together")
    expect(page.locator("#slot-belt > summary")).to_contain_text("three ribs")


def test_a_fold_that_is_opened_as_soon_as_it_is_there_asks_for_what_is_in_it(
    page: Page, demo: date, clerk: Clerk
) -> None:
    """The quickest hand there is: every fold opens in the moment that puts the answer in place."""
    sign_in(page, clerk("counter"), "Counter")
    insist_on_pulley_and_belt(page)
    page.evaluate(
        """() => document.body.addEventListener('htmx:afterSwap',
        () => document.querySelectorAll('#slot-pump details').forEach(fold => { fold.open = true }))"""
    )
    page.locator("#slot-pump > summary").click()
    blocked = page.locator("#slot-pump .in-no-kit li").filter(has_text=BIG_PUMP)
    expect(blocked.locator(".in-the-way")).to_be_visible()


def test_the_candidates_are_there_without_scripts(
    browser: Browser, live_server: LiveServer, demo: date, clerk: Clerk
) -> None:
    """Links and plain forms alone: open a slot, and fit a pulley with the spacer that follows."""
    with visiting(browser, live_server.url, java_script_enabled=False) as page:
        sign_in(page, clerk("counter"), "Counter")
        page.goto("/counter/engines/HED-11/")
        follow(page.get_by_role("button", name="Open a kit of Belt front"))
        page.locator("#slot-crank-pulley > summary").click()
        page.locator("#slot-crank-pulley").get_by_role("link", name="What may go here").click()
        light = page.locator("#slot-crank-pulley .candidates > li").filter(has_text="AW-1204 crank")
        expect(light).to_contain_text("and with it: crank nose spacer AW-1406")
        light.get_by_role("button", name=re.compile("Fit with 1 other")).click()
        expect(page.locator("#slot-spacer > summary")).to_contain_text("AW-1406")
        expect(page.locator(".kit-block .whole")).to_contain_text("goes together")


def pick(page: Page, order: Order) -> None:
    """The floor: a walk, a wrong scan, then every stop; Enter after each scan, as a scanner sends it."""
    page.get_by_label(order.number).check()
    page.get_by_role("button", name="Make one walk of the ticked").click()
    expect(page.locator(".stop-now")).to_be_visible()
    walk = Walk.objects.get()
    stops = list(walk.stops.select_related("part", "lot", "place"))
    wrong = Part.objects.exclude(pk=stops[0].part_id).filter(tracking=Part.Tracking.NONE).first()
    assert wrong is not None
    page.keyboard.type(wrong.number)
    page.keyboard.press("Enter")
    refusal = page.get_by_role("alert")
    expect(refusal).to_contain_text("Wrong part. Put it back.")
    expect(refusal).to_contain_text(wrong.name)
    expect(refusal).to_contain_text(stops[0].part.number)
    for number, stop in enumerate(stops):
        expect(page.locator(".stop-now h2")).to_contain_text(str(stop.place))
        expect(page.get_by_role("heading", level=1)).to_contain_text(f"{number} of {len(stops)} stops")
        if stop.lot:
            page.locator("#lot").fill(stop.lot.code)
        expect(page.get_by_label("Scan the part")).to_be_visible()
        page.get_by_label("Scan the part").fill(stop.part.number)
        page.keyboard.press("Enter")
    expect(page.locator(".stop-now")).to_contain_text("The walk is done.")


def pack_and_ship(page: Page, order: Order) -> None:
    page.get_by_role("link", name="Go on to packing").click()
    page.get_by_role("link", name=order.number).click()
    for stop in order_stops(order):
        page.get_by_label(re.compile(f"of {re.escape(stop.part.number)} ")).fill(str(stop.lot))
    page.get_by_role("button", name="Pack it").click()
    page.get_by_label("Carrier").fill("Quayside Carting")
    page.get_by_role("button", name="Ship it").click()
    expect(page.get_by_role("status")).to_contain_text("on its way with Quayside Carting")


def order_stops(order: Order) -> list[WalkStop]:
    """The stops of the order's tracked parts."""
    assert order.reservation is not None
    return list(order.reservation.stops.filter(lot__isnull=False).select_related("part", "lot"))


def test_the_main_job_from_the_engine_to_the_alert(page: Page, demo: date, clerk: Clerk) -> None:
    sign_in(page, clerk("counter"), "Counter")
    order = sell(page)
    sign_in(page, clerk("floor"), "Floor")
    pick(page, order)
    pack_and_ship(page, order)
    order.refresh_from_db()
    assert order.state == Order.State.SHIPPED
    assert AsBuilt.objects.filter(order_kit__order=order, part__number=BRACKET).exists()
    sign_in(page, clerk("buying"), "Buying")
    alert = Alert.objects.get(cleared_at=None, cause=Alert.Cause.BELOW_TARGET, part__number="E-80")
    row = page.locator(".need").filter(has_text="E-80").filter(has_text="Below target")
    expect(row).to_contain_text(f"{alert.order_by:%Y-%m-%d}")
    page.get_by_role("button", name=f"Draft the ticked to {alert.supplier}").click()
    page.locator("#unsent").get_by_role("link", name=re.compile(f"{alert.supplier}|B0")).last.click()
    page.get_by_role("button", name=re.compile("Approve, and send to")).click()
    expect(page.get_by_role("status")).to_contain_text("counts as sent")


def test_a_conversion_that_does_not_exist_is_told_at_once(page: Page, demo: date, clerk: Clerk) -> None:
    sign_in(page, clerk("counter"), "Counter")
    page.get_by_label("Name, code, what the plate says, or the year").fill("1988")
    page.get_by_role("link", name="HED-10").click()
    never = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name="Belt front"))
    expect(never).to_contain_text("Does not exist for this engine.")
    expect(never).to_contain_text("no keyway")
    expect(never).to_contain_text("Offer instead: Raw-water pump on the side")
    expect(never.get_by_role("button")).to_have_count(0)
