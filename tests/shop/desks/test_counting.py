"""The pages for counting: blind, line by line, and what waits for a second person."""

import re

import pytest
from django.urls import reverse

from inventory import counting, rounds
from inventory.models import Correction, CountLine, CountRound, Stock
from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


@pytest.fixture
def line(small_shop: SmallShop, clerk: Clerk) -> CountLine:
    """Ten bolts should lie there."""
    return rounds.make_round(clerk("floor"), "quarter", parts=[small_shop.bolt]).lines.get()


@pytest.fixture
def waiting(small_shop: SmallShop, clerk: Clerk) -> Correction:
    pulley = small_shop.pulley
    bin_ = small_shop.bins[pulley.pk]
    return counting.adjust(clerk("floor"), pulley, bin_, 30, "a forgotten crate")


def sheet(line: CountLine) -> str:
    return reverse("count-round", args=[line.round_id])


def pieces(page: str) -> set[str]:
    """Every number that stands by itself; those in a place, a date or a paper's number do not."""
    return set(re.findall(r"(?<![\w-])\d+(?![\w-])", page))


def test_a_round_of_what_is_due_and_one_of_places_are_made_from_the_floor(
    at: At, small_shop: SmallShop
) -> None:
    browser = at("floor")
    assert reverse("counts") in read(browser.get(reverse("floor"))).links
    made = browser.post(reverse("counts"), {"do": "due", "most": "2"}, follow=True)
    assert "0 of 2 lines settled" in said(made)
    refused = browser.post(reverse("counts"), {"do": "places", "places": "A-1-1, Z-9", "why": "leak"})
    assert refused.status_code == 422 and "Z-9" in said(refused)
    assert [one.value for one in read(refused).fields if one.name == "why"] == ["leak"]
    browser.post(reverse("counts"), {"do": "places", "places": "a-1-1 A-1-2 A-1-3", "why": "leak"})
    assert CountRound.objects.count() == 2


def test_the_page_shows_place_and_part_and_not_how_many_should_be_there(at: At, line: CountLine) -> None:
    page = said(at("floor").get(sheet(line)))
    assert "A-1-3" in page and "OR-8B" in page and "10" not in pieces(page)


def test_a_count_that_is_off_is_shown_to_nobody_until_somebody_else_has_counted(
    at: At, line: CountLine
) -> None:
    floor, buying = at("floor"), at("buying")
    first = floor.post(sheet(line), {"do": "enter", "line": "1", "found": "7"}, follow=True)
    assert "to be counted again" in said(first) and "Nothing more for you" in said(first)
    page = said(buying.get(sheet(line)))
    assert "two counts have to agree" in page and "7" not in pieces(page)
    second = buying.post(sheet(line), {"do": "enter", "line": "1", "found": "7"}, follow=True)
    assert "The round is done." in said(second) and "7 found, off by -3" in said(second)
    assert Stock.objects.get(part=line.part).on_hand == 7


def test_a_number_that_is_none_is_refused_and_stays_in_its_field(at: At, line: CountLine) -> None:
    refused = at("floor").post(sheet(line), {"do": "enter", "line": "1", "found": "ten"})
    assert refused.status_code == 422
    assert [one.value for one in read(refused).fields if one.name == "found"] == ["ten"]


def test_another_line_may_be_taken_first_and_one_may_be_left(
    at: At, small_shop: SmallShop, clerk: Clerk
) -> None:
    round_ = rounds.make_round(clerk("floor"), "quarter", parts=[small_shop.bolt, small_shop.pulley])
    address, browser = reverse("count-round", args=[round_.pk]), at("floor")
    assert "Go to A-1-3" in said(browser.get(address, {"line": "2"}))
    left = browser.post(address, {"do": "leave", "line": "2", "reason": "no ladder"}, follow=True)
    assert "left as it was" in said(left) and "1 of 2 lines settled" in said(left)


def test_a_correction_is_approved_by_another_desk_and_not_by_who_asked(at: At, waiting: Correction) -> None:
    page = said(at("floor").get(reverse("corrections")))
    assert "+30 × OR-40" in page and "a forgotten crate" in page and "Approve" not in page
    form = {"do": "approve", "correction": waiting.pk}
    assert at("floor").post(reverse("corrections"), form).status_code == 403
    assert reverse("corrections") in read(at("buying").get(reverse("buying"))).links
    assert "Posted" in said(at("buying").post(reverse("corrections"), form, follow=True))
    assert Stock.objects.get(part=waiting.part).on_hand == 33


def test_a_correction_is_refused_with_a_reason(at: At, waiting: Correction) -> None:
    form = {"do": "refuse", "correction": waiting.pk, "because": ""}
    assert at("buying").post(reverse("corrections"), form).status_code == 422
    form["because"] = "it belongs to a customer"
    assert "the ledger stands" in said(at("buying").post(reverse("corrections"), form, follow=True))


def test_who_counted_what_is_shown_to_who_approves(at: At, clerk: Clerk, line: CountLine) -> None:
    for desk in ("buying", "floor"):
        rounds.enter_count(clerk(desk), line, 800)
    page = said(at("buying").get(reverse("corrections")))
    assert "clerk-floor found 800" in page and "10 should have been there" in page
    assert "You asked for it" in page


@pytest.mark.parametrize(("do", "pieces", "left"), [("more", "2", 12), ("fewer", "2", 8), ("scrap", "1", 9)])
def test_a_place_is_corrected_from_the_floor(
    at: At, small_shop: SmallShop, do: str, pieces: str, left: int
) -> None:
    form = {"do": do, "part": "or 8b", "place": "a-1-3", "pieces": pieces, "reason": "seen", "lot": ""}
    assert at("floor").post(reverse("corrections"), form).status_code == 303
    assert Stock.objects.get(part=small_shop.bolt).on_hand == left


@pytest.mark.parametrize(
    ("field", "typed"), [("part", "XX-1"), ("place", "Z-9"), ("lot", "L7"), ("pieces", "-1"), ("reason", "")]
)
def test_what_cannot_be_read_is_said_and_kept(at: At, small_shop: SmallShop, field: str, typed: str) -> None:
    good = {"part": "OR-8B", "place": "A-1-3", "pieces": "1", "reason": "seen", "lot": ""}
    refused = at("floor").post(reverse("corrections"), {**good, "do": "more", field: typed})
    assert refused.status_code == 422
    assert [one.value for one in read(refused).fields if one.name == field] == [typed]
    assert Stock.objects.get(part=small_shop.bolt).on_hand == 10


def test_the_counting_pages_read_well(at: At, line: CountLine, waiting: Correction) -> None:
    pages = [reverse("counts"), sheet(line), reverse("corrections")]
    for desk in ("floor", "buying"):
        assert {page: read(at(desk).get(page)).faults for page in pages} == {page: [] for page in pages}
    assert all(at("counter").get(page).status_code == 403 for page in pages)
