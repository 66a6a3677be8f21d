"""Walks given up, parcels unpacked, orders cancelled and taken back, over HTTP."""

from __future__ import annotations

from inventory.models import WalkStop
from shop.models import Order
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def path_to(stop: WalkStop, do: str) -> str:
    return f"walks/{stop.walk_id}/stops/{stop.pk}/{do}/"


def test_another_serial_of_the_bin_is_answered_with_the_stop_that_stands_in(stages: Stages, api: Api) -> None:
    stop = stages.walk().stops.get(part=stages.shop.pump)
    taken = api("floor").made(path_to(stop, "pick"), {"scanned": "OR-7P", "lot": "N2"})
    assert (taken["lot"], taken["picked"], taken["sequence"]) == ("N2", 1, 4)
    walk = api("floor").read(f"walks/{stop.walk_id}/")
    assert [one["let_go"] for one in walk["stops"]] == [0, 1, 0, 0]


def test_a_pick_is_undone(stages: Stages, api: Api) -> None:
    order = stages.picked()
    stop = WalkStop.objects.get(part=stages.shop.bolt)
    back = api("floor").made(path_to(stop, "put-back"), {"quantity": 3})
    assert (back["picked"], back["left"]) == (1, 3)
    assert api("floor").read(f"orders/{order.pk}/")["state"] == "walking"
    assert api("floor").made(path_to(stop, "put-back"))["picked"] == 0
    problem(api("floor").post(path_to(stop, "put-back")), 409, "conflict")


def test_what_is_packed_is_not_put_back(stages: Stages, api: Api) -> None:
    stages.parcel()
    stop = WalkStop.objects.get(part=stages.shop.bolt)
    assert problem(api("floor").post(path_to(stop, "put-back")), 409, "not-on-the-bench")["state"] == "packed"


def test_an_empty_bin_says_what_goes_back(stages: Stages, api: Api) -> None:
    walk = stages.walk()
    bolts, pulley = walk.stops.get(part=stages.shop.bolt), walk.stops.get(part=stages.shop.pulley)
    api("floor").made(path_to(bolts, "pick"), {"scanned": "OR-8B"})
    missed = api("floor").made(path_to(pulley, "not-there"))
    assert (missed["missing"], missed["instead"]) == (1, [])
    assert [(one["stop"]["place"], one["quantity"]) for one in missed["back"]] == [("A-1-3", 4)]
    assert missed["stop"]["let_go"] == 1
    problem(api("floor").post(path_to(pulley, "not-there")), 409, "conflict")
    [order] = api("floor").read("orders/", state="ready")["results"]
    again = problem(api("floor").post("walks/", {"orders": [order["id"]]}), 409, "not-in-bins")
    assert "too few were found in A-1-1" in again["detail"]


def test_a_walk_is_given_up_once(stages: Stages, api: Api) -> None:
    walk = stages.walk()
    given_up = api("floor").made(f"walks/{walk.pk}/give-up/")
    assert given_up["state"] == "given up" and given_up["done_at"]
    assert {stop["left"] for stop in given_up["stops"]} == {0}
    problem(api("floor").post(f"walks/{walk.pk}/give-up/"), 409, "conflict")


def test_a_parcel_is_unpacked(stages: Stages, api: Api) -> None:
    parcel = stages.parcel()
    order = api("floor").made(f"parcels/{parcel.number}/unpack/")
    assert (order["state"], order["parcels"]) == ("picked", [])
    assert [kit["as_built"] for kit in order["kits"]] == [[]]
    problem(api("floor").post(f"parcels/{parcel.number}/unpack/"), 404, "not-found")


def test_an_order_is_cancelled_with_its_reason(stages: Stages, api: Api) -> None:
    order = stages.picked()
    problem(api("counter").post(f"orders/{order.pk}/cancel/"), 400, "invalid")
    cancelled = api("counter").made(f"orders/{order.pk}/cancel/", {"reason": "the boat was sold"})
    assert cancelled["order"]["state"] == "cancelled"
    assert cancelled["order"]["reservation"]["state"] == "released"
    assert [one["quantity"] for one in cancelled["back"]] == [1, 1, 4]
    body = {"reason": "again"}
    problem(api("counter").post(f"orders/{order.pk}/cancel/", body), 409, "already-cancelled")


def test_a_return_is_booked_and_read_with_its_order(stages: Stages, api: Api) -> None:
    order, shop = stages.shipped(), stages.shop
    lines = [
        {"part": shop.bolt.pk, "quantity": 2, "condition": "spoilt"},
        {"part": shop.pump.pk, "lot": "n1", "condition": "good"},
    ]
    made = api("counter").made(f"orders/{order.pk}/take-back/", {"lines": lines, "reason": "wrong engine"})
    assert made["number"] == f"R{made['id']:05d}"
    assert [(one["quantity"], one["lot"], one["condition"]) for one in made["lines"]] == [
        (2, None, "spoilt"),
        (1, "N1", "good"),
    ]
    assert api("floor").read(f"orders/{order.pk}/")["returns"] == [made]
    body = {"lines": lines[1:], "reason": "wrong engine"}
    document = problem(api("counter").post(f"orders/{order.pk}/take-back/", body), 409, "over-returned")
    assert (document["went_out"], document["came_back"]) == (1, 1)


def test_returns_that_cannot_be_are_refused(stages: Stages, api: Api) -> None:
    order = stages.shipped()
    path = f"orders/{order.pk}/take-back/"

    def back(**line: object) -> dict[str, object]:
        return {"lines": [{"part": stages.shop.pump.pk, "condition": "good", **line}], "reason": "no"}

    problem(api("counter").post(path, back(lot="N9")), 422, "not-sold")
    problem(api("counter").post(path, back(lot="N2")), 422, "not-sold")
    problem(api("counter").post(path, back(lot="N1", quantity=0)), 400, "invalid")
    problem(api("counter").post(path, back(lot="N1", condition="bent")), 400, "invalid")
    problem(api("counter").post(path, {"lines": [], "reason": "no"}), 400, "invalid")
    Order.objects.filter(pk=order.pk).update(state=Order.State.PACKED)
    problem(api("counter").post(path, back(lot="N1")), 409, "not-shipped")
