"""What customers send back: no more than went out, at the cost at which it left."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.utils import timezone

from inventory.demand import monthly
from inventory.models import AuditEntry, Balance, Demand, Lot, MonthlyDemand, Movement, Part, Place, Stock
from shop import ordering, packing
from shop.models import CustomerReturn, Order, Parcel, ReturnLine
from shop.returning import Back, take_back
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_floor import picked, refused

pytestmark = pytest.mark.main_job

GOOD, SPOILT = ReturnLine.Condition.GOOD, ReturnLine.Condition.SPOILT
WHY = "wrong engine"


def shipped(shop: SmallShop, clerk: Clerk) -> Order:
    order = picked(shop, clerk)
    packing.pack(clerk("floor"), order, lots={"OR-7P": ["N1"]})
    packing.ship(clerk("floor"), Parcel.objects.get(), carrier="Skerry Post")
    order.refresh_from_db()
    return order


def lot(code: str) -> Lot:
    return Lot.objects.get(code=code)


def worth(part: Part) -> tuple[int, Decimal]:
    stock = Stock.objects.get(part=part)
    return stock.on_hand, stock.value


def sold(part: Part) -> int:
    today = timezone.localdate()
    return sum(monthly([part.pk], today, today + timedelta(days=1)).get(part.pk, {}).values())


def test_good_pieces_come_back_into_stock_for_what_they_left_at(small_shop: SmallShop, clerk: Clerk) -> None:
    before = worth(small_shop.bolt)
    order = shipped(small_shop, clerk)
    made = take_back(small_shop.counter, order, [(small_shop.bolt, 4, None, GOOD)], WHY)
    assert worth(small_shop.bolt) == before and sold(small_shop.bolt) == 0
    movement = made.lines.get().movement
    assert (movement.act, movement.origin.kind, movement.destination.kind) == ("return", "customer", "dock")
    assert (movement.reference, movement.reason) == (made.number, WHY)
    assert Balance.objects.get(part=small_shop.bolt, quantity__gt=0).place.code == "A-1-3"
    assert AuditEntry.objects.filter(act="returning.take_back", subject=made.number).count() == 1
    call_command("check_ledger")


def test_piece_by_piece_they_cost_together_what_left(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    left = Movement.objects.get(act=Movement.Act.SHIP, part=small_shop.bolt)
    for _ in range(4):
        take_back(small_shop.counter, order, [(small_shop.bolt, 1, None, GOOD)], WHY)
    back = Movement.objects.filter(act=Movement.Act.RETURN, part=small_shop.bolt)
    assert sum(back.values_list("value", flat=True)) == left.value > 0
    assert sold(small_shop.bolt) == 0


def test_spoilt_pieces_are_scrap_and_never_stock(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    before = worth(small_shop.pump)
    made = take_back(small_shop.counter, order, [(small_shop.pump, 1, lot("N1"), SPOILT)], WHY)
    assert worth(small_shop.pump) == before and sold(small_shop.pump) == 0
    assert made.lines.get().movement.destination.kind == Place.Kind.SCRAP
    call_command("check_ledger")


def test_good_and_spoilt_in_one_return(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    bolt = small_shop.bolt
    lines: list[Back] = [
        (bolt, 1, None, GOOD),
        (bolt, 2, None, SPOILT),
        (small_shop.pump, 1, lot("N1"), GOOD),
    ]
    take_back(small_shop.counter, order, lines, WHY)
    assert Stock.objects.get(part=bolt).on_hand == 7 and sold(bolt) == 1
    assert Balance.objects.get(lot=lot("N1"), quantity__gt=0).place == small_shop.bins[small_shop.pump.pk]
    call_command("check_ledger")


def test_no_more_comes_back_than_went_out(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    take_back(small_shop.counter, order, [(small_shop.bolt, 3, None, SPOILT)], WHY)
    two: list[list[Back]] = [
        [(small_shop.bolt, 2, None, GOOD)],
        [(small_shop.bolt, 1, None, GOOD), (small_shop.bolt, 1, None, GOOD)],
    ]
    for lines in two:
        assert refused(take_back, small_shop.counter, order, lines, WHY).code == "over-returned"
    assert CustomerReturn.objects.count() == 1 and Stock.objects.get(part=small_shop.bolt).on_hand == 6


def test_only_what_went_out_with_this_order_comes_back(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    for back in (None, lot("N2")):
        error = refused(take_back, small_shop.counter, order, [(small_shop.pump, 1, back, GOOD)], WHY)
        assert error.code == "not-sold"
    error = refused(take_back, small_shop.counter, order, [(small_shop.pump, 1, None, GOOD)], WHY)
    assert "Say which lot or serial number" in error.message


@pytest.mark.parametrize(
    ("quantity", "condition", "reason", "code"),
    [
        (0, GOOD, WHY, "nothing-returned"),
        (-1, GOOD, WHY, "nothing-returned"),
        (1, "bent", WHY, "unknown-condition"),
        (1, GOOD, " ", "reason-needed"),
    ],
)
def test_what_makes_no_sense_is_refused(
    small_shop: SmallShop, clerk: Clerk, quantity: int, condition: str, reason: str, code: str
) -> None:
    order = shipped(small_shop, clerk)
    lines = [(small_shop.bolt, quantity, None, condition)]
    assert refused(take_back, small_shop.counter, order, lines, reason).code == code
    assert refused(take_back, small_shop.counter, order, [], WHY).code == "nothing-returned"
    assert not CustomerReturn.objects.exists()


def test_only_a_shipped_order_comes_back(small_shop: SmallShop, clerk: Clerk) -> None:
    order = picked(small_shop, clerk)
    error = refused(take_back, small_shop.counter, order, [(small_shop.bolt, 1, None, GOOD)], WHY)
    assert error.code == "not-shipped" and "Cancel it instead" in error.message


def test_a_sale_from_before_sales_were_kept_one_by_one_comes_off_its_month(
    small_shop: SmallShop, clerk: Clerk
) -> None:
    order = shipped(small_shop, clerk)
    Demand.objects.all().delete()
    month = timezone.localdate().replace(day=1)
    MonthlyDemand.objects.create(part=small_shop.bolt, month=month, quantity=3)
    for pieces, left in ((1, 2), (3, 0)):
        take_back(small_shop.counter, order, [(small_shop.bolt, pieces, None, GOOD)], WHY)
        assert sold(small_shop.bolt) == left
    assert not Demand.objects.exists()


def test_what_comes_back_bears_the_marks_of_what_went_out(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    take_back(small_shop.counter, order, [(small_shop.bolt, 3, None, GOOD)], WHY)
    out = Demand.objects.get(part=small_shop.bolt, kind="kit")
    back = Demand.objects.get(kind="return")
    marks = ("part", "kit", "kits", "reference", "first_choice", "one_off", "day")
    assert [getattr(back, mark) for mark in marks] == [getattr(out, mark) for mark in marks]
    assert (out.quantity, back.quantity, back.reference) == (4, 3, f"{order}/1")


def test_an_order_that_waits_gets_what_came_back(small_shop: SmallShop, clerk: Clerk) -> None:
    order = shipped(small_shop, clerk)
    waiting = ordering.accept(small_shop.counter, small_shop.quote(2))
    lines: list[Back] = [(small_shop.pump, 1, lot("N1"), GOOD), (small_shop.bolt, 4, None, GOOD)]
    take_back(small_shop.counter, order, lines, WHY)
    waiting.refresh_from_db()
    assert waiting.state == Order.State.READY
