"""The whole kits around a kit over HTTP: candidates with and without one, ways out, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.db.models import F

from inventory.models import Part, Stock
from kits.compiling import keeping
from kits.compiling.network import Drafted, network_of
from kits.compiling.seats import Fillings
from kits.conversion import Conversion
from kits.costed import Costed
from kits.models import PartFeature
from kits.solver import OutOfTime
from tests.shop.api.talking import Api, Caller, problem

pytestmark = pytest.mark.main_job

CRANK, SPACER = "aldwen AW-1204", "aldwen AW-1406"  # a light pulley, and the spacer that it wants
BIG_PUMP, TWO_GROOVES, BELT = "corvane CV 340", "aldwen AW-1200", "hoskerby HB-0880"


def key_of(label: str) -> str:
    maker, _, number = label.partition(" ")
    return f"parts:{Part.objects.get(maker__code=maker, number=number).pk}"


def opened(counter: Caller, template: str = "belt-front", engine: str = "HED-11") -> str:
    kit = counter.made("custom-kits/", {"template": template, "engine": engine})
    return f"custom-kits/{kit['id']}/"


def whole_kit(counter: Caller, path: str, slot: str, label: str) -> Any:
    slots = {one["code"]: one for one in counter.read(f"{path}candidates/")}
    options = {one["key"]: one for one in slots[slot]["options"]}
    return options[key_of(label)]["whole_kit"]


@pytest.fixture
def counter(demo: date, api: Api) -> Caller:
    return api("counter")


@pytest.fixture
def compiled(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """The template of every network made since, in turn."""
    made: list[str] = []

    def counted(conversion: Conversion, fillings: Fillings) -> Drafted:
        made.append(conversion.template)
        return network_of(conversion, fillings)

    monkeypatch.setattr(keeping, "network_of", counted)
    monkeypatch.setattr(keeping, "_here", type(keeping._here)())
    cache.clear()
    yield made
    cache.clear()


def test_a_candidate_that_another_part_follows_is_fitted_with_it(counter: Caller) -> None:
    path = opened(counter)
    told = whole_kit(counter, path, "crank-pulley", CRANK)
    assert (told["state"], told["follows"], told["price_difference"]) == ("possible", 1, "-3.80")
    assert Decimal(told["cheapest_difference"]) <= Decimal(told["price_difference"])
    around = counter.read(f"{path}candidates/crank-pulley/{key_of(CRANK)}/")
    assert around["state"] == "possible" and around["in_the_way"] is None
    assert [one["key"] for one in around["best"]["follows"]] == [key_of(SPACER)]
    before = Decimal(counter.read(f"{path}expansion/")["price"])
    kit = counter.made(around["best"]["post"]["to"].removeprefix("/api/"), around["best"]["post"]["body"])
    assert {one["slot"] for one in kit["fills"] if one["chosen"]} == {"crank-pulley"}
    expansion = counter.read(f"{path}expansion/")
    assert expansion["judgement"]["verdict"] == "goes together"
    assert Decimal(expansion["price"]) - before == Decimal("-3.80")


def test_what_is_there_sooner_is_told_and_can_be_posted(counter: Caller, demo: date) -> None:
    path = opened(counter)
    (only,) = counter.read(f"{path}trades/")
    assert only["way"]["follows"] == [] and only["way"]["ready_on"] == demo.isoformat()
    Stock.objects.filter(part__number=BELT.split()[1]).update(on_hand=0, held=0, committed=0, value=0)
    sooner, as_it_is = counter.read(f"{path}trades/")
    assert as_it_is["way"]["follows"] == [] and as_it_is["way"]["ready_on"] > sooner["way"]["ready_on"]
    assert [one["slot"] for one in sooner["way"]["follows"]] == ["belt"]
    assert sooner["way"]["ready_on"] == demo.isoformat() and sooner["shop_minutes"] == 0
    counter.made(sooner["way"]["post"]["to"].removeprefix("/api/"), sooner["way"]["post"]["body"])
    assert counter.read(f"{path}expansion/")["judgement"]["verdict"] == "goes together"


def insisting(counter: Caller) -> str:
    """A kit with the two-groove pulley and its belt insisted on: too weak for the big pump."""
    path = opened(counter)
    swaps = {"crank-pulley": key_of(TWO_GROOVES), "belt": key_of(BELT)}
    counter.made(f"{path}swap-together/", {"swaps": swaps})
    return path


def test_a_blocked_candidate_says_what_is_in_the_way_and_each_way_out_can_be_posted(counter: Caller) -> None:
    path = insisting(counter)
    assert whole_kit(counter, path, "pump", BIG_PUMP) == {
        "state": "not possible",
        "price_difference": None,
        "follows": None,
        "cheapest_difference": None,
        "ready_on": None,
    }
    around = counter.read(f"{path}candidates/pump/{key_of(BIG_PUMP)}/")
    assert around["best"] is None
    assert [one["slot"] for one in around["in_the_way"]["chosen"]] == ["belt"]
    assert around["in_the_way"]["reasons"] == ["Power that the belt carries"]
    way = around["in_the_way"]["ways_out"][0]
    assert {one["slot"] for one in way["changes"]} == {"crank-pulley", "belt"}
    assert [one["slot"] for one in way["follows"]] == ["pump-pulley"]
    before = Decimal(counter.read(f"{path}expansion/")["price"])
    kit = counter.made(way["post"]["to"].removeprefix("/api/"), way["post"]["body"])
    chosen = {one["slot"] for one in kit["fills"] if one["chosen"]}
    assert chosen == {"pump", "crank-pulley", "belt"}
    expansion = counter.read(f"{path}expansion/")
    assert expansion["judgement"]["verdict"] == "goes together"
    assert Decimal(expansion["price"]) - before == Decimal(way["price_difference"])
    problem(counter.post(f"{path}swap-together/", way["post"]["body"]), 409, "version-moved-on")


def test_choices_that_exclude_each_other_are_told_and_one_can_be_let_go(counter: Caller) -> None:
    path = insisting(counter)
    assert counter.read(f"{path}whole-kit/")["state"] == "possible"
    counter.made(f"{path}swap/", {"slot": "pump", "key": key_of(BIG_PUMP)})
    told = counter.read(f"{path}whole-kit/")
    assert (told["state"], told["best"]) == ("not possible", None)
    clash = told["excluding_each_other"]
    assert {one["slot"] for one in clash["chosen"]} == {"pump", "belt"} and clash["ways_out"]
    for slot in ("belt", "crank-pulley"):
        counter.made(f"{path}let-follow/", {"slot": slot})
    told = counter.read(f"{path}whole-kit/")
    assert (told["state"], told["chosen"], told["excluding_each_other"]) == ("possible", ["pump"], None)
    assert {one["slot"] for one in told["best"]["follows"]} == {"crank-pulley", "pump-pulley", "belt"}
    counter.made(f"{path}swap-together/", told["best"]["post"]["body"])
    assert counter.read(f"{path}verdict/")["verdict"] == "goes together"


def test_a_price_or_stock_that_changes_counts_at_once_and_compiles_nothing(
    counter: Caller, compiled: list[str]
) -> None:
    path = opened(counter)
    before = whole_kit(counter, path, "crank-pulley", CRANK)
    assert compiled == ["Belt front"]
    spacer = Part.objects.filter(pk=key_of(SPACER).removeprefix("parts:"))
    spacer.update(price=F("price") + 2)
    after = whole_kit(counter, path, "crank-pulley", CRANK)
    assert Decimal(after["price_difference"]) - Decimal(before["price_difference"]) == 2
    Stock.objects.filter(part__in=spacer).update(on_hand=0, held=0, committed=0, value=0)
    late = whole_kit(counter, path, "spacer", SPACER)
    assert late["ready_on"] is None or late["ready_on"] > before["ready_on"]
    assert compiled == ["Belt front"]


def test_a_dimension_that_changes_compiles_the_networks_that_use_it_and_no_other(
    counter: Caller, compiled: list[str]
) -> None:
    paths = [opened(counter), opened(counter, "raw-water-aside", "HED-12")]
    for path in paths:
        counter.read(f"{path}candidates/")
    compiled.clear()
    hub = PartFeature.objects.filter(part__pk=key_of(CRANK).removeprefix("parts:"), kind__code="hub-length")
    assert hub.update(lo=F("lo") + 5, hi=F("hi") + 5) == 1
    for path in paths * 2:
        counter.read(f"{path}candidates/")
    assert compiled == ["Belt front"]


def test_past_the_time_limit_every_candidate_is_not_yet_known(
    counter: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Slow:
        def __getattr__(self, name: str) -> Any:
            def late(*_: Any, **__: Any) -> Any:
                raise OutOfTime

            return late

    path = opened(counter)
    monkeypatch.setattr(Costed, "kept", keeping.Kept(Slow(), {}, {}))
    monkeypatch.setattr(Costed, "without_brought", lambda *_: keeping.Kept(Slow(), {}, {}))
    assert whole_kit(counter, path, "crank-pulley", CRANK)["state"] == "not yet known"
    around = counter.read(f"{path}candidates/crank-pulley/{key_of(CRANK)}/")
    assert around == {"state": "not yet known", "best": None, "in_the_way": None}
    assert counter.read(f"{path}whole-kit/")["state"] == "not yet known"


@pytest.mark.parametrize("candidate", ["mast/parts:1", "pump/parts:0", "pump/nonsense"])
def test_a_candidate_that_is_not_there_is_not_found(counter: Caller, candidate: str) -> None:
    problem(counter.get(f"{opened(counter)}candidates/{candidate}/"), 404, "not-found")


@pytest.mark.parametrize(
    ("address", "body", "status", "code"),
    [
        ("swap-together", {}, 400, "invalid"),
        ("swap-together", {"swaps": {"belt": "x"}, "follows": {"belt": "x"}}, 400, "invalid"),
        ("swap-together", {"swaps": {"mast": "parts:1"}}, 422, "no-such-slot"),
        ("swap-together", {"follows": {"belt": "parts:0"}}, 422, "no-such-option"),
        ("let-follow", {}, 400, "invalid"),
        ("let-follow", {"slot": "mast"}, 422, "no-such-slot"),
        ("let-follow", {"slot": "belt", "version": 9}, 409, "version-moved-on"),
    ],
)
def test_what_is_refused_says_what_to_do(
    counter: Caller, address: str, body: Any, status: int, code: str
) -> None:
    problem(counter.post(f"{opened(counter)}{address}/", body), status, code)


def test_a_repeated_key_swaps_together_once(counter: Caller) -> None:
    path = opened(counter)
    body = {"swaps": {"crank-pulley": key_of(CRANK)}, "follows": {"spacer": key_of(SPACER)}}
    first, again = (counter.post(f"{path}swap-together/", body, key="once") for _ in range(2))
    assert first.json() == again.json() and first.json()["version"] == 2
    assert again["Idempotency-Replayed"] == "true"
