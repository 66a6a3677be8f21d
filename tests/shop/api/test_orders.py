"""Orders and parcels over HTTP."""

from __future__ import annotations

from inventory.models import Stock
from shop.models import AsBuilt
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_orders_are_narrowed_by_state(stages: Stages, api: Api) -> None:
    ready, waiting = stages.ready(), stages.waiting()
    found = api("floor").read("orders/", state="ready")["results"]
    assert [order["number"] for order in found] == [ready.number]
    [order] = api("floor").read("orders/", state="waiting")["results"]
    assert (order["number"], order["state"]) == (waiting.number, "waiting")


def test_an_order_shows_where_it_goes_and_what_is_kept(stages: Stages, api: Api) -> None:
    order = stages.ready()
    shown = api("floor").read(f"orders/{order.number}/")
    assert shown["address"] == "Quay 4\nSaltby"
    assert shown["reservation"]["kind"] == "commitment"
    assert [kit["ordinal"] for kit in shown["kits"]] == [1]
    assert shown["parcels"] == []


def test_a_waiting_order_keeps_nothing(stages: Stages, api: Api) -> None:
    assert api("floor").read(f"orders/{stages.waiting().pk}/")["reservation"] is None


def test_packing_records_what_went_in(stages: Stages, api: Api) -> None:
    order = stages.picked()
    parcel = api("floor").made(f"orders/{order.pk}/pack/", {"lots": stages.lots(order)})
    assert (parcel["order"], parcel["shipped_at"]) == (order.number, None)
    shown = api("floor").read(f"orders/{order.pk}/")
    assert shown["state"] == "packed"
    built = [(one["part"]["number"], one["lot"], one["quantity"]) for one in shown["kits"][0]["as_built"]]
    assert sorted(built, key=lambda one: one[0]) == [
        ("OR-40", None, 1),
        ("OR-7P", "N1", 1),
        ("OR-8B", None, 4),
    ]


def test_a_tracked_part_has_to_be_scanned_again(stages: Stages, api: Api) -> None:
    order = stages.picked()
    problem(api("floor").post(f"orders/{order.pk}/pack/"), 422, "lot-needed")
    problem(api("floor").post(f"orders/{order.pk}/pack/", {"lots": {"OR-7P": ["N2"]}}), 409, "wrong-lot")
    assert not AsBuilt.objects.exists()


def test_what_is_not_picked_is_not_packed(stages: Stages, api: Api) -> None:
    problem(api("floor").post(f"orders/{stages.ready().pk}/pack/"), 409, "not-picked")


def test_a_shipped_parcel_has_left_the_house(stages: Stages, api: Api) -> None:
    parcel = stages.parcel()
    shipped = api("floor").made(f"parcels/{parcel.number}/ship/", {"carrier": "Kelpie Vans", "tracking": "7"})
    assert (shipped["carrier"], shipped["tracking"]) == ("Kelpie Vans", "7")
    assert shipped["shipped_at"]
    stock = Stock.objects.get(part=stages.shop.pump)
    assert (stock.on_hand, stock.committed) == (1, 0)
    assert api("floor").read(f"orders/{parcel.order_id}/")["state"] == "shipped"
    again = api("floor").post(f"parcels/{parcel.pk}/ship/", {"carrier": "Kelpie Vans"})
    problem(again, 409, "already-shipped")


def test_a_parcel_needs_a_carrier(stages: Stages, api: Api) -> None:
    parcel = stages.parcel()
    document = problem(api("floor").post(f"parcels/{parcel.pk}/ship/", {"carrier": " "}), 400, "invalid")
    assert document["errors"].keys() == {"carrier"}
