"""Walks over HTTP: made, read, picked stop by stop."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.models import WalkStop
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def path_to(stop: WalkStop) -> str:
    return f"walks/{stop.walk_id}/stops/{stop.pk}/pick/"


def test_a_walk_serves_many_orders_in_bin_order(stages: Stages, api: Api) -> None:
    orders = [stages.ready(), stages.ready()]
    walk = api("floor").made("walks/", {"orders": [order.pk for order in orders]})
    assert walk["number"] == f"W{walk['id']:05d}"
    assert [stop["place"] for stop in walk["stops"]] == ["A-1-1"] * 2 + ["A-1-2"] * 2 + ["A-1-3"] * 2
    assert {stop["order"] for stop in walk["stops"]} == {order.number for order in orders}
    assert api("floor").read(f"walks/{walk['number']}/") == walk
    assert {api("floor").read(f"orders/{order.pk}/")["state"] for order in orders} == {"walking"}


def test_orders_that_are_not_there_are_named(stages: Stages, api: Api) -> None:
    document = problem(
        api("floor").post("walks/", {"orders": [stages.ready().pk, 7_000, 8_000]}), 400, "invalid"
    )
    assert document["errors"] == {"orders": ["There is no 7000.", "There is no 8000."]}


def test_an_order_that_waits_goes_on_no_walk(stages: Stages, api: Api) -> None:
    order = stages.waiting()
    document = problem(api("floor").post("walks/", {"orders": [order.pk]}), 409, "not-ready")
    assert document["orders"] == [{"order": order.number, "state": "waiting"}]


def test_a_wrong_part_is_refused_by_saying_what_it_is(stages: Stages, api: Api) -> None:
    stop = stages.walk().stops.get(part=stages.shop.pulley)
    document = problem(api("floor").post(path_to(stop), {"scanned": "or8b"}), 409, "wrong-part")
    assert "OR-8B" in str(document["is"]) and "OR-40" in str(document["wanted"])
    assert document["place"] == "A-1-1"
    stop.refresh_from_db()
    assert stop.picked == 0


def test_a_pick_in_two_handfuls(stages: Stages, api: Api) -> None:
    stop = stages.walk().stops.get(part=stages.shop.bolt)
    first = api("floor").made(path_to(stop), {"scanned": "OR-8B", "quantity": 3})
    assert (first["picked"], first["left"]) == (3, 1)
    assert api("floor").made(path_to(stop), {"scanned": "OR-8B"})["left"] == 0
    problem(api("floor").post(path_to(stop), {"scanned": "OR-8B"}), 409, "conflict")


def test_a_tracked_part_needs_its_serial(stages: Stages, api: Api) -> None:
    stop = stages.walk().stops.get(part=stages.shop.pump)
    problem(api("floor").post(path_to(stop), {"scanned": "OR-7P"}), 422, "lot-needed")
    problem(api("floor").post(path_to(stop), {"scanned": "OR-7P", "lot": "N9"}), 409, "wrong-lot")
    assert api("floor").made(path_to(stop), {"scanned": "OR-7P", "lot": "N1"})["lot"] == "N1"


def test_the_last_pick_closes_the_walk(stages: Stages, api: Api) -> None:
    order = stages.picked()
    [walk] = api("floor").read("walks/", state="done")["results"]
    assert walk["done_at"]
    assert api("floor").read("walks/", state="open")["results"] == []
    assert api("floor").read(f"orders/{order.pk}/")["state"] == "picked"


@pytest.mark.parametrize("path", ["walks/{walk}/stops/0/pick/", "walks/999/stops/{stop}/pick/"])
def test_a_stop_is_found_on_its_own_walk_only(stages: Stages, api: Api, path: str) -> None:
    stop: Any = stages.walk().stops.first()
    path = path.format(walk=stop.walk_id, stop=stop.pk)
    problem(api("floor").post(path, {"scanned": "OR-40"}), 404, "not-found")
