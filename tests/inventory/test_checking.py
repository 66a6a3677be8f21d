"""check_ledger names every figure that was changed past the ledger, values and lots among them."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db.models import F

from inventory.checking import checks
from inventory.models import Balance, Correction, Lot, Movement, Stock, WalkStop
from inventory.reserving import commit
from inventory.walking import make_walk
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put, the_bench, the_founder
from tests.inventory.costs import a_part_by_lot, buy, sell

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def floor(clerk: Clerk) -> User:
    the_bench()
    return clerk("floor")


def said() -> list[str]:
    return [line for check in checks() for line in check.differences()]


def test_what_the_ledger_wrote_agrees() -> None:
    ring, by_lot = a_part(), a_part_by_lot()
    buy(ring, 3, "10.00")
    sell(ring, 1)
    buy(by_lot, 3, "10.00", lot="L1")
    sell(by_lot, 2, lot="L1")
    assert said() == []


def test_a_value_of_stock_is_named_in_money() -> None:
    ring = a_part()
    buy(ring, 3, "10.00")
    Stock.objects.update(value=Decimal("10.0001"))
    assert said() == [f"stock value of part {ring.pk} ({ring}): kept as 10.0001, but the records say 10.0000"]


def test_a_lot_s_figures_are_named() -> None:
    ring = a_part_by_lot()
    buy(ring, 3, "10.00", lot="L1")
    Lot.objects.update(on_hand=4, value=Decimal("9.0000"))
    lot = Lot.objects.get()
    assert said() == [
        f"lot on hand of lot {lot.pk} (L1): kept as 4, but the records say 3",
        f"lot value of lot {lot.pk} (L1): kept as 9.0000, but the records say 10.0000",
    ]


def test_a_lot_of_a_part_at_average_keeps_nothing() -> None:
    ring = a_part(tracking="lot")
    buy(ring, 3, "10.00", lot="L1")
    Lot.objects.update(on_hand=3)
    (line,) = said()
    assert line.startswith("lot on hand") and line.endswith("kept as 3, but the records say 0")


def test_what_a_stop_let_go_is_not_allotted(floor: User, clerk: Clerk) -> None:
    ring = put(a_part(), 3)
    make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")])
    WalkStop.objects.update(let_go=1)
    (line,) = said()
    assert line.startswith("allotted of part") and line.endswith("kept as 2, but the records say 1")
    Balance.objects.update(allotted=F("allotted") - 1)
    assert said() == []


def test_a_correction_says_what_its_movement_did() -> None:
    ring, other = put(a_part(), 3), put(a_part(), 3)
    for movement, change in zip(Movement.objects.order_by("pk"), (3, 2), strict=True):
        Correction.objects.create(
            part=movement.part,
            place=a_bin(),
            change=change,
            reason="counted",
            state="posted",
            asked_by=the_founder(),
            decided_at=movement.at,
            movement=movement,
        )
    (line,) = said()
    assert other.number in line and line.endswith("kept as 2, but the records say 3")
    Correction.objects.filter(change=2).update(part=ring)
    (line,) = said()
    assert line.endswith("kept as 2, but the records say 0")


def test_every_difference_is_named_though_there_are_many(capsys: pytest.CaptureFixture[str]) -> None:
    for _ in range(12):
        put(a_part(), 1)
    Stock.objects.update(on_hand=2)
    with pytest.raises(CommandError, match="12 differences"):
        call_command("check_ledger")
    assert len(capsys.readouterr().out.splitlines()) == 12
