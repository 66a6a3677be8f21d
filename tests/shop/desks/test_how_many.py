"""How many whole kits could ship, as buying and the counter see it."""

import pytest
from django.urls import reverse

from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


@pytest.mark.parametrize("desk", ["buying", "counter"])
def test_it_says_how_many_and_what_is_in_the_way(at: At, small_shop: SmallShop, desk: str) -> None:
    page = at(desk).get(reverse("how-many"), {"count": "1", "template": "belt-pump", "engine": "T2"})
    assert read(page).faults == []
    assert "2 whole kits could ship" in said(page)
    assert "One more lacks" in said(page) and "In 30 days" in said(page)


def test_the_plan_may_be_the_one_that_sells_for_most(at: At, small_shop: SmallShop) -> None:
    asked = {"count": "1", "template": "belt-pump", "engine": "T2", "most": "money"}
    page = at("buying").get(reverse("how-many"), asked)
    assert read(page).faults == []
    assert "the most money that the shelves give" in said(page) and "Price" in said(page)
    plain = said(at("buying").get(reverse("how-many"), asked | {"most": "kits"}))
    assert "the most money" not in plain


def test_the_sheet_comes_before_the_count(at: At, small_shop: SmallShop) -> None:
    page = at("buying").get(reverse("how-many"))
    assert "Counting all released conversions" in said(page) and read(page).faults == []


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"template": "x"}, "no released template"),
        ({"on": "soon"}, "The day is"),
        ({"on": "2020-01-01"}, "is over"),
    ],
)
def test_what_cannot_be_counted_is_said(
    at: At, small_shop: SmallShop, asked: dict[str, str], told: str
) -> None:
    assert told in said(at("buying").get(reverse("how-many"), {"count": "1", **asked}))


def test_the_floor_does_not_ask_for_it(at: At, small_shop: SmallShop) -> None:
    assert at("floor").get(reverse("how-many")).status_code == 403
    assert reverse("how-many") not in at("floor").get(reverse("stock")).content.decode()
    assert reverse("how-many") in at("buying").get(reverse("buying")).content.decode()
