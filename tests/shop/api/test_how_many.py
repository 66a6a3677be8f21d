"""How many whole kits could ship, over HTTP."""

from __future__ import annotations

from decimal import Decimal

from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_kits_by_conversion_with_what_one_more_lacks(stages: Stages, api: Api) -> None:
    found = api("counter").read("how-many/", template="belt-pump", engine="T2")
    [one] = found["conversions"]
    assert (found["together"], one["together"], one["alone"], one["exact"]) == (2, 2, 2, True)
    assert one["engines"] == ["T2"] and [day["kits"] for day in one["ahead"]] == [2, 2, 2, 2]
    lacks = {lack["part"]["number"]: lack["pieces"] for lack in one["lacks"]}
    assert lacks == {"OR-7P": 1, "OR-8B": 2}
    assert one["in_the_way"] == []


def test_the_plan_may_be_the_one_that_sells_for_most(stages: Stages, api: Api) -> None:
    kits = api("counter").read("how-many/", template="belt-pump")
    money = api("counter").read("how-many/", template="belt-pump", most="money")
    assert (kits["most"], money["most"]) == ("kits", "money")
    assert Decimal(money["price"]) >= Decimal(kits["price"]) > 0
    sums = [Decimal(one["price"]) * one["together"] for one in money["conversions"]]
    assert sum(sums) == Decimal(money["price"])


def test_what_is_kept_for_others_does_not_count(stages: Stages, api: Api) -> None:
    stages.ready()
    assert api("buying").read("how-many/")["together"] == 1


def test_nonsense_is_refused_by_the_field(stages: Stages, api: Api) -> None:
    for asked, field in (
        ({"template": "x"}, "template"),
        ({"on": "x"}, "on"),
        ({"on": "2020-01-01"}, "on"),
        ({"most": "fun"}, "most"),
    ):
        assert field in problem(api("buying").get("how-many/", **asked), 400, "invalid")["errors"]
