"""The page of what the stock is worth, now or at the end of a day, and the same as a file."""

from __future__ import annotations

import csv
from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from inventory.models import Part
from shop.desks import stock_value
from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop

PAGE, FILE = "/stock/value/", "/stock/value.csv"


@pytest.fixture
def received(small_shop: SmallShop, clerk: Clerk) -> SmallShop:
    """Ten bolts at 0.75 and three pulleys at 20.00, as offered; today five more pulleys for 100.00."""
    Stages(small_shop, clerk).received()
    return small_shop


def test_it_tells_pieces_average_value_and_the_sum(at: At, received: SmallShop) -> None:
    answer = at("buying").get(PAGE)
    assert "OR-40 pulley Orrin 8 20.00 160.00" in said(answer)
    assert "OR-8B bolt Orrin 10 0.75 7.50" in said(answer)
    assert "All stock, EUR 167.50" in said(answer)
    assert said(answer).index("OR-40") < said(answer).index("OR-8B")
    assert read(answer).faults == []


def test_a_day_that_is_over_is_told_as_it_ended(at: At, received: SmallShop) -> None:
    today = timezone.localdate()
    browser = at("buying")
    with time_machine.travel(timezone.now() + timedelta(days=3)):
        received.put(received.bolt, 100)
        browser = at("buying")
        assert "OR-8B bolt Orrin 110" in said(browser.get(PAGE))
        answer = browser.get(PAGE, {"on": f"{today}"})
        assert "OR-8B bolt Orrin 10 0.75 7.50" in said(answer) and "167.50" in said(answer)
        assert f"At the end of {today}" in said(answer)
        link = next(link for link in read(answer).links if link.startswith(FILE))
        assert link.endswith(f"?on={today}")
        before = browser.get(PAGE, {"on": f"{today - timedelta(days=9)}"})
        assert "Nothing lay in the shop" in said(before)


def test_the_file_has_all_of_it_in_plain_figures(at: At, received: SmallShop) -> None:
    answer = at("buying").get(FILE)
    rows = list(csv.DictReader(answer.getvalue().decode().splitlines()))
    assert [(row["part"], row["pieces"], row["average"], row["value"]) for row in rows][:2] == [
        ("OR-40", "8", "20.0000", "160.0000"),
        ("OR-8B", "10", "0.7500", "7.5000"),
    ]
    assert "attachment" in answer["Content-Disposition"]


def test_each_lot_is_told_where_lots_cost_by_themselves(at: At, received: SmallShop) -> None:
    tracked = {"tracking": Part.Tracking.LOT, "costing": Part.Costing.LOT}
    part = Part.objects.create(
        maker=received.pulley.maker, number="OR-5", name="seal", category=received.pulley.category, price=9,
        **tracked,
    )  # fmt: skip
    received.bins[part.pk] = received.bins[received.bolt.pk]
    received.put(part, 1, ["L1", "=L2"])
    assert "seal Orrin, lot L1 1" in said(at("buying").get(PAGE))
    assert "'=L2" in at("buying").get(FILE).getvalue().decode()


@pytest.mark.parametrize("address", [PAGE, FILE])
@pytest.mark.parametrize(
    ("on", "refusal"),
    [("9999-12-31", "has not come yet"), ("soon", "year-month-day"), ("\x00", "year-month-day")],
)
def test_a_day_that_cannot_be_told_is_refused_and_kept(
    at: At, small_shop: SmallShop, address: str, on: str, refusal: str
) -> None:
    answer = at("buying").get(address, {"on": on})
    assert answer.status_code == 422 and refusal in said(answer)


def test_the_first_day_of_all_has_nothing(at: At, small_shop: SmallShop) -> None:
    assert "Nothing lay in the shop" in said(at("buying").get(PAGE, {"on": "0001-01-01"}))


def test_the_most_valuable_are_shown_and_the_sum_has_all(
    at: At, received: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stock_value, "MOST", 1)
    page = said(at("buying").get(PAGE))
    assert "OR-40" in page and "OR-8B" not in page and "167.50" in page and "each worth less" in page


@pytest.mark.parametrize("address", [PAGE, FILE])
def test_it_is_for_whoever_buys(at: At, small_shop: SmallShop, address: str) -> None:
    assert at("floor").get(address).status_code == 403
    assert PAGE in read(at("buying").get(reverse("buying"))).links
