"""Suggested orders, approvals, what is late, differences and letters, over HTTP."""

from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.alerting import look_again
from inventory.models import BuyingLimit, PurchaseLine, Supplier, Target
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem

pytestmark = pytest.mark.django_db


def test_a_suggestion_is_taken_up_approved_and_sent(stages: Stages, api: Api) -> None:
    bolt = stages.shop.bolt
    Target.objects.create(part=bolt, reorder_at=20, up_to=60, why="test")
    look_again([bolt.pk], timezone.now())
    (one,) = api("buying").read("suggestions/")
    assert one["supplier"] == "pell" and one["lines"][0]["part"]["id"] == bolt.pk
    quantity = one["lines"][0]["quantity"]
    assert one["lines"][0]["why"] and one["lines"][0]["alerts"]
    lines = [{"part": bolt.pk, "quantity": quantity}]
    draft = api("buying").post("suggestions/draft/", {"supplier": "pell", "lines": lines}).json()
    assert draft["state"] == "draft" and draft["send_by"] == one["send_by"]
    again = api("buying").post("suggestions/draft/", {"supplier": "pell", "lines": lines}).json()
    assert (again["id"], again["lines"][0]["quantity"]) == (draft["id"], quantity)
    (approved,) = api("buying").post("purchase-orders/approve/", {"orders": [draft["id"]]}).json()
    assert (approved["state"], approved["approved_by"]) == ("approved", "clerk-buying")
    sent = api("buying").post(f"purchase-orders/{draft['number']}/send/", {}).json()
    assert sent["state"] == "sent" and sent["lines"][0]["ordered"] == quantity
    assert Decimal(sent["sum"]["total"]) == Decimal(sent["sum"]["goods"]) + Decimal(sent["sum"]["carriage"])


def test_above_the_limit_it_is_refused_and_says_who_can(stages: Stages, api: Api) -> None:
    draft = stages.draft()
    BuyingLimit.objects.update(most=Decimal("0.50"))
    document = problem(
        api("buying").post("purchase-orders/approve/", {"orders": [draft.pk]}), 403, "above-limit"
    )
    assert document["limit"] == "0.50" and document["orders"] == [draft.pk]
    problem(api("buying").post(f"purchase-orders/{draft.pk}/send/", {}), 403, "above-limit")


def test_lines_are_added_changed_and_dropped(stages: Stages, api: Api) -> None:
    order, bolt = stages.approved(), stages.shop.bolt
    base = f"purchase-orders/{order.number}/lines/"
    added = api("buying").post(base, {"part": bolt.pk, "quantity": 50}).json()
    assert added["state"] == "draft" and len(added["lines"]) == 2
    line = next(one for one in added["lines"] if one["part"]["id"] == bolt.pk)
    changed = api("buying").post(f"{base}{line['id']}/change/", {"quantity": 100}).json()
    assert {one["quantity"] for one in changed["lines"]} == {5, 100}
    dropped = api("buying").post(f"{base}{line['id']}/change/", {"quantity": 0}).json()
    assert len(dropped["lines"]) == 1
    other = stages.draft().lines.get()
    problem(api("buying").post(f"{base}{other.pk}/change/", {"quantity": 1}), 404, "not-found")
    gone = api("buying").post(f"purchase-orders/{order.pk}/discard/", {}).json()
    assert gone == {"discarded": order.number}
    problem(api("buying").get(f"purchase-orders/{order.pk}/"), 404, "not-found")


def test_a_small_order_is_sent_if_they_agreed(stages: Stages, api: Api) -> None:
    draft = stages.draft()
    Supplier.objects.update(least_value=Decimal(100_000))
    path = f"purchase-orders/{draft.pk}/send/"
    assert "missing" in problem(api("buying").post(path, {}), 422, "below-least")
    assert api("buying").post(path, {"although_small": True}).json()["state"] == "sent"


def test_a_delivery_otherwise_than_ordered(stages: Stages, api: Api) -> None:
    order = stages.sent()
    line = order.lines.get()
    path = f"purchase-orders/{order.pk}/receive/"
    came = {"line": line.pk, "quantity": 4, "spoilt": 1}
    api("floor").post(path, {"delivery_note": "D1", "lines": [came], "remark": "wet"})
    over = {"delivery_note": "D2", "lines": [{"line": line.pk, "quantity": 3}]}
    problem(api("floor").post(path, over), 422, "over-delivered")
    assert api("floor").post(path, {**over, "keep_over": True}).status_code == 201
    found = api("buying").read("differences/?open=true&supplier=pell")["results"]
    assert [(one["kind"], one["quantity"]) for one in found] == [("over", 2), ("spoilt", 1)]
    assert found[1]["note"] == "wet" and found[1]["order"] == order.number
    settled = api("buying").post(f"differences/{found[0]['id']}/settle/", {"how": "paid for"}).json()
    assert (settled["settled_by"], settled["settled_how"]) == ("clerk-buying", "paid for")
    assert len(api("buying").read("differences/?open=true")["results"]) == 1
    PurchaseLine.objects.get(received=7, quantity=7)


def test_what_is_late_is_asked_for_and_closed_short(stages: Stages, api: Api) -> None:
    line = stages.late_line()
    (late,) = api("buying").read("purchase-orders/late/")
    assert late["supplier"] == "pell"
    assert (late["lines"][0]["left"], late["lines"][0]["days"], late["lines"][0]["asked_at"]) == (5, 3, None)
    wish = {"lines": [line.pk], "note": "where is it?"}
    (asked,) = api("buying").post("purchase-orders/remind/", wish).json()
    assert asked["line"] == line.pk
    problem(api("buying").post("purchase-orders/remind/", wish), 422, "asked-today")
    assert api("buying").read("purchase-orders/late/")[0]["lines"][0]["asked_at"] is not None
    closed = api("buying").post(
        f"purchase-orders/{line.order_id}/lines/{line.pk}/close-short/", {"reason": "out of their range"}
    )
    assert closed.json()["kind"] == "short" and api("buying").read("purchase-orders/late/") == []


def test_a_letter_that_was_refused_is_shown_and_sent_again(stages: Stages, api: Api) -> None:
    letter = stages.letter()
    (shown,) = api("buying").read("supplier-mails/?state=failed")["results"]
    assert shown["id"] == letter.pk
    again = api("buying").post(f"supplier-mails/{letter.pk}/send-again/", {}).json()
    assert again["state"] == "waiting"
    problem(api("buying").post(f"supplier-mails/{letter.pk}/send-again/", {}), 409, "conflict")
