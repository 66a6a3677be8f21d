"""Dates, swaps and notices on the counter's and buying's pages."""

from __future__ import annotations

from datetime import date, timedelta

from django.urls import reverse
from django.utils import timezone

from shop import ordering, quoting, slipping
from shop.models import Notice, Order, Quote
from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop
from tests.shop.test_ordering import buy


def in_days(days: int) -> date:
    return timezone.localdate() + timedelta(days=days)


def slipped(shop: SmallShop, clerk: Clerk) -> Order:
    """An order whose pulley comes four days later than the customer was told."""
    shop.put(shop.pump, 2, ["N3", "N4"])
    shop.put(shop.bolt, 10)
    line = buy(shop, clerk, pulley=1).lines.select_related("order__supplier").get()
    order = ordering.accept(shop.counter, shop.quote(4))
    slipping.slip(clerk("buying"), line, in_days(9), "a strike")
    return order


def test_the_counter_reads_notices_until_they_are_seen(at: At, small_shop: SmallShop, clerk: Clerk) -> None:
    order, browser = slipped(small_shop, clerk), at("counter")
    page = browser.get(reverse("counter"))
    assert "Tell the customer" in said(page) and f"{order} for Ines Halloran: now expected" in said(page)
    assert not read(page).faults
    form = {"do": "seen", "notice": str(Notice.objects.get().pk)}
    assert "Tell the customer" not in said(browser.post(reverse("counter"), form, follow=True))


def test_an_order_shows_both_days_where_they_differ(at: At, small_shop: SmallShop, clerk: Clerk) -> None:
    order = slipped(small_shop, clerk)
    page = said(at("counter").get(reverse("order", args=[order.pk])))
    assert f"{in_days(5)}" in page and "Expected now" in page and f"{in_days(9)}" in page


def test_buying_writes_down_another_day(at: At, small_shop: SmallShop, clerk: Clerk) -> None:
    line = buy(small_shop, clerk, pulley=1).lines.get()
    page = reverse("purchase", args=[line.order_id])
    form = {"do": "slip", "line": str(line.pk), "due": "soon", "reason": "a strike"}
    refused = at("buying").post(page, form)
    assert refused.status_code == 422 and "year-month-day" in said(refused)
    done = at("buying").post(page, {**form, "due": in_days(9).isoformat()}, follow=True)
    assert f"first {in_days(5)}" in said(done) and not read(done).faults


def test_a_quote_says_when_it_could_ship_and_what_would_help(at: At, small_shop: SmallShop) -> None:
    small_shop.put(small_shop.pump, 2, ["N3", "N4"])
    small_shop.put(small_shop.bolt, 10)
    page = at("counter").get(reverse("quote", args=[small_shop.quote(4).pk]))
    assert f"Could ship {in_days(5)}" in said(page)
    assert "What would make it sooner" in said(page) and "which has to be ordered, comes sooner" in said(page)
    assert "3 on the shelf, 1 to order from Pell Stores, 5 days" in said(page)
    assert not read(page).faults


def test_a_swap_on_the_quote_goes_on_with_the_new_quote(at: At, small_shop: SmallShop) -> None:
    quote, browser = quoting.hold(small_shop.counter, small_shop.quote()), at("counter")
    kit, page = quote.kits.get(), reverse("quote", args=[quote.pk])
    opened = browser.get(page, {"kit": str(kit.pk), "slot": "pump"})
    assert "What is held goes with it" in said(opened) and not read(opened).faults
    form = {"do": "swap", "kit": str(kit.pk), "slot": "pump", "key": f"parts:{small_shop.pump.pk}"}
    done = browser.post(page, form, follow=True)
    new = Quote.objects.get(replaces=quote)
    assert done.redirect_chain == [(reverse("quote", args=[new.pk]), 303)]
    assert "held until" in said(done) and quote.number in said(done)
    assert new.number in said(browser.get(page))


def test_nonsense_asked_of_a_quote_is_left_aside(at: At, small_shop: SmallShop) -> None:
    page = reverse("quote", args=[small_shop.quote().pk])
    nonsense: list[dict[str, str]] = [{"kit": "x"}, {"kit": "9" * 40, "slot": "pump"}, {"slot": "none"}]
    for asked in nonsense:
        assert at("counter").get(page, asked).status_code == 200


def test_a_hold_is_made_longer_from_the_page(at: At, small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(), hours=1)
    page = reverse("quote", args=[quote.pk])
    assert at("counter").post(page, {"do": "prolong", "hours": ""}).status_code == 422
    assert "has another end" in said(at("counter").post(page, {"do": "prolong", "hours": "30"}, follow=True))


def test_the_day_that_the_customer_wants_it_is_asked_and_shown(at: At, small_shop: SmallShop) -> None:
    page = reverse("kit-quote", args=[small_shop.kit().pk])
    form = {"do": "quote", "customer": str(small_shop.customer.pk), "quantity": "1"}
    done = at("counter").post(page, {**form, "wanted_on": in_days(8).isoformat()}, follow=True)
    assert f"Wanted on {in_days(8)}" in said(done) and f"Could ship {in_days(8)}" in said(done)
    past = at("counter").post(page, {**form, "wanted_on": in_days(-1).isoformat()})
    assert past.status_code == 422 and "which is past" in said(past)


def test_a_quote_whose_hold_gave_way_says_so(at: At, small_shop: SmallShop, settings: object) -> None:
    settings.SHOP_ORDERS_TAKE_HOLDS = True  # type: ignore[attr-defined]  # pytest-django's fixture
    quote = quoting.hold(small_shop.counter, small_shop.quote(1))
    ordering.accept(small_shop.counter, small_shop.quote(2))
    page = said(at("counter").get(reverse("quote", args=[quote.pk])))
    assert "An order took what was held for this quote" in page and "given to an order" in page
