"""The papers open from their addresses, for the desks that print them."""

from django.urls import reverse

from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said
from tests.shop.small import SmallShop


def test_quote_and_fitting_sheet_print(at: At, small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    kit = quote.kits.get()
    assert quote.number in said(at("counter").get(reverse("paper", args=["quote-sheet", quote.pk])))
    sheet = said(at("floor").get(reverse("paper", args=["fitting-sheet", kit.pk])))
    assert "Slide the pulley on." in sheet and "They stretch once." in sheet


def test_prices_are_not_for_the_floor(at: At, small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    assert at("floor").get(reverse("paper", args=["quote-sheet", quote.pk])).status_code == 403


def test_a_paper_that_does_not_exist_is_not_found(at: At, small_shop: SmallShop) -> None:
    assert at("counter").get(reverse("paper", args=["waybill", 1])).status_code == 404
    assert at("counter").get(reverse("paper", args=["quote-sheet", 1])).status_code == 404


def test_a_paper_has_no_buttons(at: At, small_shop: SmallShop) -> None:
    paper = reverse("paper", args=["quote-sheet", small_shop.quote().pk])
    assert at("counter").post(paper, {"do": "hold"}).status_code == 405
