"""The papers: everything on them comes from what the quote keeps, and they print without help."""

from datetime import timedelta
from html.parser import HTMLParser

import pytest
import time_machine
from django.utils import timezone

from shop import documents, ordering, packing, picking, quoting
from shop.models import Parcel, Quote
from tests.clerks import Clerk
from tests.shop.small import SmallShop


class Outline(HTMLParser):
    """Checks that tags close, and gathers the text and every address that a page would fetch."""

    VOID = frozenset({"meta", "br", "link", "img"})

    def __init__(self, page: str) -> None:
        super().__init__()
        self.opened: list[str] = []
        self.words: list[str] = []
        self.fetched: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.fetched += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in self.VOID:
            self.opened.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.opened.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.opened and self.opened[-1] != "style":
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


def page_text(name: str, thing: object) -> str:
    page = documents.render(name, thing)
    outline = Outline(page)
    assert page.startswith("<!doctype html>") and outline.opened == []
    assert "@page" in page and outline.fetched == []  # its own print stylesheet, and nothing to fetch
    return outline.text


def packed(shop: SmallShop, clerk: Clerk) -> Parcel:
    order = ordering.accept(shop.counter, shop.quote())
    for stop in picking.make_walk(clerk("floor"), [order]).stops.all():
        picking.pick(clerk("floor"), stop, scanned=stop.part.number, lot=stop.lot.code if stop.lot else "")
    return packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})


def test_the_quote_sheet_says_until_when_parts_are_held_by_the_clock(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(), hours=1)
    assert quote.reservation is not None
    assert documents.quote_sheet(quote)["sheet"].held_until == quote.reservation.until
    with time_machine.travel(timezone.now() + timedelta(hours=2)):
        assert documents.quote_sheet(quote)["sheet"].held_until is None


def test_the_quote_sheet_shows_what_is_to_pay(small_shop: SmallShop) -> None:
    quote = Quote.objects.get(pk=small_shop.quote(2).pk)
    text = page_text("quote-sheet", quote)
    for words in ("Ines Halloran", "Quay 4", "2 × Belt pump", "166.00", "332.00", str(quote.gross), "EUR"):
        assert words in text


def test_the_fitting_sheet_answers_the_next_calls(small_shop: SmallShop) -> None:
    text = page_text("fitting-sheet", small_shop.quote().kits.get())
    for words in (
        "Never re-use Bolts: They stretch once. Before",
        "Slide the pulley on.",
        "Way round: Hub towards the engine.",
        "Caution: Engine off and cold.",
        "OR-7P",
        "Verdict: goes together.",
        "Belt pump revision 1",
        "manual",
    ):
        assert words in text


def test_the_fitting_sheet_never_hides_that_something_must_be_measured(small_shop: SmallShop) -> None:
    kit = small_shop.quote().kits.get()
    kit.verdict = "measure first"
    text = page_text("fitting-sheet", kit)
    assert "Measure first" in text and "goes together." not in text.split("Never re-use")[0]


def test_a_caution_cannot_break_out_of_the_page(small_shop: SmallShop) -> None:
    kit = small_shop.quote().kits.get()
    kit.record["cautions"] = ["<script>alert(1)</script>"]
    assert "<script>" not in documents.render("fitting-sheet", kit)


def test_the_fitting_sheet_of_a_packed_kit_names_the_serial_numbers(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    parcel = packed(small_shop, clerk)
    text = page_text("fitting-sheet", parcel.order.quote.kits.get())
    assert "As built" in text and "N1" in text and "N2" not in text


def test_the_walk_sheet_lists_the_stops_in_order(small_shop: SmallShop, clerk: Clerk) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote())
    walk = picking.make_walk(clerk("floor"), [order])
    text = page_text("walk-sheet", walk)
    assert text.index("A-1-1") < text.index("A-1-2") < text.index("A-1-3")
    assert order.number in text and "OR-8B" in text


def test_the_parcel_label_says_where_to(small_shop: SmallShop, clerk: Clerk) -> None:
    parcel = packed(small_shop, clerk)
    text = page_text("parcel-label", parcel)
    for words in (parcel.number, parcel.order.number, "Ines Halloran", "Saltby", "Belt pump"):
        assert words in text


def test_an_unknown_paper_names_those_that_exist(small_shop: SmallShop) -> None:
    with pytest.raises(LookupError, match="fitting-sheet"):
        documents.render("poster", small_shop.customer)
    with pytest.raises(TypeError, match="Quote"):
        documents.render("quote-sheet", small_shop.customer)
