"""Looking up stock, for every desk."""

import pytest
from django.urls import reverse

from inventory.models import AlternateNumber
from shop import ordering
from shop.models import Order
from tests.shop.api.stages import Stages
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said
from tests.shop.small import SmallShop


@pytest.mark.parametrize("words", ["OR-8B", "or8b", "bolt", "orrin bolt", "drive bolt", "5 999-1"])
def test_a_part_is_found_by_number_name_maker_and_old_number(
    at: At, small_shop: SmallShop, words: str
) -> None:
    AlternateNumber.objects.create(part=small_shop.bolt, number="5999/1", kind="earlier")
    page = at("catalogue").get(reverse("stock"), {"find": words}).content.decode()
    assert reverse("part", args=[small_shop.bolt.pk]) in page
    assert reverse("part", args=[small_shop.pump.pk]) not in page


def test_nothing_found_says_so(at: At, small_shop: SmallShop) -> None:
    assert "No part has “flywheel”" in said(at("floor").get(reverse("stock"), {"find": "flywheel"}))


def test_a_part_shows_what_is_kept_and_where_it_lies(at: At, small_shop: SmallShop) -> None:
    ordering.accept(small_shop.counter, small_shop.quote())
    page = said(at("buying").get(reverse("part", args=[small_shop.bolt.pk])))
    assert "On hand 10" in page and "Committed 4" in page and "Free now 6" in page
    assert "A-1-3 not tracked 10" in page and "Pell Stores" in page


@pytest.mark.parametrize(
    ("desk", "address", "asked"),
    [
        ("floor", "stock", {"find": "OR-8B\x00"}),
        ("counter", "how-many", {"count": "1", "template": "\x00belt-pump", "engine": "T2\x00"}),
        ("counter", "counter", {"engine": "T2\x00", "paper": "\x00Q1"}),
    ],
)
@pytest.mark.usefixtures("small_shop")
def test_what_no_database_takes_is_skipped_in_a_search(
    at: At, desk: str, address: str, asked: dict[str, str]
) -> None:
    assert at(desk).get(reverse(address), asked).status_code == 200


def test_what_no_database_takes_is_not_written_either(at: At, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    form = {"do": "cancel", "reason": "he rang\x00"}
    answer = at("counter").post(reverse("order", args=[order.pk]), form)
    assert answer.status_code == 422 and "no label has" in said(answer)
    order.refresh_from_db()
    assert order.state == Order.State.READY


def test_a_carrier_longer_than_any_name_is_refused_in_words(at: At, stages: Stages) -> None:
    parcel = stages.parcel()
    form = {"do": "ship", "parcel": str(parcel.pk), "carrier": "Q" * 61}
    answer = at("floor").post(reverse("packing", args=[parcel.order_id]), form)
    assert answer.status_code == 422 and "write at most 60" in said(answer)
