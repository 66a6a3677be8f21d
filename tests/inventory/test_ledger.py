"""Movements are only added, and what is kept beside them agrees."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.counting import correct, scrap
from inventory.ledger import move, outside
from inventory.models import Balance, Movement, Part, Place, PurchaseLine, Stock
from inventory.reserving import commit, hold
from inventory.walking import make_walk
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_lot, a_part, inbound, put, stock_of, the_bench, the_founder

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


@pytest.mark.main_job
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE inventory_movement SET quantity = 9",
        "UPDATE inventory_movement SET reference = 'x'",
        "DELETE FROM inventory_movement",
    ],
)
def test_the_database_refuses_to_change_a_movement(statement: str) -> None:
    put(a_part(), 1)
    with (
        pytest.raises(DatabaseError, match="only ever added"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert Movement.objects.get().quantity == 1


def test_a_movement_between_inside_places_leaves_stock_on_hand_alone() -> None:
    ring = put(a_part(), 5, a_bin(1))
    move(
        act=Movement.Act.PUT_AWAY,
        part=ring,
        quantity=2,
        origin=a_bin(1),
        destination=a_bin(2),
        by=the_founder(),
        at=timezone.now(),
    )
    assert dict(Balance.objects.values_list("place__code", "quantity")) == {"A-1-1-1": 3, "A-2-1-1": 2}
    assert stock_of(ring) == (5, 0, 0)


@pytest.mark.parametrize("quantity", [0, -1])
def test_a_movement_of_nothing_is_refused(quantity: int) -> None:
    with pytest.raises(ActError) as refused:
        put(a_part(), quantity)
    assert refused.value.code == "nothing-moved"


def test_a_tracked_part_enters_with_its_own_lot_only() -> None:
    ring, other = a_part(tracking=Part.Tracking.LOT), a_part(tracking=Part.Tracking.LOT)
    with pytest.raises(ActError) as refused:
        put(ring, 1)
    assert refused.value.code == "lot-needed"
    with pytest.raises(ActError) as refused:
        move(
            act=Movement.Act.COUNT,
            part=ring,
            lot=a_lot(other, "L1"),
            quantity=1,
            origin=outside(Place.Kind.COUNT),
            destination=a_bin(),
            by=the_founder(),
            at=timezone.now(),
        )
    assert refused.value.code == "wrong-lot"


def test_a_serial_number_is_one_piece() -> None:
    pump = a_part(tracking=Part.Tracking.SERIAL)
    with pytest.raises(ActError, match="one piece"):
        put(pump, 2, lot="N1")
    put(pump, 1, lot="N1")
    with pytest.raises(ActError, match="one piece"):
        put(pump, 1, a_bin(2), lot="N1")


def test_only_places_of_the_outside_world_are_found_by_kind() -> None:
    assert outside(Place.Kind.SCRAP) == outside(Place.Kind.SCRAP)
    with pytest.raises(ValueError, match="inside"):
        outside(Place.Kind.BIN)


@pytest.mark.main_job
def test_a_count_books_the_difference_either_way(floor: User) -> None:
    ring = put(a_part(), 5)
    fewer = correct(floor, ring, a_bin(), 3, "counted twice")
    assert fewer is not None and fewer.movement is not None
    assert (fewer.movement.quantity, fewer.movement.origin) == (2, a_bin())
    more = correct(floor, ring, a_bin(), 4, "one behind the shelf")
    assert more is not None and more.movement is not None
    assert (more.movement.quantity, more.movement.destination) == (1, a_bin())
    assert correct(floor, ring, a_bin(), 4, "once more") is None
    assert stock_of(ring) == (4, 0, 0)


@pytest.mark.main_job
def test_what_is_kept_cannot_be_counted_or_thrown_away_and_says_for_whom(floor: User, clerk: Clerk) -> None:
    ring = put(a_part(), 3)
    until = timezone.now() + timedelta(hours=1)
    hold(clerk("counter"), {ring.pk: 1}, until=until, reference="Q12")
    commit(clerk("counter"), {ring.pk: 1}, reference="S34")
    with pytest.raises(Conflict, match=r"1 held for Q12, 1 committed for S34") as conflict:
        scrap(floor, ring, a_bin(), 2, "dropped")
    assert conflict.value.details["on_hand"] == 3
    with pytest.raises(Conflict, match="S34"):
        correct(floor, ring, a_bin(), 0, "bin was empty")
    scrap(floor, ring, a_bin(), 1, "dropped")
    assert stock_of(ring) == (2, 1, 1)


def test_what_a_walk_will_take_cannot_leave_its_bin(floor: User, clerk: Clerk) -> None:
    the_bench()
    ring = put(put(a_part(), 2, a_bin(1)), 2, a_bin(2))
    walk = make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")])
    with pytest.raises(Conflict, match=f"of which 2 for walk {walk.number}"):
        scrap(floor, ring, walk.stops.get().place, 1, "rusty")


def test_more_than_is_there_cannot_leave(floor: User) -> None:
    with pytest.raises(Conflict, match="1 there"):
        scrap(floor, put(put(a_part(), 1, a_bin(1)), 5, a_bin(2)), a_bin(1), 2, "rusty")


def test_a_correction_needs_a_reason_a_place_here_and_a_number(floor: User) -> None:
    ring = put(a_part(), 1)
    for place, found, reason, code in [
        (a_bin(), 0, " ", "reason-needed"),
        (outside(Place.Kind.SCRAP), 0, "lost", "not-a-place-here"),
        (a_bin(), -1, "lost", "bad-quantity"),
    ]:
        with pytest.raises(ActError) as refused:
            correct(floor, ring, place, found, reason)
        assert refused.value.code == code


def test_check_ledger_says_how_much_agrees(capsys: pytest.CaptureFixture[str]) -> None:
    put(a_part(), 3)
    call_command("check_ledger")
    assert "1 movements and" in capsys.readouterr().out


@pytest.mark.main_job
def test_check_ledger_names_every_tampered_figure(clerk: Clerk, capsys: pytest.CaptureFixture[str]) -> None:
    ring = put(a_part(), 5)
    line = inbound(ring, 5)
    Balance.objects.update(quantity=6, allotted=1)
    Stock.objects.update(on_hand=7, held=1, committed=2)
    PurchaseLine.objects.update(received=1, reserved=1)
    with pytest.raises(CommandError, match="7 differences"):
        call_command("check_ledger")
    said = capsys.readouterr().out.splitlines()
    assert sorted(line.split(" of ")[0] for line in said) == [
        "allotted",
        "balance",
        "received",
        "reserved",
        "stock committed",
        "stock held",
        "stock on hand",
    ]
    assert f"received of purchase line {line.pk} ({line}): kept as 1, but the records say 0" in said
    assert f"stock on hand of part {ring.pk} ({ring}): kept as 7, but the records say 5" in said
