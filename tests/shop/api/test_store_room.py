"""The store room over HTTP: carry, make up, take apart, charge late, and receive with charges."""

from __future__ import annotations

from decimal import Decimal

from inventory.models import Balance, LateCharge, Lot, Movement, Receipt, Stock
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def test_pieces_are_carried_with_their_lot(stages: Stages, api: Api) -> None:
    pump = stages.shop.pump
    here = stages.shop.bins[pump.pk].code
    wish = {"part": pump.pk, "quantity": 1, "origin": here, "destination": "DOCK", "lot": "N2"}
    moved = api("floor").made("store-room/put-away/", wish)
    assert (moved["act"], moved["origin"], moved["destination"], moved["lot"]) == ("move", here, "DOCK", "N2")
    assert Balance.objects.get(place__code="DOCK", quantity=1).lot == Lot.objects.get(code="N2")
    back = wish | {"origin": "DOCK", "destination": here}
    assert api("floor").made("store-room/put-away/", back)["act"] == "put away"
    document = problem(api("floor").post("store-room/put-away/", wish | {"lot": "N9"}), 400, "invalid")
    assert "no N9" in str(document["errors"]["lot"])


def test_a_kit_is_made_up_and_taken_apart(stages: Stages, api: Api) -> None:
    boxed = stages.boxed()
    wish = {"part": boxed.pk, "quantity": 2, "place": "BENCH", "work_cost": "4.00"}
    [made] = api("floor").made("store-room/make-up/", wish)
    assert (made["act"], made["quantity"], made["part"]["number"]) == ("make up", 2, "OR-90")
    # Pulleys at 20.00 and bolts at 0.75, as they are offered, and the work.
    assert Stock.objects.get(part=boxed).value == Decimal("47.0000")
    wish = {"part": boxed.pk, "quantity": 1, "place": "BENCH", "to_place": "DOCK"}
    came = api("floor").made("store-room/take-apart/", wish)
    assert {(one["part"]["number"], one["quantity"]) for one in came} == {("OR-40", 1), ("OR-8B", 2)}
    assert Stock.objects.get(part=boxed).value == Decimal("23.5000")


def test_the_same_key_makes_up_once(stages: Stages, api: Api) -> None:
    wish = {"part": stages.boxed().pk, "quantity": 1, "place": "BENCH"}
    first = api("floor").post("store-room/make-up/", wish, key="k1").json()
    again = api("floor").post("store-room/make-up/", wish, key="k1")
    assert again.json() == first and again["Idempotency-Replayed"] == "true"
    assert Movement.objects.filter(act="make up", origin__kind="making").count() == 1


def test_too_few_components_are_a_conflict_that_names_them(stages: Stages, api: Api) -> None:
    wish = {"part": stages.boxed().pk, "quantity": 4, "place": "BENCH"}
    document = problem(api("floor").post("store-room/make-up/", wish), 409, "conflict")
    assert "OR-40" in document["missing"][0]
    wish["part"] = stages.shop.bolt.pk
    problem(api("floor").post("store-room/make-up/", wish), 422, "no-makeup")


def test_a_late_charge_is_answered_share_by_share(stages: Stages, api: Api) -> None:
    wish = {"receipt": stages.received().pk, "amount": "12.00", "reason": "freight"}
    [charge] = api("buying").made("store-room/late-charges/", wish)
    assert (charge["absorbed"], charge["spent"], charge["lot"]) == ("12.0000", "0.0000", None)
    problem(api("buying").post("store-room/late-charges/", wish | {"amount": "0"}), 422, "bad-charges")
    assert LateCharge.objects.count() == 1


def test_a_delivery_is_received_with_its_charges(stages: Stages, api: Api) -> None:
    order = stages.sent()
    before = Stock.objects.get(part=stages.shop.pulley).value
    body = stages.delivery(order) | {"charges": "7.50"}
    answer = api("floor").made(f"purchase-orders/{order.pk}/receive/", body)
    assert answer["charges"] == "7.50" and Receipt.objects.get().charges == Decimal("7.50")
    assert Stock.objects.get(part=stages.shop.pulley).value == before + 5 * 20 + Decimal("7.50")
    problem(
        api("floor").post(f"purchase-orders/{order.pk}/receive/", body | {"charges": "-1"}), 400, "invalid"
    )
