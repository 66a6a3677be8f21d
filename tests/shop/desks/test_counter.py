"""From naming the engine to the order, page by page."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Reservation
from kits.models import Check, CheckTerm, CustomKit, FeatureKind, Slot, Substitution
from shop.models import Customer, Order, Quote
from tests.shop.desks.catalogue import drafting, offer
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


def swap(browser: Client, kit: CustomKit, slot: str, key: str, **more: str) -> Any:
    form = {"do": "swap", "slot": slot, "key": key, "version": str(kit.version), **more}
    return browser.post(reverse("kit", args=[kit.pk]), form)


@pytest.mark.parametrize("words", ["tarn", "T2", "orrin two-cyl", "1994 tarn"])
def test_an_engine_is_found_by_what_the_customer_says(at: At, small_shop: SmallShop, words: str) -> None:
    page = at("counter").get(reverse("counter"), {"engine": words}).content.decode()
    assert reverse("engine", args=["T2"]) in page


def test_an_engine_of_another_year_is_not_found(at: At, small_shop: SmallShop) -> None:
    answer = at("counter").get(reverse("counter"), {"engine": "tarn 1971"})
    assert reverse("engine", args=["T2"]) not in answer.content.decode()
    assert "No engine answers to “tarn 1971”" in said(answer)


def test_a_conversion_is_opened_as_a_kit(at: At, small_shop: SmallShop) -> None:
    browser = at("counter")
    form = {"do": "open", "template": "belt-pump", "note": "for the Teal"}
    opened = browser.post(reverse("engine", args=["T2"]), form, follow=True)
    kit = CustomKit.objects.get()
    assert opened.redirect_chain == [(reverse("kit", args=[kit.pk]), 303)]
    assert kit.number in said(opened) and "for the Teal" in said(opened)
    assert "166.00" in said(opened)
    bolts = browser.get(reverse("kit", args=[kit.pk]), {"slot": "bolts"})
    assert "They stretch once." in said(bolts)


def test_a_conversion_that_does_not_exist_says_why(at: At, small_shop: SmallShop) -> None:
    with drafting(small_shop.revision):
        small_shop.revision.engines.clear()
    browser = at("counter")
    page = browser.get(reverse("engine", args=["T2"]))
    assert "Does not exist for this engine." in said(page) and "not released for" in said(page)
    refused = browser.post(reverse("engine", args=["T2"]), {"do": "open", "template": "belt-pump"})
    assert refused.status_code == 422 and "There is no conversion for it." in said(refused)
    assert not CustomKit.objects.exists()


def test_a_swap_changes_the_price_and_opens_the_same_slot_again(at: At, small_shop: SmallShop) -> None:
    with drafting(small_shop.revision):
        offer(small_shop.pump, "pulley", rank=2)
    kit = small_shop.kit()
    done = swap(at("counter"), kit, "pulley", f"parts:{small_shop.pump.pk}")
    assert done.status_code == 303 and done.headers["Location"].endswith("?slot=pulley&check=#slot-pulley")
    page = said(at("counter").get(done.headers["Location"]))
    assert "246.00" in page and "+80.00" in page


def test_a_refused_swap_says_what_may_go_there(at: At, small_shop: SmallShop) -> None:
    kit = small_shop.kit()
    refused = swap(at("counter"), kit, "pulley", "parts:999999")
    assert refused.status_code == 422
    assert "Orrin OR-40" in said(refused) and 'role="alert"' in refused.content.decode()


def test_a_swap_on_an_old_screen_is_refused(at: At, small_shop: SmallShop) -> None:
    kit = small_shop.kit()
    browser = at("counter")
    key = f"parts:{small_shop.pulley.pk}"
    swap(browser, kit, "pulley", key)
    refused = swap(browser, kit, "pulley", key)
    assert refused.status_code == 409 and "changed by somebody else" in said(refused)


def test_an_agreement_is_asked_for_where_it_is_needed(at: At, small_shop: SmallShop) -> None:
    with drafting(small_shop.revision):
        slot = offer(small_shop.pump, "pulley", rank=2)
        Substitution.objects.create(
            slot=slot, standard=small_shop.pulley, stand_in=small_shop.pump, agreement="customer"
        )
    kit, key = small_shop.kit(), f"parts:{small_shop.pump.pk}"
    browser = at("counter")
    opened = browser.get(reverse("kit", args=[kit.pk]), {"slot": "pulley"})
    assert "The customer has to agree" in said(opened)
    assert swap(browser, kit, "pulley", key).status_code == 422
    kit.refresh_from_db()
    assert swap(browser, kit, "pulley", key, agreed="Ines, by telephone").status_code == 303


def test_a_size_that_cannot_be_read_stays_in_its_field(at: At, small_shop: SmallShop) -> None:
    with drafting(small_shop.revision):
        slot = Slot.objects.get(code="pulley")
        slot.own_allowed = True
        slot.save()
        check = Check.objects.create(
            revision=small_shop.revision, code="gap", name="Gap", kind="chain", at_least=0, at_most=100
        )
        kind = FeatureKind.objects.create(code="hub-length", name="hub length")
        CheckTerm.objects.create(of=check, sequence=1, slot=slot, feature=kind, sign=1)
    refused = swap(at("counter"), small_shop.kit(), "pulley", "own", **{"own-hub-length": "about 19"})
    assert refused.status_code == 422
    assert [one.value for one in read(refused).fields if one.name == "own-hub-length"] == ["about 19"]


def test_a_kit_is_quoted_for_a_customer_we_know(at: At, small_shop: SmallShop) -> None:
    kit, browser = small_shop.kit(), at("counter")
    address = reverse("kit-quote", args=[kit.pk])
    assert "Ines Halloran" in said(browser.get(address, {"who": "halloran"}))
    form = {"do": "quote", "customer": small_shop.customer.pk, "quantity": "2", "channel": "phone"}
    quoted = browser.post(address, form, follow=True)
    quote = Quote.objects.get()
    assert quote.number in said(quoted) and "408.36" in said(quoted)  # 2 x 166.00 and 23 % on it


def test_a_new_customer_is_written_down_with_the_quote(at: At, small_shop: SmallShop) -> None:
    form = {"do": "quote", "name": "Tam Orr", "phone": "555 0101", "quantity": "1", "channel": "bench"}
    at("counter").post(reverse("kit-quote", args=[small_shop.kit().pk]), form)
    assert Quote.objects.get().customer == Customer.objects.get(name="Tam Orr", phone="555 0101")


@pytest.mark.parametrize(
    "form",
    [
        {"name": "Tam Orr", "quantity": "none"},
        {"name": "Tam Orr", "quantity": "5000"},
        {"name": "Tam Orr", "quantity": "1", "email": "tam at home"},
        {"name": "", "quantity": "1", "phone": "555 0101"},
    ],
)
def test_a_refused_quote_keeps_what_was_typed_and_nobody_is_written_down(
    at: At, small_shop: SmallShop, form: dict[str, str]
) -> None:
    kit = small_shop.kit()
    refused = at("counter").post(reverse("kit-quote", args=[kit.pk]), {"do": "quote", **form})
    assert refused.status_code == 422 and 'role="alert"' in refused.content.decode()
    kept = {one.name: one.value for one in read(refused).fields}
    assert {name: kept[name] for name in form} == form
    assert not Customer.objects.filter(name="Tam Orr").exists() and not Quote.objects.exists()


def test_a_quote_is_held_and_accepted(at: At, small_shop: SmallShop) -> None:
    quote, browser = small_shop.quote(), at("counter")
    address = reverse("quote", args=[quote.pk])
    assert "held until" in said(browser.post(address, {"do": "hold", "hours": "3"}, follow=True))
    ordered = browser.post(address, {"do": "accept"}, follow=True)
    assert "ready to pick" in said(ordered) and Order.objects.get().number in said(ordered)


def test_a_withdrawn_quote_holds_nothing(at: At, small_shop: SmallShop) -> None:
    quote, browser = small_shop.quote(), at("counter")
    address = reverse("quote", args=[quote.pk])
    browser.post(address, {"do": "hold"})
    assert "withdrawn" in said(browser.post(address, {"do": "withdraw"}, follow=True))
    assert Reservation.objects.get().state == Reservation.State.RELEASED


def test_what_is_short_is_listed_with_its_date(at: At, small_shop: SmallShop) -> None:
    quote = small_shop.quote(3)  # nine pulleys' worth of bolts are not there: 12 of 10
    refused = at("counter").post(reverse("quote", args=[quote.pk]), {"do": "hold", "hours": "7"})
    assert refused.status_code in (409, 422)
    assert "12 wanted, 10 free" in said(refused)
    assert [one.value for one in read(refused).fields if one.name == "hours"] == ["7"]


def test_a_waiting_order_says_what_it_waits_for(at: At, small_shop: SmallShop) -> None:
    quote = small_shop.quote(3)
    page = said(at("counter").post(reverse("quote", args=[quote.pk]), {"do": "accept"}, follow=True))
    assert "waits for parts" in page and "12 × OR-8B bolt wanted, 10 free" in page
    assert "nobody offers it" in page  # the third pump


def test_a_button_that_does_not_exist_is_refused(at: At, small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    assert at("counter").post(reverse("quote", args=[quote.pk]), {"do": "context"}).status_code == 422


def test_a_form_from_elsewhere_is_refused(at: At, small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    stranger = Client(enforce_csrf_checks=True)
    stranger.force_login(small_shop.counter)
    assert stranger.post(reverse("quote", args=[quote.pk]), {"do": "withdraw"}).status_code == 403
    quote.refresh_from_db()
    assert quote.state == Quote.State.OPEN


@pytest.mark.parametrize("words", ["ines", "Q{}"])
def test_a_quote_is_found_by_number_and_customer(at: At, small_shop: SmallShop, words: str) -> None:
    quote = small_shop.quote()
    page = at("counter").get(reverse("counter"), {"paper": words.format(quote.pk)})
    assert quote.number in said(page)
    assert quote.number not in said(at("counter").get(reverse("counter"), {"paper": "nobody"}))
