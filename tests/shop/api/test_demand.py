"""Demand and lost quotes over HTTP."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Demand
from shop.models import Quote
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_a_lost_quote_says_what_was_missing(stages: Stages, api: Api) -> None:
    quote = stages.shop.quote(3)
    told = api("counter").made(f"quotes/{quote.pk}/lose/", {"why": "not in time", "note": "sails on Monday"})
    assert (told["quote"]["state"], told["quote"]["lost_why"], told["quote"]["lost_note"]) == (
        "lost",
        "not in time",
        "sails on Monday",
    )
    assert [(line["part"]["number"], line["quantity"]) for line in told["missed"]] == [
        ("OR-7P", 3),
        ("OR-8B", 12),
    ]
    problem(api("counter").post(f"quotes/{quote.pk}/accept/"), 409, "lost")
    problem(api("counter").post(f"quotes/{quote.pk}/lose/", {"why": "too dear"}), 409, "lost")


@pytest.mark.parametrize(
    ("body", "code"), [({"why": "weather"}, "unknown-reason"), ({"why": "other"}, "reason-needed")]
)
def test_a_reason_that_says_nothing_is_refused(
    stages: Stages, api: Api, body: dict[str, str], code: str
) -> None:
    quote = stages.quote()
    problem(api("counter").post(f"quotes/{quote.pk}/lose/", body), 422, code)
    quote.refresh_from_db()
    assert quote.state == Quote.State.OPEN


def test_an_order_is_cancelled_because_it_could_not_come_in_time(stages: Stages, api: Api) -> None:
    body = {"reason": "sails on Monday", "not_in_time": True}
    ready = stages.ready()
    problem(api("counter").post(f"orders/{ready.pk}/cancel/", body), 409, "nothing-awaited")
    waiting = stages.waiting()
    told = api("counter").made(f"orders/{waiting.pk}/cancel/", body)
    assert told["order"]["state"] == "cancelled" and told["missed"]
    assert Demand.objects.filter(kind="lost").count() == len(told["missed"])


def test_lines_are_listed_the_latest_first_and_narrowed(stages: Stages, api: Api) -> None:
    line = stages.asked()
    shop = stages.shop
    Demand.objects.create(part=shop.bolt, day=line.day - timedelta(days=1), quantity=2, kind="lost")
    bolts = api("buying").read("demand/", part=shop.bolt.pk)["results"]
    assert [one["quantity"] for one in bolts] == [4, 2]
    (lost,) = api("buying").read("demand/?kind=lost")["results"]
    assert (lost["part"]["number"], lost["kit"], lost["first_choice"]) == ("OR-8B", "", None)
    assert api("buying").read("demand/?one_off=true")["results"] == []
    problem(api("buying").get("demand/?kind=none"), 400, "invalid")


def test_a_large_order_is_marked(stages: Stages, api: Api) -> None:
    line = stages.asked()
    for yes in (True, False):
        told = api("buying").made(f"demand/{line.pk}/one-off/", {"one_off": yes})
        assert told["one_off"] is yes
        assert Demand.objects.get(pk=line.pk).one_off is yes
    problem(api("buying").post(f"demand/{line.pk}/one-off/"), 400, "invalid")


def test_one_part_s_demand_is_told_by_month_or_week(stages: Stages, api: Api) -> None:
    line = stages.asked()
    part, today = line.part_id, timezone.localdate()
    next_month = (today.replace(day=1) + timedelta(days=31)).replace(day=1)
    path = f"parts/{part}/demand/"
    told = api("floor").read(f"{path}?until={next_month}")[-1]
    assert told["first_day"] == today.replace(day=1).isoformat()
    assert (told["in_kits"], told["loose"], told["asked_for"], told["lost"]) == (4, 0, 4, 0)
    week = today - timedelta(days=today.weekday())
    until = week + timedelta(days=7)
    assert api("floor").read(f"{path}?every=week&until={until}")[-1]["first_day"] == week.isoformat()
    for wrong in ("every=year", "until=tomorrow"):
        problem(api("floor").get(f"{path}?{wrong}"), 400, "invalid")
