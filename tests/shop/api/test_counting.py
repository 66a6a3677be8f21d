"""Count rounds and corrections over HTTP: blind until a line is counted."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from inventory.models import CountLine, Stock
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def path_to(line: CountLine, what: str = "enter") -> str:
    return f"count-rounds/{line.round_id}/lines/{line.pk}/{what}/"


def test_a_round_names_its_lines_in_walking_order_and_no_number_that_should_be_there(
    stages: Stages, api: Api
) -> None:
    made = api("floor").made("count-rounds/", {"why": "quarter", "places": ["A-1-3", "A-1-1"]})
    assert [(line["place"], line["part"]["number"]) for line in made["lines"]] == [
        ("A-1-1", "OR-40"),
        ("A-1-3", "OR-8B"),
    ]
    assert api("floor").read(f"count-rounds/{made['number']}/") == made
    assert all(line["entries"] == [] for line in made["lines"])
    assert not {"expected", "quantity"} & made["lines"][0].keys()


def test_the_second_counter_does_not_see_what_the_first_one_found(stages: Stages, api: Api) -> None:
    line = stages.count_line()
    first = api("floor").made(path_to(line), {"found": 6})
    assert (first["state"], first["entries"]) == ("again", [])
    [seen] = api("buying").read(f"count-rounds/{line.round_id}/")["lines"]
    assert seen["entries"] == []
    problem(api("floor").post(path_to(line), {"found": 6}), 403, "somebody-else-counts")
    second = api("buying").made(path_to(line), {"found": 6})
    assert second["state"] == "corrected"
    assert [(one["by"], one["difference"]) for one in second["entries"]] == [
        ("clerk-floor", -4),
        ("clerk-buying", -4),
    ]
    assert Stock.objects.get(part=stages.shop.bolt).on_hand == 6
    problem(api("buying").post(path_to(line), {"found": 6}), 409, "conflict")


def test_a_count_may_be_entered_later_than_it_was_made(stages: Stages, api: Api) -> None:
    line, counted_at = stages.count_line(), timezone.now()
    api("floor").made("corrections/scrap/", {**stages.lying(), "quantity": 4, "reason": "rusty"})
    entered = api("floor").made(path_to(line), {"found": 10, "counted_at": counted_at.isoformat()})
    assert entered["state"] == "agrees" and entered["entries"][0]["expected"] == 10
    line = api("floor").made("count-rounds/", {"why": "x", "parts": [stages.shop.bolt.pk]})["lines"][0]
    late = f"count-rounds/1/lines/{line['id']}/enter/"
    problem(api("floor").post(late, {"found": 1}), 404, "not-found")


def test_a_round_of_what_is_due_says_why_and_a_line_may_be_left(stages: Stages, api: Api) -> None:
    made = api("floor").made("count-rounds/due/", {"most": 1})
    [line] = made["lines"]
    assert line["why"].startswith("Class ")
    left = api("floor").made(
        f"count-rounds/{made['id']}/lines/{line['id']}/leave/", {"reason": "ladder is broken"}
    )
    assert left["state"] == "left" and "ladder" in left["why"]
    assert api("floor").read("count-rounds/", state="open")["results"] == []


def test_a_correction_over_the_limit_waits_and_is_decided_by_somebody_else(stages: Stages, api: Api) -> None:
    wish = {**stages.lying(), "change": 200, "reason": "a forgotten crate"}
    asked = api("floor").made("corrections/adjust/", wish)
    assert (asked["state"], asked["value"], asked["asked_by"]) == ("asked", "150.0000", "clerk-floor")
    document = problem(api("floor").post("corrections/adjust/", wish), 409, "correction-waits")
    assert document["correction"] == asked["id"]
    assert [one["id"] for one in api("buying").read("corrections/", state="asked")["results"]] == [
        asked["id"]
    ]
    posted = api("buying").made(f"corrections/{asked['id']}/approve/")
    assert (posted["state"], posted["decided_by"]) == ("posted", "clerk-buying")
    assert Stock.objects.get(part=stages.shop.bolt).on_hand == 210
    problem(api("buying").post(f"corrections/{asked['id']}/refuse/", {"reason": "no"}), 409, "conflict")


def test_a_small_correction_is_posted_at_once(stages: Stages, api: Api) -> None:
    made = api("floor").made("corrections/adjust/", {**stages.lying(), "change": -1, "reason": "cracked"})
    assert made["state"] == "posted" and made["entries"] == [] and made["round"] is None


@pytest.mark.parametrize(
    ("path", "body", "field"),
    [
        ("count-rounds/", {"why": "x", "places": ["Z-9"]}, "places"),
        ("count-rounds/", {"why": "x", "parts": [7_000]}, "parts"),
        ("corrections/adjust/", {"change": 1, "reason": "x", "lot": "L9"}, "lot"),
        ("corrections/scrap/", {"quantity": 0, "reason": "x"}, "quantity"),
    ],
)
def test_what_is_not_there_is_named(
    stages: Stages, api: Api, path: str, body: dict[str, Any], field: str
) -> None:
    body = {**stages.lying(), **body} if "corrections" in path else body
    assert problem(api("floor").post(path, body), 400, "invalid")["errors"].keys() == {field}


def test_a_round_of_nothing_is_refused(stages: Stages, api: Api) -> None:
    problem(api("floor").post("count-rounds/", {"why": "x"}), 422, "nothing-to-count")
