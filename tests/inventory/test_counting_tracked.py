"""Counting parts that are kept by lot or serial number: what the ledger cannot take is not lost."""

import pytest
from django.contrib.auth.models import User

from inventory.acting import ActError
from inventory.counting import approve, correct
from inventory.deliveries import put_away
from inventory.models import CountLine, Part
from inventory.rounds import enter_count, make_round
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put, stock_of

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    """Somebody else who may count."""
    return clerk("buying")


def test_a_count_of_a_serial_number_that_is_booked_elsewhere_is_not_lost_and_waits(
    floor: User, buyer: User
) -> None:
    pump = put(a_part(tracking=Part.Tracking.SERIAL), 1, lot="N1")
    line = make_round(floor, "test", places=[a_bin()]).lines.get()
    put_away(floor, pump, origin=a_bin(), destination=a_bin(2), quantity=1, lot=line.lot)
    line = enter_count(floor, line, 1)
    line = enter_count(buyer, line, 1)
    assert line.state == CountLine.State.TO_APPROVE and stock_of(pump) == (1, 0, 0)
    with pytest.raises(ActError, match=r"N1 .* is booked in A-2-1-1 already") as refused:
        approve(buyer, line.correction)
    assert refused.value.code == "wrong-lot"
    correct(floor, pump, a_bin(2), 0, "it lies where it lay", line.lot)
    approve(buyer, line.correction)
    assert stock_of(pump) == (1, 0, 0)
    assert pump.balances.get(quantity=1).place == a_bin()


def test_more_of_a_tracked_part_than_is_booked_is_not_counted_without_its_numbers(floor: User) -> None:
    a_part(tracking=Part.Tracking.SERIAL, home=a_bin())
    line = make_round(floor, "test", places=[a_bin()]).lines.get()
    with pytest.raises(ActError, match="Leave this line") as refused:
        enter_count(floor, line, 2)
    assert refused.value.code == "lot-needed" and not line.entries.exists()
    assert enter_count(floor, line, 0).state == CountLine.State.AGREES
