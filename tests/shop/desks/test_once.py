"""A form's one-time key: a double click acts once, and nothing that was typed is lost."""

import re
from collections.abc import Callable
from http.cookies import SimpleCookie
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Stock
from shop.desks.once import fresh_key
from shop.models import KeptAnswer, Order, Quote
from tests.infrastructure.source import ROOT
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop

AGAIN = "This form came twice; it was done once."
# A form that acts for nobody yet, or no more.
NO_ACT = {"sign_in.html", "base.html"}


def quote_page(quote: Quote) -> str:
    return reverse("quote", args=[quote.pk])


def keys_in(answer: Any) -> list[str]:
    return re.findall(r'name="once" value="([^"]+)"', answer.content.decode())


def test_every_form_that_acts_has_a_key() -> None:
    """By its own tag or that of the part that it includes, which has the other token as well."""
    without = []
    for file in (ROOT / "shop/desks/templates").rglob("*.html"):
        text = file.read_text()
        if file.name not in NO_ACT and text.count("{% csrf_token %}") != text.count("{% once %}"):
            without.append(file.name)
    assert without == [], "Put {% once %} behind {% csrf_token %}."


def test_no_two_forms_have_the_same_key(at: At, small_shop: SmallShop) -> None:
    address = reverse("kit", args=[small_shop.kit().pk]) + "?slot=bolts"
    browser = at("counter")
    keys = [*keys_in(browser.get(address)), *keys_in(browser.get(address))]
    assert len(keys) > 1 and len(set(keys)) == len(keys)


def test_a_form_sent_twice_is_done_once_and_both_go_to_the_same_place(at: At, small_shop: SmallShop) -> None:
    quote, browser = small_shop.quote(), at("counter")
    form = {"do": "accept", "once": fresh_key()}
    first, second = (browser.post(quote_page(quote), form) for _ in range(2))
    assert first.status_code == second.status_code == 303
    assert first["Location"] == second["Location"] == reverse("order", args=[Order.objects.get().pk])
    assert AGAIN in said(browser.get(second["Location"]))
    assert Stock.objects.get(part=small_shop.pump).committed == 1


def test_what_was_done_is_told_once(at: At, small_shop: SmallShop) -> None:
    quote, browser = small_shop.quote(), at("counter")
    form = {"do": "withdraw", "once": fresh_key()}
    first = browser.post(quote_page(quote), form, follow=True)
    second = browser.post(quote_page(quote), form, follow=True)
    assert AGAIN not in said(first) and said(second).count(AGAIN) == 1
    assert 'role="alert"' not in second.content.decode()


def test_other_content_under_a_used_key_is_refused_and_still_in_its_field(
    at: At, small_shop: SmallShop
) -> None:
    quote, browser = small_shop.quote(), at("counter")
    form = {"do": "hold", "hours": "2", "once": fresh_key()}
    browser.post(quote_page(quote), form)
    Quote.objects.update(reservation=None)  # So that the page has its fields again.
    refused = browser.post(quote_page(quote), {**form, "hours": "3"})
    assert refused.status_code == 409 and "sent before with other content" in said(refused)
    assert [one.value for one in read(refused).fields if one.name == "hours"] == ["3"]
    assert Stock.objects.get(part=small_shop.pump).held == 1


def test_a_form_shown_again_after_a_refusal_has_a_fresh_key(at: At, small_shop: SmallShop) -> None:
    refused = at("counter").post(
        quote_page(small_shop.quote()), {"do": "hold", "hours": "none", "once": "key"}
    )
    assert refused.status_code == 422
    assert keys_in(refused) and "key" not in keys_in(refused)
    assert not KeptAnswer.objects.exists()


def test_a_refused_form_may_be_sent_again_with_its_key(at: At, small_shop: SmallShop) -> None:
    quote, browser = small_shop.quote(), at("counter")
    form = {"do": "hold", "hours": "0", "once": fresh_key()}
    assert browser.post(quote_page(quote), form).status_code == 422
    assert browser.post(quote_page(quote), {**form, "hours": "1"}).status_code == 303


@pytest.mark.parametrize("key", ["", "k" * 5000, "\0", "\ud800", "ключ"])
def test_a_form_acts_whatever_its_key_looks_like(at: At, small_shop: SmallShop, key: str) -> None:
    quote = small_shop.quote()
    body = f"do=accept&once={key}".encode(errors="replace")
    sent = at("counter").post(quote_page(quote), body, content_type="application/x-www-form-urlencoded")
    assert sent.status_code == 303 and Order.objects.count() == 1


def test_without_a_key_a_form_acts_as_often_as_it_is_sent(at: At, small_shop: SmallShop) -> None:
    address = reverse("engine", args=[small_shop.engine.code])
    form = {"do": "open", "template": small_shop.template.code}
    first, second = (at("counter").post(address, form) for _ in range(2))
    assert first["Location"] != second["Location"]
    keyed = {**form, "once": fresh_key()}
    first, second = (at("counter").post(address, keyed) for _ in range(2))
    assert first["Location"] == second["Location"]


@pytest.mark.main_job
@pytest.mark.django_db(transaction=True)
def test_of_a_double_click_one_acts_and_both_go_on(
    at: At, small_shop: SmallShop, run_in_threads: Callable[..., list[Any]]
) -> None:
    quote, form = small_shop.quote(), {"do": "accept", "once": fresh_key()}
    browser = at("counter")

    def click() -> Any:
        beside = Client()
        beside.cookies = SimpleCookie(browser.cookies.output(header="", sep=";"))
        return beside.post(quote_page(quote), form)

    answers = run_in_threads(click, click)
    assert [answer.status_code for answer in answers] == [303, 303]
    assert answers[0]["Location"] == answers[1]["Location"]
    assert Order.objects.count() == 1
