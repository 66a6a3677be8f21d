"""Quotes over HTTP: made, held, withdrawn, accepted."""

from __future__ import annotations

from datetime import datetime, timedelta

import time_machine
from django.utils import timezone

from inventory.promising import free
from shop.models import Quote
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_a_quote_keeps_prices_as_text_and_what_it_was_made_with(stages: Stages, api: Api) -> None:
    kit = stages.kit()
    body = {"customer": stages.shop.customer.pk, "kits": [{"kit": kit.pk, "quantity": 2}], "days": 7}
    quote = api("counter").made("quotes/", {**body, "channel": "web"})
    assert quote["number"] == f"Q{quote['id']:05d}"
    assert (quote["net"], quote["tax"], quote["gross"]) == ("332.00", "76.36", "408.36")
    assert (quote["customer"]["name"], quote["channel"], quote["state"]) == ("Ines Halloran", "web", "open")
    [quoted] = quote["kits"]
    assert (quoted["kit"], quoted["quantity"], quoted["verdict"]) == (kit.number, 2, "goes together")
    assert (quoted["price"], quoted["difference"]) == ("166.00", "0.00")
    assert [line["part"]["number"] for line in quoted["lines"]] == ["OR-40", "OR-7P", "OR-8B"]
    assert quoted["record"]
    valid = datetime.fromisoformat(quote["valid_until"]) - timezone.now()
    assert timedelta(days=6, hours=23) < valid <= timedelta(days=7)


def test_a_quote_is_read_by_its_printed_number(stages: Stages, api: Api) -> None:
    quote = stages.quote()
    assert api("buying").read(f"quotes/{quote.number}/")["id"] == quote.pk


def test_a_hold_keeps_the_parts_until_its_time(stages: Stages, api: Api) -> None:
    pump = stages.shop.pump.pk
    held = api("counter").made(f"quotes/{stages.quote().pk}/hold/", {"hours": 2})
    assert (held["reservation"]["kind"], held["reservation"]["live"]) == ("hold", True)
    assert free([pump], timezone.now())[pump] == 1
    with time_machine.travel(timezone.now() + timedelta(hours=3)):
        later = api("counter").read(f"quotes/{held['id']}/")["reservation"]
        assert (later["state"], later["live"]) == ("kept", False)


def test_a_hold_that_falls_short_says_what_and_when(stages: Stages, api: Api) -> None:
    quote = stages.shop.quote(3)
    document = problem(api("counter").post(f"quotes/{quote.pk}/hold/"), 409, "short")
    pump, bolt = document["lines"]
    assert (pump["number"], pump["wanted"], pump["free"], pump["on"]) == ("OR-7P", 3, 2, None)
    assert (bolt["number"], bolt["wanted"], bolt["free"]) == ("OR-8B", 12, 10)
    assert bolt["on"] == (timezone.localdate() + timedelta(days=5)).isoformat()


def test_a_withdrawn_quote_lets_go(stages: Stages, api: Api) -> None:
    pump, quote = stages.shop.pump.pk, stages.quote()
    api("counter").made(f"quotes/{quote.pk}/hold/")
    withdrawn = api("counter").made(f"quotes/{quote.pk}/withdraw/")
    assert (withdrawn["state"], withdrawn["reservation"]["live"]) == ("withdrawn", False)
    assert free([pump], timezone.now())[pump] == 2
    problem(api("counter").post(f"quotes/{quote.pk}/accept/"), 409, "withdrawn")


def test_an_accepted_quote_is_an_order_with_its_parts_committed(stages: Stages, api: Api) -> None:
    quote = stages.quote()
    api("counter").made(f"quotes/{quote.pk}/hold/")
    order = api("counter").made(f"quotes/{quote.pk}/accept/")
    assert (order["quote"], order["state"]) == (quote.number, "ready")
    assert (order["reservation"]["kind"], order["reservation"]["live"]) == ("commitment", True)
    document = problem(api("counter").post(f"quotes/{quote.pk}/accept/"), 409, "already-accepted")
    assert document["order"] == order["number"]


def test_a_quote_that_was_valid_is_so_no_longer(stages: Stages, api: Api) -> None:
    quote = stages.shop.quote(days=1)
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        document = problem(api("counter").post(f"quotes/{quote.pk}/accept/"), 409, "quote-lapsed")
    assert "valid_until" in document
    assert Quote.objects.get().state == "open"


def test_quotes_are_narrowed_by_state_and_customer(stages: Stages, api: Api) -> None:
    quote = stages.quote()
    api("counter").made(f"quotes/{stages.quote().pk}/withdraw/")
    found = api("counter").read("quotes/", state="open", customer=quote.customer_id)["results"]
    assert [one["id"] for one in found] == [quote.pk]
    assert problem(api("counter").get("quotes/", state="forgotten"), 400, "invalid")["errors"].keys() == {
        "state"
    }


def test_a_quote_for_unknown_things_names_them(stages: Stages, api: Api) -> None:
    document = problem(
        api("counter").post("quotes/", {"customer": 10**30, "kits": [{"kit": 0}]}), 400, "invalid"
    )
    assert document["errors"].keys() == {"customer", "kits"}
