"""Alerts over HTTP: what waits, who suffers, and what is left until a day."""

from __future__ import annotations

import csv
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from inventory.models import Alert, Supplier
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem

pytestmark = pytest.mark.main_job

REASON = "=a box of them comes tomorrow"


def until() -> str:
    return (timezone.localdate() + timedelta(days=3)).isoformat()


def test_an_alert_says_what_waiting_costs_and_who_suffers(stages: Stages, api: Api) -> None:
    alert = stages.alert()
    found = api("buying").read(f"alerts/{alert.pk}/")
    assert found["cause"] == "order waits" and found["hits_on"] == timezone.localdate().isoformat()
    assert found["cost_to_wait"] == "4.98"
    (order,) = found["suffering"]["orders"]
    assert order["number"].startswith("S") and order["expected_on"] is None
    assert found["suffering"]["kits"] == ["Belt pump"] and found["suffering"]["quotes"] == []


def test_alerts_are_narrowed_by_cause_and_part(stages: Stages, api: Api) -> None:
    alert = stages.alert()
    read = api("buying").read
    assert {one["part"]["number"] for one in read("alerts/")["results"]} == {"OR-8B", "OR-7P"}
    assert [one["id"] for one in read("alerts/", part=alert.part_id)["results"]] == [alert.pk]
    assert read("alerts/", cause="below target")["results"] == []
    problem(api("buying").get("alerts/", cause="too dear"), 400, "invalid")


def test_what_is_left_until_a_day_is_quiet_and_can_be_woken(stages: Stages, api: Api) -> None:
    alert, buyer = stages.alert(), api("buying")
    left = buyer.made(f"alerts/{alert.pk}/snooze/", {"until": until(), "reason": REASON})
    assert (left["snoozed_until"], left["snooze_reason"]) == (until(), REASON)
    assert alert.pk not in {one["id"] for one in buyer.read("alerts/")["results"]}
    assert [one["id"] for one in buyer.read("alerts/", snoozed="true")["results"]] == [alert.pk]
    assert buyer.made(f"alerts/{alert.pk}/wake/")["snoozed_until"] is None
    assert alert.pk in {one["id"] for one in buyer.read("alerts/")["results"]}


def test_a_day_that_is_past_and_an_alert_that_is_over_are_refused(stages: Stages, api: Api) -> None:
    alert, buyer = stages.alert(), api("buying")
    body: dict[str, Any] = {"until": timezone.localdate().isoformat(), "reason": REASON}
    problem(buyer.post(f"alerts/{alert.pk}/snooze/", body), 422, "until-is-past")
    problem(buyer.post(f"alerts/{alert.pk}/snooze/", {"until": until(), "reason": " "}), 400, "invalid")
    Alert.objects.update(cleared_at=timezone.now())
    problem(buyer.post(f"alerts/{alert.pk}/snooze/", {"until": until(), "reason": REASON}), 409, "conflict")
    assert buyer.read(f"alerts/{alert.pk}/")["cleared_at"] is not None
    assert buyer.read("alerts/")["results"] == []


@pytest.mark.parametrize("asked", ["format", "accept"])
def test_alerts_as_csv_are_all_of_them_and_no_formulas(stages: Stages, api: Api, asked: str) -> None:
    alert, buyer = stages.alert(), api("buying")
    buyer.made(f"alerts/{alert.pk}/snooze/", {"until": until(), "reason": REASON})
    if asked == "format":
        answer = buyer.get("alerts/", format="csv", snoozed="true")
    else:
        answer = buyer.client.get("/api/alerts/?snoozed=true", headers={"Accept": "text/csv"})
    assert answer["Content-Disposition"] == 'attachment; filename="alerts.csv"'
    (row,) = csv.DictReader(answer.getvalue().decode().splitlines())
    assert (row["alert"], row["number"], row["quantity"]) == (str(alert.pk), "OR-8B", "2")
    assert (row["cost_to_wait"], row["supplier"], row["kits"]) == ("4.98", "pell", "Belt pump")
    assert row["snooze_reason"] == f"'{REASON}"
    Supplier.objects.update(code="-pell")
    answer = buyer.get("alerts/", format="csv", snoozed="true")
    (row,) = csv.DictReader(answer.getvalue().decode().splitlines())
    assert row["supplier"] == "'-pell"
    assert row["orders"].startswith("S0")
