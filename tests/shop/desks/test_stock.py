"""Looking up stock, for every desk."""

import pytest
from django.urls import reverse

from inventory.models import AlternateNumber
from shop import ordering
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
