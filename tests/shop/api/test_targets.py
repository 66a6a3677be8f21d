"""Targets over HTTP: runs are started and watched, targets read, set by hand and left to the runs."""

from __future__ import annotations

import csv
from decimal import Decimal

from inventory import targeting
from inventory.models import Target, TargetRun
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_a_run_is_started_and_watched(stages: Stages, api: Api) -> None:
    made = api("buying").made("target-runs/", {"wanted": "0.9", "budget": "2500.00"})
    assert (made["stage"], made["wanted"], made["budget"]) == ("parts", "0.9000", "2500.00")
    problem(api("buying").post("target-runs/", {"wanted": "0.9"}), 409, "conflict")
    targeting.go_on(TargetRun.objects.get())
    shown = api("buying").read(f"target-runs/{made['id']}/")
    assert (shown["stage"], shown["by"]) == ("done", stages.clerk("buying").username)
    assert shown["parts"] == shown["parts_done"] > 0
    assert shown["ended_at"]
    assert api("buying").read("target-runs/", stage="parts")["results"] == []


def test_a_share_that_cannot_be_is_refused(stages: Stages, api: Api) -> None:
    problem(api("buying").post("target-runs/", {"wanted": "1"}), 422, "no-share")
    problem(api("buying").post("target-runs/", {"wanted": "0.9", "budget": "-1"}), 422, "no-budget")


def test_a_target_is_set_by_hand_and_left_to_the_runs(stages: Stages, api: Api) -> None:
    bolt = stages.shop.bolt.pk
    wish = {"part": bolt, "reorder_at": 4, "up_to": 9, "most": 40, "why": "A fair is coming"}
    made = api("buying").made("targets/by-hand/", wish)
    assert (made["reorder_at"], made["up_to"], made["most"], made["set_by"]) == (4, 9, 40, "hand")
    problem(api("buying").post(f"targets/{bolt}/leave-to-runs/"), 409, "conflict")
    targeting.go_on(targeting.begin(None, wanted=Decimal("0.9")))
    recommended = api("buying").read(f"targets/{bolt}/")["figures"]["recommended"]
    assert recommended.keys() == {"reorder_at", "up_to"}
    left = api("buying").made(f"targets/{bolt}/leave-to-runs/")
    assert (left["set_by"], left["reorder_at"]) == ("part", 4)
    problem(api("buying").post("targets/by-hand/", {**wish, "up_to": 4}), 422, "no-level")
    problem(api("buying").post("targets/by-hand/", {**wish, "most": 8}), 422, "no-room")


def test_targets_are_narrowed_and_downloaded(stages: Stages, api: Api) -> None:
    stages.target()
    targeting.go_on(stages.target_run())
    Target.objects.filter(part=stages.shop.bolt).update(why="=HYPERLINK")
    found = api("buying").read("targets/", set_by="hand")["results"]
    assert [one["part"]["id"] for one in found] == [stages.shop.bolt.pk]
    answer = api("buying").get("targets/", format="csv")
    assert answer["Content-Type"].startswith("text/csv")
    rows = list(csv.DictReader(b"".join(answer.streaming_content).decode().splitlines()))
    assert len(rows) == Target.objects.count()
    (bolt,) = (row for row in rows if row["number"] == stages.shop.bolt.number)
    assert (bolt["reorder_at"], bolt["up_to"], bolt["set_by"], bolt["why"]) == (
        "4",
        "9",
        "hand",
        "'=HYPERLINK",
    )
