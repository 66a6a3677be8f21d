"""Whatever is sent, the answer is a problem document or the act is done whole: never a fault."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest

from shop.models import KeptAnswer
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem
from tests.shop.api.test_permissions import WRITES, picture

BODIES = [[], [1], None, "text", 5, True, {"nothing": "known"}]
TEXTS = ["", " ", "\x00", "\ud800", "x" * 5000]
NUMBERS = [-1, 0, 10**30, 1.5]
VALUES: list[Any] = [None, True, *TEXTS, *NUMBERS, [], [[]], {}, {"\x00": "\x00"}]
WITHOUT_BODY = {
    "alerts/{id}/wake/",
    "quotes/{id}/accept/",
    "quotes/{id}/withdraw/",
    "notices/{id}/seen/",
    "walks/{id}/give-up/",
    "parcels/{id}/unpack/",
    "purchase-orders/{id}/take-back/",
    "purchase-orders/{id}/discard/",
    "supplier-mails/{id}/send-again/",
    "corrections/{id}/approve/",
    "target-runs/{id}/take-up/",
    "targets/{part_id}/leave-to-runs/",
}
# Every member of these may be left out.
WITHOUT_NEED = {
    "quotes/{id}/hold/",
    "walks/{id}/stops/{stop}/put-back/",
    "walks/{id}/stops/{stop}/not-there/",
    "orders/{id}/pack/",
    "purchase-orders/{id}/send/",
    "supplier-mails/{id}/count-as-sent/",
    "count-rounds/due/",
}


def send(api: Api, desk: str, path: str, body: Any) -> Any:
    return api(desk).client.post(
        f"/api/{path}",
        json.dumps(body),
        content_type="application/json",
        headers={"Idempotency-Key": uuid.uuid4().hex},
    )


@pytest.mark.parametrize("address", sorted(WRITES.keys() - WITHOUT_BODY))
def test_a_body_that_is_no_such_thing_is_refused_and_changes_nothing(
    address: str, stages: Stages, api: Api
) -> None:
    (desk, *_), request = WRITES[address]
    path, _ = request(stages)
    before = picture()
    for body in BODIES:
        if address in WITHOUT_NEED and isinstance(body, dict):
            continue
        document = problem(send(api, desk, path, body), 400, "invalid")
        assert document["errors"], body
    assert picture() == before
    assert not KeptAnswer.objects.exists()


@pytest.mark.parametrize("address", sorted(WRITES.keys() - WITHOUT_BODY))
def test_a_member_that_makes_no_sense_is_never_a_fault(address: str, stages: Stages, api: Api) -> None:
    (desk, *_), request = WRITES[address]
    path, good = request(stages)
    for name in good or {"hours": 1}:
        for value in VALUES:
            response = send(api, desk, path, {**good, name: value})
            if response.status_code not in (200, 201):
                problem(response, response.status_code, response.json()["code"])


@pytest.mark.parametrize("name", ["part", "quantity"])
def test_a_nested_member_that_makes_no_sense_is_named(name: str, stages: Stages, api: Api) -> None:
    path, good = WRITES["purchase-orders/"][1](stages)
    values: list[Any] = [None, "", "one", -1, 0, 10**30, 1.5, [], {}]
    for value in values:
        body = {**good, "lines": [{**good["lines"][0], name: value}]}
        document = problem(send(api, "buying", path, body), 400, "invalid")
        assert document["errors"]["lines"]["0"].keys() == {name}


def test_too_many_at_once_are_refused(stages: Stages, api: Api) -> None:
    document = problem(api("floor").post("walks/", {"orders": list(range(1, 500))}), 400, "invalid")
    assert document["errors"].keys() == {"orders"}
