"""The main job on the demo shop once more, by nothing but HTTP: from the telephone to the reorder.

What is expected comes from the files of the scenario (tests/job/scenario.py).
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.management import call_command

from tests.job import scenario
from tests.shop.api.talking import Api, Caller, problem

pytestmark = pytest.mark.main_job

CAST_ADAPTOR = "tarrowby TL/6-300"


def id_of(caller: Caller, label: str) -> int:
    """'aldwen AW-1404' as the id that the API knows it by."""
    maker, _, number = label.partition(" ")
    [part] = caller.read("parts/", maker=maker, number=number)["results"]
    return int(part["id"])


def figures(caller: Caller, part_id: int) -> tuple[int, int, int]:
    shown = caller.read(f"stock/{part_id}/")
    return shown["on_hand"], shown["held"], shown["committed"]


def picked(floor: Caller, walk: Any) -> dict[str, list[str]]:
    """Pick every stop; the lots that were taken, by part number."""
    lots: dict[str, list[str]] = {}
    for stop in walk["stops"]:
        body = {"scanned": stop["part"]["number"], "lot": stop["lot"] or ""}
        assert floor.made(f"walks/{walk['id']}/stops/{stop['id']}/pick/", body)["left"] == 0
        if stop["lot"]:
            lots.setdefault(stop["part"]["number"], []).append(stop["lot"])
    return lots


def test_the_counter_says_at_once_whether_a_conversion_exists(demo: date, api: Api) -> None:
    counter = api("counter")
    [engine] = counter.read("engines/", search="hed-10")["results"]
    conversions = counter.read(f"engines/{engine['code']}/conversions/")
    belt_front = next(one for one in conversions if one["template"] == "belt-front")
    assert not belt_front["possible"] and belt_front["reason"]
    assert belt_front["instead"]["code"] == "raw-water-aside"
    body = {"template": "belt-front", "engine": engine["code"]}
    document = problem(counter.post("custom-kits/", body), 422, "never-on-this-engine")
    assert document["instead"]["code"] == "raw-water-aside"


def sold(counter: Caller, today: date) -> tuple[Any, dict[int, int]]:
    """A belt front with the cheaper cast adaptor, which has to be turned down: quoted, held, accepted.

    Returns the order, and what it keeps: how many of each part.
    """
    kit = counter.made("custom-kits/", {"template": "belt-front", "engine": "HED-11"})
    path, cast = f"custom-kits/{kit['number']}/", id_of(counter, CAST_ADAPTOR)
    slot = next(one for one in counter.read(f"{path}candidates/") if one["code"] == "adaptor")
    option = next(one for one in slot["options"] if one["key"] == f"parts:{cast}")
    assert option["verdict"] == "goes with work" and any("0.24982 mm" in why for why in option["reasons"])
    counter.made(f"{path}swap/", {"slot": "adaptor", "key": option["key"], "version": kit["version"]})
    expansion = counter.read(f"{path}expansion/")
    assert [work["name"] for work in expansion["works"]] == ["Turn the register down"]
    lines = {line["part"]["id"]: line["quantity"] for line in expansion["lines"]}

    [customer] = counter.read("customers/", name="Pim Vale")["results"]
    quote = counter.made("quotes/", {"customer": customer["id"], "kits": [{"kit": kit["id"]}]})
    assert quote["kits"][0]["verdict"] == "goes with work"
    assert Decimal(quote["kits"][0]["difference"]) == Decimal(option["price_difference"])
    on_hand = {part: figures(counter, part)[0] for part in lines}
    counter.made(f"quotes/{quote['number']}/hold/")
    assert all(figures(counter, part) == (on_hand[part], lines[part], 0) for part in lines)
    order = counter.made(f"quotes/{quote['number']}/accept/")
    tomorrow = today + timedelta(days=1)  # Turning counts as a day.
    assert (order["state"], order["promised_on"]) == ("ready", tomorrow.isoformat())
    assert all(figures(counter, part) == (on_hand[part], 0, lines[part]) for part in lines)
    return order, lines


def walked(floor: Caller) -> dict[str, list[str]]:
    """One walk; at the washer the picker takes a look-alike and is stopped. Returns the lots picked."""
    [ready] = floor.read("orders/", state="ready")["results"]
    walk = floor.made("walks/", {"orders": [ready["id"]]})
    washer = next(stop for stop in walk["stops"] if stop["part"]["number"] == "DF-W-50")
    wrong = floor.post(f"walks/{walk['id']}/stops/{washer['id']}/pick/", {"scanned": "DF-W-60"})
    document = problem(wrong, 409, "wrong-part")
    assert "DF-W-60" in document["is"] and "DF-W-50" in document["wanted"]
    return picked(floor, walk)


def test_from_the_telephone_to_the_reorder(demo: date, api: Api) -> None:
    counter, floor = api("counter"), api("floor")
    order, lines = sold(counter, demo)
    on_hand = {part: figures(counter, part)[0] for part in lines}
    lots = walked(floor)
    assert lots["CV 312"] == [scenario.read().lots["corvane CV 312"][0]]

    # Packed and shipped; a repeated request ships nothing twice.
    parcel = floor.made(f"orders/{order['number']}/pack/", {"lots": lots})
    ship, carrier = f"parcels/{parcel['number']}/ship/", {"carrier": "Skarrow Carriers"}
    first, again = (floor.post(ship, carrier, key="one parcel") for _ in range(2))
    assert first.status_code == 200 and first.json() == again.json()
    assert all(figures(counter, part) == (on_hand[part] - lines[part], 0, 0) for part in lines)
    shown = floor.read(f"orders/{order['number']}/")
    built = {one["part"]["id"]: one["quantity"] for one in shown["kits"][0]["as_built"]}
    assert (shown["state"], built) == ("shipped", lines)
    call_command("check_ledger")

    reorder(api("buying"), floor, id_of(counter, "aldwen AW-1502"))


def reorder(buyer: Caller, floor: Caller, part_id: int) -> None:
    """The order brought the part down to its target: buying orders it, and the floor books it in."""
    [alert] = buyer.read("alerts/", part=part_id, cause="below target")["results"]
    assert alert["reason"] and alert["supplier"] and alert["order_by"]
    [draft] = buyer.made("alerts/order/", {"alerts": [alert["id"]]})
    sent = buyer.made(f"purchase-orders/{draft['number']}/send/")
    assert buyer.read("alerts/", part=part_id, cause="below target")["results"] == []
    line = next(line for line in sent["lines"] if line["part"]["id"] == part_id)
    assert line["quantity"] >= alert["quantity"]
    on_hand = figures(buyer, part_id)[0]
    body = {"delivery_note": "DN 7", "lines": [{"line": line["id"], "quantity": line["quantity"]}]}
    floor.made(f"purchase-orders/{draft['number']}/receive/", body)
    assert figures(buyer, part_id)[0] == on_hand + line["quantity"]
    call_command("check_ledger")
