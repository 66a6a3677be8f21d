"""Promise dates, swaps on quotes, slips and notices over HTTP."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils import timezone

from inventory.models import Stock
from shop import quoting
from shop.models import Order, Quote
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def in_days(days: int) -> str:
    day: date = timezone.localdate() + timedelta(days=days)
    return day.isoformat()


def test_a_promise_says_where_each_part_comes_from(stages: Stages, api: Api) -> None:
    shop = stages.shop
    shop.put(shop.pump, 2, ["N3", "N4"])
    promised = api("counter").read(f"quotes/{shop.quote(4).pk}/promise/")
    assert (promised["on"], promised["held"]) == (in_days(5), False)
    pulley, pump, bolt = promised["lines"]
    assert (pulley["part"]["number"], pulley["wanted"], pulley["free"]) == ("OR-40", 4, 3)
    assert (pump["on"], pump["how"]) == (in_days(0), "4 on the shelf")
    assert bolt["on"] == in_days(5)
    assert bolt["how"] == "10 on the shelf, 6 to order from Pell Stores, 5 days"
    [way] = promised["sooner"]  # both have to come sooner, and then it goes tomorrow
    assert (way["on"], way["days"], way["by"]) == (in_days(1), 4, in_days(1))
    assert {change["part"]["number"] for change in way["changes"]} == {"OR-40", "OR-8B"}
    assert {change["kind"] for change in way["changes"]} == {"rush"}


def test_a_day_in_the_future_can_be_wanted(stages: Stages, api: Api) -> None:
    body = {"customer": stages.shop.customer.pk, "kits": [{"kit": stages.kit().pk}]}
    quote = api("counter").made("quotes/", {**body, "wanted_on": in_days(8)})
    assert quote["wanted_on"] == in_days(8)
    assert api("counter").read(f"quotes/{quote['id']}/promise/")["on"] == in_days(8)
    problem(api("counter").post("quotes/", {**body, "wanted_on": in_days(-1)}), 422, "wanted-on-is-past")


def test_a_hold_is_given_another_end(stages: Stages, api: Api) -> None:
    quote = stages.held()
    before = quote.reservation
    longer = api("counter").made(f"quotes/{quote.pk}/prolong/", {"hours": 100})
    assert before is not None and before.until is not None
    assert longer["reservation"]["until"] > before.until.isoformat()
    other = stages.quote()
    problem(api("counter").post(f"quotes/{other.pk}/prolong/", {"hours": 1}), 409, "not-held")


def test_a_swap_answers_the_quote_that_replaces_it(stages: Stages, api: Api) -> None:
    quote = stages.held()
    wish = {"kit": quote.kits.get().pk, "slot": "pump", "key": f"parts:{stages.shop.pump.pk}"}
    new = api("counter").made(f"quotes/{quote.pk}/swap/", wish)
    assert new["id"] != quote.pk and new["reservation"]["live"]
    old = api("counter").read(f"quotes/{quote.pk}/")
    assert (old["state"], old["replaced_by"], old["reservation"]) == ("replaced", new["number"], None)
    again = api("counter").post(f"quotes/{quote.pk}/swap/", wish)
    assert problem(again, 409, "replaced")["quote"] == new["number"]
    stranger = {**wish, "kit": 10**9}
    document = problem(api("counter").post(f"quotes/{new['id']}/swap/", stranger), 400, "invalid")
    assert document["errors"].keys() == {"kit"}


def test_a_repeated_swap_is_done_once(stages: Stages, api: Api) -> None:
    quote = stages.held()
    wish = {"kit": quote.kits.get().pk, "slot": "pump", "key": f"parts:{stages.shop.pump.pk}"}
    first, second = (api("counter").post(f"quotes/{quote.pk}/swap/", wish, key="once") for _ in range(2))
    assert first.json() == second.json() and second["Idempotency-Replayed"] == "true"
    assert Quote.objects.count() == 2
    assert Stock.objects.get(part=stages.shop.pump).held == 1


def test_a_slip_moves_the_order_and_the_counter_hears(stages: Stages, api: Api) -> None:
    shop = stages.shop
    purchase = stages.sent()  # five pulleys
    shop.put(shop.pump, 2, ["N3", "N4"])
    shop.put(shop.bolt, 10)
    order = api("counter").made(f"quotes/{shop.quote(4).pk}/accept/")
    assert (order["promised_on"], order["expected_on"]) == (in_days(5), in_days(5))
    path = f"purchase-orders/{purchase.pk}/lines/{purchase.lines.get().pk}/slip/"
    [line] = api("buying").made(path, {"due": in_days(9), "reason": "a strike"})["lines"]
    assert (line["due"], line["first_due"]) == (in_days(9), in_days(5))
    order = api("counter").read(f"orders/{order['id']}/")
    assert (order["promised_on"], order["expected_on"]) == (in_days(5), in_days(9))

    [notice] = api("counter").read("notices/")["results"]
    assert (notice["kind"], notice["order"], notice["quote"]) == ("date moved", order["number"], None)
    assert "a strike" in notice["text"] and notice["seen_at"] is None
    seen = api("counter").made(f"notices/{notice['id']}/seen/")
    assert seen["seen_by"] == shop.counter.username
    assert api("counter").read("notices/")["results"] == []


def test_a_slip_into_the_past_and_of_another_order_is_refused(stages: Stages, api: Api) -> None:
    purchase, other = stages.sent(), stages.sent()
    line = purchase.lines.get().pk
    past = {"due": in_days(-1), "reason": "?"}
    problem(api("buying").post(f"purchase-orders/{purchase.pk}/lines/{line}/slip/", past), 422, "due-is-past")
    wish = {"due": in_days(9), "reason": "?"}
    problem(api("buying").post(f"purchase-orders/{other.pk}/lines/{line}/slip/", wish), 404, "not-found")


def test_the_promise_of_what_is_held_is_that_of_the_order(stages: Stages, api: Api) -> None:
    quote = quoting.hold(stages.shop.counter, stages.shop.quote(2))
    promised = api("counter").read(f"quotes/{quote.pk}/promise/")
    assert (promised["on"], promised["held"], promised["sooner"]) == (in_days(0), True, [])
    api("counter").made(f"quotes/{quote.pk}/accept/")
    assert Order.objects.get().promised_on == timezone.localdate()
