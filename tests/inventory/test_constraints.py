"""Every named constraint of the store room is broken once, past all code: the database itself says no."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.utils import timezone

from inventory.ledger import lock_stock, outside
from inventory.models import (
    AlternateNumber,
    Balance,
    CountLine,
    CountRound,
    LateCharge,
    Lot,
    Makeup,
    MonthlyDemand,
    Movement,
    Part,
    Place,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    ReceiptLine,
    Reservation,
    ReservationLine,
    Stock,
    Supersession,
    Walk,
    WalkStop,
)
from tests.inventory.alert_rows import ALERT_BREAKS
from tests.inventory.builders import (
    a_bin,
    a_lot,
    a_part,
    a_supplier,
    an_offer,
    inbound,
    the_founder,
)
from tests.inventory.buying_rows import BUYING_BREAKS
from tests.inventory.demand_rows import DEMAND_BREAKS
from tests.inventory.rows import (
    a_correction,
    a_count_line,
    a_lot_counted_twice,
    a_makeup,
    a_round,
    counted_twice,
    made_up_of_itself,
)
from tests.inventory.targeting.breaks import TARGET_BREAKS

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def twice(model: type[models.Model], **values: Any) -> None:
    model._default_manager.create(**values)
    model._default_manager.create(**values)


def movement(**values: Any) -> None:
    given: dict[str, Any] = {
        "at": timezone.now(),
        "act": Movement.Act.COUNT,
        "part": a_part(),
        "quantity": 1,
        "origin": outside(Place.Kind.COUNT),
        "destination": a_bin(),
        "by": the_founder(),
    }
    Movement.objects.create(**given | values)


def balance(**values: Any) -> dict[str, Any]:
    return {"part": a_part(), "place": a_bin(), "quantity": 1} | values


def stock(**values: int | Decimal) -> None:
    part = a_part()
    lock_stock([part.pk])
    Stock.objects.filter(part=part).update(**values)


def a_hold(**values: Any) -> Reservation:
    return Reservation.objects.create(
        **{"kind": Reservation.Kind.HOLD, "reference": "Q1", "until": timezone.now()} | values
    )


def a_commitment(**values: Any) -> Reservation:
    return a_hold(**{"kind": Reservation.Kind.COMMITMENT, "until": None} | values)


def a_kept_line(**values: Any) -> dict[str, Any]:
    return {"reservation": a_hold(), "part": a_part(), "quantity": 1} | values


def purchase(**values: Any) -> None:
    PurchaseLine.objects.filter(pk=inbound(a_part(), 5).pk).update(**values)


def a_stop(**values: Any) -> dict[str, Any]:
    return {
        "walk": Walk.objects.create(made_by=the_founder()),
        "sequence": 1,
        "reservation": a_commitment(),
        "part": a_part(),
        "place": a_bin(),
        "quantity": 1,
    } | values


def a_receipt(line: PurchaseLine) -> dict[str, Any]:
    return {"order": line.order, "at": timezone.now(), "by": the_founder(), "delivery_note": "DN-1"}


def an_empty_receipt_line() -> None:
    line = inbound(a_part(), 1)
    ReceiptLine.objects.create(
        receipt=Receipt.objects.create(**a_receipt(line)), purchase_line=line, quantity=0
    )


def a_line_twice() -> None:
    line = inbound(a_part(), 1)
    twice(PurchaseLine, order=line.order, part=a_part(), quantity=1, price=1, due=line.due)


def an_inbound_line_kept_twice() -> None:
    line = inbound(a_part(), 1)
    twice(ReservationLine, **a_kept_line(part=line.part, purchase_line=line))


def two_of_a_number() -> None:
    a_part("TF-1")
    a_part("tf-1")


def two_bins_in_one_position() -> None:
    a_bin()
    Place.objects.create(code="X", kind=Place.Kind.BIN, hall="A", aisle=1, bay=1, level=1)


def two_scraps() -> None:
    outside(Place.Kind.SCRAP)
    Place.objects.create(code="SCRAP 2", kind=Place.Kind.SCRAP)


def one_lot_in_two_balances() -> None:
    part = a_part()
    twice(Balance, **balance(part=part, lot=a_lot(part, "L1")))


def superseded_by_itself() -> None:
    part = a_part()
    Supersession.objects.create(old=part, new=part, since=date(2026, 1, 1))


def two_offers() -> None:
    part = a_part()
    an_offer(part)
    an_offer(part)


def a_late_charge(**values: Any) -> None:
    line = inbound(a_part(), 1)
    LateCharge.objects.create(
        at=timezone.now(),
        receipt=Receipt.objects.create(**a_receipt(line)),
        part=line.part,
        reason="freight",
        by=the_founder(),
        **values,
    )


VIOLATIONS: dict[str, Callable[[], object]] = {
    "movement_moves_something": lambda: movement(quantity=0),
    "movement_changes_place": lambda: movement(origin=a_bin()),
    "movement_value_not_negative": lambda: movement(value=Decimal(-1)),
    "one_balance_per_place": lambda: twice(Balance, **balance()),
    "one_balance_per_lot": one_lot_in_two_balances,
    "balance_not_below_zero": lambda: Balance.objects.create(**balance(quantity=-1)),
    "allotted_within_balance": lambda: Balance.objects.create(**balance(allotted=2)),
    "on_hand_not_below_zero": lambda: stock(on_hand=-1),
    "kept_not_below_zero": lambda: stock(held=-1),
    "kept_within_on_hand": lambda: stock(on_hand=1, held=1, committed=1),
    "nothing_on_hand_is_worth_nothing": lambda: stock(value=1),
    "part_number_once_per_maker": two_of_a_number,
    "part_price_not_negative": lambda: Part.objects.filter(pk=a_part().pk).update(price=Decimal(-1)),
    "only_tracked_parts_cost_by_lot": lambda: Part.objects.filter(pk=a_part().pk).update(costing="lot"),
    "alternate_number_once_per_part": lambda: twice(
        AlternateNumber, part=a_part(), number="1", kind="barcode"
    ),
    "supersession_not_by_itself": superseded_by_itself,
    "lot_once_per_part": lambda: twice(Lot, part=a_part(), code="L1"),
    "an_empty_lot_is_worth_nothing": lambda: Lot.objects.create(part=a_part(), code="L1", value=Decimal(1)),
    "component_once_per_makeup": lambda: twice(Makeup, **a_makeup()),
    "makeup_takes_something": lambda: Makeup.objects.create(**a_makeup(quantity=0)),
    "made_up_of_other_parts": made_up_of_itself,
    "bin_has_aisle_bay_level": lambda: Place.objects.create(code="X", kind=Place.Kind.BIN, aisle=1, bay=1),
    "one_bin_per_position": two_bins_in_one_position,
    "one_place_per_outside_kind": two_scraps,
    **DEMAND_BREAKS,
    "one_demand_per_part_and_month": lambda: twice(
        MonthlyDemand, part=a_part(), month=date(2026, 1, 1), quantity=1
    ),
    "demand_month_starts_on_the_first": lambda: MonthlyDemand.objects.create(
        part=a_part(), month=date(2026, 1, 2), quantity=1
    ),
    **TARGET_BREAKS,
    **ALERT_BREAKS,
    "purchase_order_sent_has_a_time": lambda: PurchaseOrder.objects.create(
        supplier=a_supplier(),
        state=PurchaseOrder.State.SENT,
        made_by=the_founder(),
        approved_at=timezone.now(),
        approved_by=the_founder(),
    ),
    **BUYING_BREAKS,
    "part_once_per_purchase_order": a_line_twice,
    "purchase_line_buys_something": lambda: purchase(quantity=0),
    "received_within_ordered": lambda: purchase(received=6),
    "reserved_within_what_is_to_come": lambda: purchase(received=3, reserved=3),
    "purchase_price_not_negative": lambda: purchase(price=Decimal(-1)),
    "delivery_note_booked_once": lambda: twice(Receipt, **a_receipt(inbound(a_part(), 1))),
    "charges_not_negative": lambda: Receipt.objects.create(
        **a_receipt(inbound(a_part(), 1)), charges=Decimal(-1)
    ),
    "late_charge_not_negative": lambda: a_late_charge(spent=Decimal(-1)),
    "receipt_line_receives_something": an_empty_receipt_line,
    "only_holds_end_by_themselves": lambda: a_commitment(until=timezone.now()),
    "a_commitment_never_lapses": lambda: a_commitment(state=Reservation.State.LAPSED),
    "reservation_keeps_something": lambda: ReservationLine.objects.create(**a_kept_line(quantity=0)),
    "one_line_from_stock_per_part": lambda: twice(ReservationLine, **a_kept_line()),
    "one_line_per_purchase_line": an_inbound_line_kept_twice,
    "one_offer_per_supplier_and_part": two_offers,
    "offer_price_not_negative": lambda: an_offer(a_part(), price="-1"),
    "offer_sells_whole_packs": lambda: an_offer(a_part(), pack=0),
    "a_done_walk_has_a_time": lambda: Walk.objects.create(made_by=the_founder(), state=Walk.State.DONE),
    "walk_stops_have_an_order": lambda: twice(WalkStop, **a_stop()),
    "stop_takes_something": lambda: WalkStop.objects.create(**a_stop(quantity=0)),
    "picked_within_wanted": lambda: WalkStop.objects.create(**a_stop(picked=1, let_go=1)),
    "a_done_round_has_a_time": lambda: a_round(state=CountRound.State.DONE),
    "count_lines_have_an_order": lambda: twice(CountLine, **a_count_line()),
    "counted_once_per_round": counted_twice,
    "lot_counted_once_per_round": a_lot_counted_twice,
    "correction_changes_something": lambda: a_correction(change=0),
    "a_posted_correction_has_its_movement": lambda: a_correction(state="posted", decided_at=timezone.now()),
    "a_decided_correction_has_a_time": lambda: a_correction(state="refused"),
}

# Whatever breaks these two breaks another one too, which PostgreSQL, going by name, comes to first.
SAID_BY = {
    "balance_not_below_zero": "allotted_within_balance",
    "on_hand_not_below_zero": "kept_within_on_hand",
}


def test_every_constraint_is_listed_here() -> None:
    named = {
        constraint.name
        for model in apps.get_app_config("inventory").get_models()
        for constraint in model._meta.constraints
    }
    assert named == set(VIOLATIONS)


@pytest.mark.parametrize("name", VIOLATIONS)
def test_the_database_keeps(name: str) -> None:
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        VIOLATIONS[name]()
    if connection.vendor == "postgresql":
        assert getattr(refused.value.__cause__, "diag").constraint_name == SAID_BY.get(name, name)  # noqa: B009 - psycopg's own
