"""The page of one part: where it lies, who keeps it, what can be promised when, and its history."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from inventory import buying
from shop import ordering, quoting
from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


def address(shop: SmallShop) -> str:
    return reverse("part", args=[shop.bolt.pk])


def send_for(shop: SmallShop, clerk: Clerk, quantity: int) -> str:
    draft = buying.write_order(clerk("buying"), shop.supplier, {shop.bolt.pk: quantity})
    return buying.send(clerk("buying"), draft).number


def test_it_tells_for_whom_and_until_when(at: At, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    held = quoting.hold(small_shop.counter, small_shop.quote(), hours=5)
    page = said(at("counter").get(address(small_shop)))
    assert f"{order.number} Ines Halloran committed 4 stock it is shipped" in page
    assert f"{held.number} Ines Halloran held 4 stock" in page
    with time_machine.travel(timezone.now() + timedelta(hours=6)):
        page = said(at("counter").get(address(small_shop)))
        assert held.number not in page and "Held 0" in page and "Free now 6" in page


def test_papers_are_links_for_the_desk_that_opens_them(at: At, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    link = reverse("order", args=[order.pk])
    assert link in read(at("counter").get(address(small_shop))).links
    assert link not in read(at("floor").get(address(small_shop))).links


def test_what_comes_raises_what_can_be_promised(at: At, small_shop: SmallShop, clerk: Clerk) -> None:
    number = send_for(small_shop, clerk, 40)
    answer = at("floor").get(address(small_shop))
    due = timezone.localdate() + timedelta(days=5)
    assert f"{number} Pell Stores 40 40 {due}" in said(answer)
    drawing = answer.content.decode().split('<svg xmlns="http://www.w3.org/2000/svg"')[1].split("</svg>")[0]
    description = re.search(r"<desc[^>]*>([^<]+)<", drawing)
    assert description and f"Today 10 can be promised, from {due} 50; {number} brings 40" in description[1]
    assert f">{number} +40<" in drawing
    assert f"{timezone.localdate()} today 10" in said(answer) and f"{due} 50" in said(answer)


def test_costs_are_for_who_buys(at: At, small_shop: SmallShop) -> None:
    assert "Average cost" in said(at("buying").get(address(small_shop)))
    assert "cost" not in said(at("counter").get(address(small_shop))).lower()


def test_the_history_is_sifted_without_a_script(at: At, small_shop: SmallShop) -> None:
    small_shop.put(small_shop.bolt, 7)
    browser = at("floor")
    assert "+7 17" in said(browser.get(address(small_shop)))
    none = browser.get(address(small_shop), {"act": "ship"})
    assert "No movement fits" in said(none) and "Show all" in said(none)
    some = read(browser.get(address(small_shop), {"act": "count", "place": "a-1-3", "lot": ""}))
    assert some.faults == []
    file = next(link for link in some.links if "history.csv" in link)
    assert file.endswith("?act=count&place=a-1-3")
    lines = browser.get(file).getvalue().decode().splitlines()
    assert [line.split(",")[4:6] for line in lines[1:]] == [["10", "10"], ["7", "17"]]


def test_older_movements_are_a_page_on(at: At, small_shop: SmallShop) -> None:
    for _ in range(60):
        small_shop.put(small_shop.bolt, 1)
    browser = at("floor")
    first = read(browser.get(address(small_shop), {"act": "count"}))
    older = next(link for link in first.links if "before=" in link)
    assert "act=count" in older
    last = browser.get(older.partition("#")[0])
    assert "+10 10" in said(last) and "Latest" in said(last) and "Older" not in said(last)


@pytest.mark.parametrize(
    ("field", "typed", "refusal"),
    [
        ("since", "tomorrow", "The first day is"),
        ("act", "vanish", "There is no act"),
        ("lot", "\x00", "no label has"),
        ("before", "x", "begin with the latest"),
    ],
)
def test_what_cannot_be_read_is_said_and_kept(
    at: At, small_shop: SmallShop, field: str, typed: str, refusal: str
) -> None:
    answer = at("floor").get(address(small_shop), {field: typed, "reference": "S00099"})
    assert answer.status_code == 422 and refusal in said(answer)
    assert 'value="S00099"' in answer.content.decode()


def test_crossed_days_are_said_by_the_file_too(at: At, small_shop: SmallShop) -> None:
    file = reverse("part-history", args=[small_shop.bolt.pk])
    answer = at("floor").get(file, {"since": "2026-03-02", "until": "2026-03-01"})
    assert answer.status_code == 422 and "exchange them" in said(answer)


def test_the_page_asks_no_more_when_more_is_going_on(
    at: At, small_shop: SmallShop, clerk: Clerk, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    browser = at("counter")
    browser.get(address(small_shop))
    with django_assert_max_num_queries(31) as quiet:
        browser.get(address(small_shop))
    small_shop.put(small_shop.bolt, 100)
    small_shop.put(small_shop.pulley, 10)
    small_shop.put(small_shop.pump, 1, [f"N{number}" for number in range(10, 20)])
    counts = set()
    for _ in range(2):
        send_for(small_shop, clerk, 20)
        ordering.accept(small_shop.counter, small_shop.quote())
        quoting.hold(small_shop.counter, small_shop.quote())
        with django_assert_max_num_queries(31) as busy:
            browser.get(address(small_shop))
        counts.add(len(busy))
    assert len(quiet) < len(busy)  # Nothing kept is asked about no further.
    assert len(counts) == 1
