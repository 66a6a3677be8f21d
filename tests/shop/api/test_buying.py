"""Alerts and purchase orders over HTTP."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone

from inventory.models import Alert, Receipt, Stock
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_open_alerts_say_what_to_order_from_whom_and_by_when(stages: Stages, api: Api) -> None:
    order = stages.waiting()
    alerts = api("buying").read("alerts/")["results"]
    by_part = {alert["part"]["number"]: alert for alert in alerts}
    assert by_part.keys() == {"OR-7P", "OR-8B"}
    bolt = by_part["OR-8B"]
    assert (bolt["cause"], bolt["quantity"], bolt["supplier"]) == ("order waits", 2, "pell")
    assert order.number in bolt["reason"]
    assert by_part["OR-7P"]["supplier"] is None


def test_cleared_alerts_are_not_listed(stages: Stages, api: Api) -> None:
    stages.alert()
    Alert.objects.update(cleared_at=timezone.now())
    assert api("buying").read("alerts/")["results"] == []


def test_alerts_become_drafts(stages: Stages, api: Api) -> None:
    [order] = api("buying").made("alerts/order/", {"alerts": [stages.alert().pk]})
    assert (order["supplier"], order["state"]) == ("pell", "draft")
    assert [(line["part"]["number"], line["quantity"]) for line in order["lines"]] == [("OR-8B", 2)]


def test_an_alert_that_nobody_can_meet_is_refused(stages: Stages, api: Api) -> None:
    stages.waiting()
    ids = list(Alert.objects.values_list("pk", flat=True))
    document = problem(api("buying").post("alerts/order/", {"alerts": ids}), 422, "no-offer")
    assert "OR-7P" in document["detail"]


def test_a_cleared_alert_is_a_conflict(stages: Stages, api: Api) -> None:
    alert = stages.alert()
    Alert.objects.update(cleared_at=timezone.now())
    problem(api("buying").post("alerts/order/", {"alerts": [alert.pk]}), 409, "conflict")


def test_an_order_is_written_sent_and_received(stages: Stages, api: Api) -> None:
    pulley = stages.shop.pulley.pk
    body = {"supplier": "pell", "lines": [{"part": pulley, "quantity": 5}]}
    draft = api("buying").made("purchase-orders/", body)
    assert draft["number"] == f"B{draft['id']:05d}" and draft["state"] == "draft"
    sent = api("buying").made(f"purchase-orders/{draft['number']}/send/")
    assert sent["state"] == "sent"
    assert sent["lines"][0]["due"] == (timezone.localdate() + timedelta(days=5)).isoformat()
    line = sent["lines"][0]["id"]
    delivery = {"delivery_note": "DN 1", "lines": [{"line": line, "quantity": 2}]}
    receipt = api("floor").made(f"purchase-orders/{draft['id']}/receive/", delivery)
    assert receipt["lines"] == [{"line": line, "quantity": 2}]
    assert Stock.objects.get(part=pulley).on_hand == 5
    shown = api("buying").read(f"purchase-orders/{draft['id']}/")
    assert (shown["lines"][0]["received"], shown["state"]) == (2, "sent")


def test_a_delivery_is_booked_once(stages: Stages, api: Api) -> None:
    order = stages.sent()
    path, body = f"purchase-orders/{order.pk}/receive/", stages.delivery(order)
    body["lines"][0]["quantity"] = 1
    api("floor").made(path, body)
    problem(api("floor").post(path, body), 409, "delivery-note-booked")
    assert Receipt.objects.count() == 1


def test_more_than_was_ordered_is_refused(stages: Stages, api: Api) -> None:
    order = stages.sent()
    body = stages.delivery(order)
    body["lines"][0]["quantity"] = 6
    problem(api("floor").post(f"purchase-orders/{order.pk}/receive/", body), 422, "over-delivered")
    assert Stock.objects.get(part=stages.shop.pulley).on_hand == 3


def test_a_draft_is_not_received(stages: Stages, api: Api) -> None:
    order = stages.draft()
    body = stages.delivery(order)
    problem(api("floor").post(f"purchase-orders/{order.pk}/receive/", body), 409, "conflict")


def test_an_order_is_sent_once(stages: Stages, api: Api) -> None:
    problem(api("buying").post(f"purchase-orders/{stages.sent().pk}/send/"), 409, "conflict")


def test_a_part_named_twice_is_refused_lest_one_be_lost(stages: Stages, api: Api) -> None:
    line = {"part": stages.shop.bolt.pk, "quantity": 1}
    body = {"supplier": "pell", "lines": [line, line]}
    document = problem(api("buying").post("purchase-orders/", body), 400, "invalid")
    assert "once" in str(document["errors"]["lines"])


def test_a_supplier_that_does_not_sell_it_is_said(stages: Stages, api: Api) -> None:
    body = {"supplier": "pell", "lines": [{"part": stages.shop.pump.pk, "quantity": 1}]}
    document = problem(api("buying").post("purchase-orders/", body), 422, "not-offered")
    assert document["parts"] == [stages.shop.pump.pk]


def test_purchase_orders_are_narrowed_by_state_and_supplier(stages: Stages, api: Api) -> None:
    sent, draft = stages.sent(), stages.draft()
    found = api("buying").read("purchase-orders/", state="draft", supplier="pell")["results"]
    assert [order["id"] for order in found] == [draft.pk]
    assert api("buying").read("purchase-orders/", supplier="other")["results"] == []
    assert api("buying").read("purchase-orders/", state="sent")["results"][0]["id"] == sent.pk


def test_what_waited_goes_ahead_when_the_goods_come(stages: Stages, api: Api) -> None:
    """Four kits of pulleys: three are there, the fourth order waits for the delivery."""
    stages.shop.put(stages.shop.pump, 1, ["N3", "N4"])
    stages.shop.put(stages.shop.bolt, 20)
    stages.sent()
    order = api("counter").made(f"quotes/{stages.shop.quote(4).pk}/accept/")
    assert (order["state"], order["reservation"]["live"]) == ("waiting", True)
    purchase = stages.shop.supplier.purchase_orders.get()
    api("floor").made(f"purchase-orders/{purchase.pk}/receive/", stages.delivery(purchase))
    assert api("floor").read(f"orders/{order['id']}/")["state"] == "ready"
