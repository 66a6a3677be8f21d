"""Carrying pieces to another place, from the page of their part."""

from __future__ import annotations

import pytest
from django.urls import reverse

from inventory.models import Balance, Movement, Part
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


def address(part: Part) -> str:
    return reverse("part", args=[part.pk])


def form(**typed: str) -> dict[str, str]:
    wish = {"from": "A-1-3", "to": "BENCH", "pieces": "4"} | typed
    return {"do": "carry", **{f"carry_{name}": value for name, value in wish.items()}}


def test_the_floor_carries_pieces_to_another_place(at: At, small_shop: SmallShop) -> None:
    bolt = small_shop.bolt
    done = at("floor").post(address(bolt), form(to="bench"), follow=True)
    assert "Carried: 4 × OR-8B from A-1-3 to BENCH" in said(done)
    lying = Balance.objects.filter(part=bolt).values_list("place__code", "quantity")
    assert dict(lying) == {"A-1-3": 6, "BENCH": 4}
    assert Movement.objects.get(act="move").by.username == "clerk-floor"


@pytest.mark.parametrize(
    ("typed", "refusal"),
    [
        ({"pieces": "11"}, "10"),
        ({"pieces": ""}, "missing"),
        ({"to": "A-1-3"}, "two different places"),
        ({"to": "moon"}, "There is no place"),
        ({"lot": "L7"}, "no lot or serial number"),
        ({"reference": "r" * 61}, "at most 60"),
    ],
)
def test_what_is_refused_is_said_and_kept(
    at: At, small_shop: SmallShop, typed: dict[str, str], refusal: str
) -> None:
    wish = form(**typed)
    answer = at("floor").post(address(small_shop.bolt), wish)
    assert answer.status_code in (409, 422) and refusal in said(answer)
    kept = {one.name: one.value for one in read(answer).fields}
    assert all(kept[name] == wish[name] for name in ("carry_from", "carry_to", "carry_pieces"))
    assert "History" in said(answer) and not Movement.objects.filter(act="move").exists()


def test_a_serial_is_carried_by_its_number(at: At, small_shop: SmallShop) -> None:
    browser, pump = at("floor"), small_shop.pump
    page = read(browser.get(address(pump)))
    link = next(link for link in page.links if "carry_lot=N2" in link)
    filled = {one.name: one.value for one in read(browser.get(link.partition("#")[0])).fields}
    assert (filled["carry_from"], filled["carry_lot"]) == ("A-1-2", "N2")
    wish = form(**{"from": "A-1-2", "lot": "n2", "pieces": "1"})
    browser.post(address(pump), wish)
    assert str(Balance.objects.get(part=pump, place__code="BENCH").lot) == "N2"


def test_where_it_lies_in_one_place_that_is_filled_in(at: At, small_shop: SmallShop) -> None:
    answer = at("floor").get(address(small_shop.bolt))
    assert {one.name: one.value for one in read(answer).fields}["carry_from"] == "A-1-3"
    assert read(answer).faults == []


def test_it_is_not_for_the_counter(at: At, small_shop: SmallShop) -> None:
    browser = at("counter")
    assert "Carry" not in said(browser.get(address(small_shop.bolt)))
    assert browser.post(address(small_shop.bolt), form()).status_code == 403


def test_the_history_file_carries_nothing(at: At, small_shop: SmallShop) -> None:
    file = reverse("part-history", args=[small_shop.bolt.pk])
    assert at("floor").post(file, form()).status_code == 422
    assert not Movement.objects.filter(act="move").exists()
