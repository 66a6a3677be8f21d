"""One part over HTTP: who keeps it, what can be promised when, and its history."""

from __future__ import annotations

import csv
from typing import Any

import pytest
from django.utils import timezone

from shop import quoting
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def movements_of(stages: Stages) -> str:
    return f"stock/{stages.shop.pump.pk}/movements/"


def csv_rows(answer: Any) -> list[list[str]]:
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/csv")
    return list(csv.reader(answer.getvalue().decode().splitlines()))


def test_one_part_tells_for_whom_it_is_kept(stages: Stages, api: Api) -> None:
    order = stages.ready()
    held = quoting.hold(stages.shop.counter, stages.quote())
    kept = api("floor").read(f"stock/{stages.shop.pulley.pk}/")["keepers"]
    told = [(one["kind"], one["order"], one["quote"], one["quantity"]) for one in kept]
    assert told == [("commitment", order.number, None, 1), ("hold", None, held.number, 1)]
    assert [one["customer"]["name"] for one in kept] == ["Ines Halloran"] * 2
    assert kept[0]["until"] is None and kept[1]["until"] is not None


def test_one_part_tells_what_comes_and_what_can_be_promised(stages: Stages, api: Api) -> None:
    line = stages.sent().lines.get()
    shown = api("floor").read(f"stock/{stages.shop.pulley.pk}/")
    [coming] = shown["coming"]
    assert (coming["purchase_order"], coming["quantity"], coming["unreserved"]) == (line.order.number, 5, 5)
    assert coming["due"] == coming["expected"] == line.due.isoformat()
    today = timezone.localdate().isoformat()
    steps = [{"since": today, "quantity": 3}, {"since": line.due.isoformat(), "quantity": 8}]
    assert shown["promise"] == {"steps": steps, "short": 0, "short_on": None}


def test_costs_are_for_who_buys(stages: Stages, api: Api) -> None:
    path = f"stock/{stages.shop.pump.pk}/"
    assert api("buying").read(path)["value"] is not None
    assert (api("counter").read(path)["value"], api("counter").read(path)["average_cost"]) == (None, None)
    seen, unseen = (api(desk).read(movements_of(stages))["results"][0] for desk in ("buying", "floor"))
    assert seen["value"] is not None and unseen["value"] is None
    assert "unit_cost" not in csv_rows(api("floor").get(movements_of(stages), format="csv"))[0]
    assert "unit_cost" in csv_rows(api("buying").get(movements_of(stages), format="csv"))[0]


def test_movements_come_latest_first_and_lead_on_to_older_ones(stages: Stages, api: Api) -> None:
    stages.picked()
    page = api("floor").read(movements_of(stages), page_size=2)
    latest, first_serial = page["results"]
    assert (latest["act"], latest["origin"], latest["destination"]) == ("pick", "A-1-2", "BENCH")
    assert (latest["lot"], latest["quantity"], latest["by"]) == ("N1", 1, "clerk-floor")
    assert [(one["change"], one["on_hand"]) for one in (latest, first_serial)] == [(0, 2), (1, 2)]
    rest = api("floor").client.get(page["next"]).json()
    assert [one["on_hand"] for one in rest["results"]] == [1] and rest["next"] is None


def test_a_filter_hides_movements_and_keeps_the_balance_true(stages: Stages, api: Api) -> None:
    today = timezone.localdate().isoformat()
    asked = {"act": "count", "lot": "n2", "place": "a-1-2", "since": today, "until": today}
    [only] = api("floor").read(movements_of(stages), **asked)["results"]
    assert (only["lot"], only["on_hand"]) == ("N2", 2)


@pytest.mark.parametrize(
    ("field", "value"),
    [("act", "vanish"), ("since", "soon"), ("before", "0"), ("page_size", "9999"), ("reference", "\x00")],
)
def test_what_cannot_be_asked_for_is_said(stages: Stages, api: Api, field: str, value: str) -> None:
    for form in ("json", "csv"):
        answer = api("floor").get(movements_of(stages), format=form, **{field: value})
        assert problem(answer, 400, "invalid")["errors"].keys() == {field}


def test_days_that_are_crossed_are_said(stages: Stages, api: Api) -> None:
    answer = api("floor").get(movements_of(stages), since="2026-03-02", until="2026-03-01")
    assert problem(answer, 400, "invalid")["errors"].keys() == {"until"}


def test_the_history_as_csv_is_asked_for_by_its_kind(stages: Stages, api: Api) -> None:
    client = api("floor").client
    answer = client.get(f"/api/{movements_of(stages)}?lot=N2", headers={"Accept": "text/csv"})
    heading, row = csv_rows(answer)
    told = dict(zip(heading, row, strict=True))
    assert (told["lot"], told["change"], told["on_hand"], told["to"]) == ("N2", "1", "2", "A-1-2")
