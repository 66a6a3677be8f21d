"""Who may do what: every address, asked by nobody and by each desk, and what it changed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from inventory.models import AuditEntry, PurchaseOrder, Reservation, Stock, Walk, WalkStop
from kits.models import CustomKit
from shop.models import Customer, KeptAnswer, Order, Parcel, Quote
from tests.shop.api import requests_of_buying
from tests.shop.api.requests_of_buying import READS_OF_BUYING
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem

DESKS = ("counter", "floor", "buying", "catalogue")

# Address and body of one request, from the stages of the small shop.
Request = Callable[[Stages], tuple[str, Any]]

READS: dict[str, Callable[[Stages], str]] = {
    **requests_of_buying.READS,
    "engines/": lambda _: "engines/",
    "engines/{code}/": lambda _: "engines/T2/",
    "engines/{code}/conversions/": lambda _: "engines/T2/conversions/",
    "parts/": lambda _: "parts/",
    "parts/{id}/": lambda s: f"parts/{s.shop.pump.pk}/",
    "parts/{id}/demand/": lambda s: f"parts/{s.shop.pump.pk}/demand/",
    "demand/": lambda _: "demand/",
    "demand/{id}/": lambda s: f"demand/{s.asked().pk}/",
    "kit-templates/": lambda _: "kit-templates/",
    "kit-templates/{code}/": lambda _: "kit-templates/belt-pump/",
    "custom-kits/": lambda _: "custom-kits/",
    "custom-kits/{id}/": lambda s: f"custom-kits/{s.kit().pk}/",
    "custom-kits/{id}/candidates/": lambda s: f"custom-kits/{s.kit().pk}/candidates/",
    "custom-kits/{id}/candidates/{slot}/{key}/": lambda s: (
        f"custom-kits/{s.kit().pk}/candidates/pump/parts:{s.shop.pump.pk}/"
    ),
    "custom-kits/{id}/trades/": lambda s: f"custom-kits/{s.kit().pk}/trades/",
    "custom-kits/{id}/whole-kit/": lambda s: f"custom-kits/{s.kit().pk}/whole-kit/",
    "custom-kits/{id}/expansion/": lambda s: f"custom-kits/{s.kit().pk}/expansion/",
    "custom-kits/{id}/verdict/": lambda s: f"custom-kits/{s.kit().pk}/verdict/",
    "quotes/": lambda _: "quotes/",
    "quotes/{id}/": lambda s: f"quotes/{s.quote().pk}/",
    "quotes/{id}/promise/": lambda s: f"quotes/{s.quote().pk}/promise/",
    "notices/": lambda _: "notices/",
    "orders/": lambda _: "orders/",
    "orders/{id}/": lambda s: f"orders/{s.ready().pk}/",
    "parcels/{id}/": lambda s: f"parcels/{s.parcel().pk}/",
    "walks/": lambda _: "walks/",
    "walks/{id}/": lambda s: f"walks/{s.walk().pk}/",
    "count-rounds/": lambda _: "count-rounds/",
    "count-rounds/{id}/": lambda s: f"count-rounds/{s.count_line().round_id}/",
    "corrections/": lambda _: "corrections/",
    "corrections/{id}/": lambda s: f"corrections/{s.correction().pk}/",
    "how-many/": lambda _: "how-many/",
    "stock/": lambda _: "stock/",
    "stock/{id}/": lambda s: f"stock/{s.shop.pump.pk}/",
    "stock/{id}/movements/": lambda s: f"stock/{s.shop.pump.pk}/movements/",
}

READS_OF_THE_COUNTER: dict[str, Callable[[Stages], str]] = {
    "customers/": lambda _: "customers/",
    "customers/{id}/": lambda s: f"customers/{s.shop.customer.pk}/",
}


def opening(s: Stages) -> tuple[str, Any]:
    return "custom-kits/", {"template": "belt-pump", "engine": "T2"}


def swapping(s: Stages) -> tuple[str, Any]:
    return f"custom-kits/{s.kit().pk}/swap/", {"slot": "pump", "key": f"parts:{s.shop.pump.pk}"}


def swapping_together(s: Stages) -> tuple[str, Any]:
    swaps = {"pump": f"parts:{s.shop.pump.pk}"}
    follows = {"pulley": f"parts:{s.shop.pulley.pk}"}
    return f"custom-kits/{s.kit().pk}/swap-together/", {"swaps": swaps, "follows": follows}


def swapping_on_a_quote(s: Stages) -> tuple[str, Any]:
    quote = s.quote()
    wish = {"kit": quote.kits.get().pk, "slot": "pump", "key": f"parts:{s.shop.pump.pk}"}
    return f"quotes/{quote.pk}/swap/", wish


def quoting(s: Stages) -> tuple[str, Any]:
    return "quotes/", {"customer": s.shop.customer.pk, "kits": [{"kit": s.kit().pk}]}


def picking(s: Stages) -> tuple[str, Any]:
    stop = s.walk().stops.get(part=s.shop.bolt)
    return f"walks/{stop.walk_id}/stops/{stop.pk}/pick/", {"scanned": "OR-8B"}


def putting_back(s: Stages) -> tuple[str, Any]:
    s.picked()
    stop = WalkStop.objects.get(part=s.shop.bolt)
    return f"walks/{stop.walk_id}/stops/{stop.pk}/put-back/", {"quantity": 1}


def missing(s: Stages) -> tuple[str, Any]:
    stop = s.walk().stops.get(part=s.shop.bolt)
    return f"walks/{stop.walk_id}/stops/{stop.pk}/not-there/", {"found": 1}


def taking_back(s: Stages) -> tuple[str, Any]:
    lines = [{"part": s.shop.bolt.pk, "quantity": 2, "condition": "good"}]
    return f"orders/{s.shipped().pk}/take-back/", {"lines": lines, "reason": "wrong engine"}


def packing(s: Stages) -> tuple[str, Any]:
    order = s.picked()
    return f"orders/{order.pk}/pack/", {"lots": s.lots(order)}


def shipping(s: Stages) -> tuple[str, Any]:
    return f"parcels/{s.parcel().pk}/ship/", {"carrier": "Kelpie Vans"}


def counting(s: Stages) -> tuple[str, Any]:
    return f"count-rounds/{s.count_line().round_id}/lines/{s.count_line().pk}/enter/", {"found": 80}


def leaving(s: Stages) -> tuple[str, Any]:
    return f"count-rounds/{s.count_line().round_id}/lines/{s.count_line().pk}/leave/", {"reason": "no ladder"}


def adjusting(s: Stages) -> tuple[str, Any]:
    return "corrections/adjust/", {**s.lying(), "change": -1, "reason": "cracked"}


def scrapping(s: Stages) -> tuple[str, Any]:
    return "corrections/scrap/", {**s.lying(), "quantity": 1, "reason": "cracked"}


def carrying(s: Stages) -> tuple[str, Any]:
    here = s.shop.bins[s.shop.bolt.pk].code
    wish = {"part": s.shop.bolt.pk, "quantity": 2, "origin": here, "destination": "DOCK"}
    return "store-room/put-away/", wish


def making_up(s: Stages) -> tuple[str, Any]:
    return "store-room/make-up/", {"part": s.boxed().pk, "quantity": 1, "place": "BENCH"}


def taking_apart(s: Stages) -> tuple[str, Any]:
    part = s.boxed(made_up=1)
    wish = {"part": part.pk, "quantity": 1, "place": "BENCH", "to_place": "DOCK"}
    return "store-room/take-apart/", wish


def setting_by_hand(s: Stages) -> tuple[str, Any]:
    return "targets/by-hand/", {"part": s.shop.bolt.pk, "reorder_at": 4, "up_to": 9, "most": 40, "why": "so"}


WRITES: dict[str, tuple[tuple[str, ...], Request]] = {
    **requests_of_buying.WRITES,
    "customers/": (("counter",), lambda _: ("customers/", {"name": "Piet Amsel"})),
    "custom-kits/": (("counter",), opening),
    "custom-kits/{id}/swap/": (("counter",), swapping),
    "custom-kits/{id}/swap-together/": (("counter",), swapping_together),
    "custom-kits/{id}/let-follow/": (
        ("counter",),
        lambda s: (f"custom-kits/{s.kit().pk}/let-follow/", {"slot": "pump"}),
    ),
    "quotes/": (("counter",), quoting),
    "quotes/{id}/hold/": (("counter",), lambda s: (f"quotes/{s.quote().pk}/hold/", {})),
    "quotes/{id}/accept/": (("counter",), lambda s: (f"quotes/{s.quote().pk}/accept/", {})),
    "quotes/{id}/withdraw/": (("counter",), lambda s: (f"quotes/{s.quote().pk}/withdraw/", {})),
    "quotes/{id}/lose/": (
        ("counter",),
        lambda s: (f"quotes/{s.quote().pk}/lose/", {"why": "too dear", "note": "a friend has one"}),
    ),
    "demand/{id}/one-off/": (("buying",), lambda s: (f"demand/{s.asked().pk}/one-off/", {"one_off": True})),
    "quotes/{id}/prolong/": (("counter",), lambda s: (f"quotes/{s.held().pk}/prolong/", {"hours": 1})),
    "quotes/{id}/swap/": (("counter",), swapping_on_a_quote),
    "notices/{id}/seen/": (("counter",), lambda s: (f"notices/{s.notice().pk}/seen/", {})),
    "walks/": (("floor",), lambda s: ("walks/", {"orders": [s.ready().pk]})),
    "walks/{id}/stops/{stop}/pick/": (("floor",), picking),
    "walks/{id}/stops/{stop}/put-back/": (("floor",), putting_back),
    "walks/{id}/stops/{stop}/not-there/": (("floor",), missing),
    "walks/{id}/give-up/": (("floor",), lambda s: (f"walks/{s.walk().pk}/give-up/", {})),
    "orders/{id}/pack/": (("floor",), packing),
    "orders/{id}/cancel/": (
        ("counter",),
        lambda s: (f"orders/{s.ready().pk}/cancel/", {"reason": "changed mind"}),
    ),
    "orders/{id}/take-back/": (("counter",), taking_back),
    "parcels/{id}/unpack/": (("floor",), lambda s: (f"parcels/{s.parcel().pk}/unpack/", {})),
    "parcels/{id}/ship/": (
        ("floor",),
        lambda s: (f"parcels/{s.parcel().pk}/ship/", {"carrier": "Kelpie Vans"}),
    ),
    "target-runs/": (("buying",), lambda _: ("target-runs/", {"wanted": "0.9"})),
    "target-runs/{id}/take-up/": (("buying",), lambda s: (f"target-runs/{s.target_run().pk}/take-up/", {})),
    "targets/by-hand/": (("buying",), setting_by_hand),
    "targets/{part_id}/leave-to-runs/": (
        ("buying",),
        lambda s: (f"targets/{s.target().part_id}/leave-to-runs/", {}),
    ),
    "store-room/put-away/": (("floor", "buying"), carrying),
    "store-room/make-up/": (("floor",), making_up),
    "store-room/take-apart/": (("floor",), taking_apart),
    "count-rounds/": (
        ("floor", "buying"),
        lambda s: ("count-rounds/", {"why": "year's end", "parts": [s.shop.bolt.pk]}),
    ),
    "count-rounds/due/": (("floor", "buying"), lambda _: ("count-rounds/due/", {"most": 2})),
    "count-rounds/{id}/lines/{line}/enter/": (("floor", "buying"), counting),
    "count-rounds/{id}/lines/{line}/leave/": (("floor", "buying"), leaving),
    "corrections/adjust/": (("floor",), adjusting),
    "corrections/scrap/": (("floor",), scrapping),
    "corrections/{id}/approve/": (
        ("buying",),
        lambda s: (f"corrections/{s.correction().pk}/approve/", {}),
    ),
    "corrections/{id}/refuse/": (
        ("buying",),
        lambda s: (f"corrections/{s.correction().pk}/refuse/", {"reason": "they dry"}),
    ),
}


def picture() -> list[Any]:
    """All that a write under /api/ changes."""
    return [
        list(Stock.objects.order_by("part").values_list("part", "on_hand", "held", "committed")),
        list(Quote.objects.order_by("pk").values_list("pk", "state", "reservation")),
        list(Order.objects.order_by("pk").values_list("pk", "state")),
        list(Parcel.objects.order_by("pk").values_list("pk", "shipped_at")),
        list(PurchaseOrder.objects.order_by("pk").values_list("pk", "state")),
        list(WalkStop.objects.order_by("pk").values_list("pk", "picked", "let_go")),
        list(CustomKit.objects.order_by("pk").values_list("pk", "version")),
        [model.objects.count() for model in (Customer, Walk, Reservation, AuditEntry, KeptAnswer)],
    ]


@pytest.mark.parametrize("address", READS)
def test_who_is_signed_in_reads(address: str, stages: Stages, api: Api) -> None:
    path = READS[address](stages)
    problem(api("").get(path), 401, "not-signed-in")
    for desk in DESKS:
        assert api(desk).get(path).status_code == 200, desk


@pytest.mark.parametrize("address", READS_OF_THE_COUNTER)
def test_customers_are_read_by_the_counter_alone(address: str, stages: Stages, api: Api) -> None:
    path = READS_OF_THE_COUNTER[address](stages)
    problem(api("").get(path), 401, "not-signed-in")
    for desk in ("floor", "buying", "catalogue"):
        assert "counter" in problem(api(desk).get(path), 403, "not-allowed")["detail"]
    assert api("counter").get(path).status_code == 200


@pytest.mark.parametrize("address", READS_OF_BUYING)
def test_targets_and_papers_are_read_by_buying_alone(address: str, stages: Stages, api: Api) -> None:
    path = READS_OF_BUYING[address](stages)
    problem(api("").get(path), 401, "not-signed-in")
    for desk in ("counter", "floor", "catalogue"):
        assert "buying" in problem(api(desk).get(path), 403, "not-allowed")["detail"]
    assert api("buying").get(path).status_code == 200


@pytest.mark.parametrize("address", WRITES)
def test_a_write_is_refused_to_all_but_its_desk(address: str, stages: Stages, api: Api) -> None:
    allowed, request = WRITES[address]
    path, body = request(stages)
    before = picture()
    problem(api("").post(path, body), 401, "not-signed-in")
    for desk in set(DESKS) - set(allowed):
        problem(api(desk).post(path, body), 403, "not-allowed")
        assert picture() == before, desk
    assert api(allowed[0]).post(path, body).status_code in (200, 201)
    assert picture() != before


@pytest.mark.parametrize("address", [address for address, (desks, _) in WRITES.items() if len(desks) > 1])
def test_a_write_of_two_desks_is_open_to_both(address: str, stages: Stages, api: Api) -> None:
    desks, request = WRITES[address]
    path, body = request(stages)
    assert api(desks[1]).post(path, body).status_code in (200, 201)


def test_the_tables_name_every_address(db: None) -> None:
    paths = Client().get("/api/schema/", headers={"Accept": "application/json"}).json()["paths"]
    open_to_all = {"sign-in/", "problems/", "problems/{code}"}
    for method, tables in (("get", {**READS, **READS_OF_THE_COUNTER, **READS_OF_BUYING}), ("post", WRITES)):
        served = {path.removeprefix("/api/") for path, methods in paths.items() if method in methods}
        assert served - open_to_all == tables.keys()
