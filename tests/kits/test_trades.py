"""Sooner with other parts, or later with those that were wanted."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.models import Offer, Stock, Supplier
from kits.customising import open_kit, swap
from kits.models import CustomKit
from kits.trades import Trade, trades_of
from kits.ways import State
from kits.whole_kits import WholeKits
from tests.clerks import Clerk
from tests.kits.builders import Conversion

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


@pytest.fixture
def wanted(belt: Conversion, counter: User) -> CustomKit:
    """All is on the shelf but the thick spacer, which comes in ten days."""
    for part in belt.parts.values():
        Stock.objects.create(part=part, on_hand=0 if part.number == "CS-32" else 50)
    supplier = Supplier.objects.create(code="melrick", name="Melrick", lead_days=10)
    Offer.objects.create(supplier=supplier, part=belt.parts["CS-32"], price=Decimal("2.00"))
    return open_kit(counter, belt.template, belt.engine)


def trades(kit: CustomKit) -> list[Trade]:
    now: datetime = timezone.now()
    return list(trades_of(WholeKits(kit, now)))


def days(trade: Trade) -> int:
    assert trade.way.ready_on is not None
    return (trade.way.ready_on - timezone.localdate()).days


def test_sooner_with_other_parts_or_later_as_wanted(wanted: CustomKit) -> None:
    sooner, as_wanted = trades(wanted)
    # CP-141 is the one pulley that goes with the thin spacer: 70.00 + 4.50 for 60.00 + 4.00.
    assert [one.label for one in sooner.way.follows] == ["Corran CP-141 pulley", "Corran CS-22 spacer"]
    assert (days(sooner), sooner.way.difference, sooner.way.state) == (0, Decimal("10.50"), State.POSSIBLE)
    assert (as_wanted.way.follows, as_wanted.way.difference) == ((), Decimal(0))
    assert days(as_wanted) >= 10


def test_what_was_chosen_is_in_every_trade(wanted: CustomKit, belt: Conversion, counter: User) -> None:
    kit = swap(counter, wanted, "pulley", belt.key("CP-104"))
    (only,) = trades(kit)
    assert only.way.follows == () and days(only) >= 10


def test_the_bench_time_of_the_works_is_counted(wanted: CustomKit, belt: Conversion, counter: User) -> None:
    kit = swap(counter, wanted, "pulley", belt.key("CP-120"))
    (only,) = trades(kit)
    assert only.minutes == 30


def test_choices_that_exclude_each_other_leave_no_trade(
    wanted: CustomKit, belt: Conversion, counter: User
) -> None:
    kit = swap(counter, swap(counter, wanted, "pulley", belt.key("CP-141")), "spacer", belt.key("CS-32"))
    assert trades(kit) == []


def test_a_kit_that_is_there_at_once_has_nothing_to_trade(belt: Conversion, wanted: CustomKit) -> None:
    Stock.objects.filter(part=belt.parts["CS-32"]).update(on_hand=50)
    (only,) = trades(wanted)
    assert (days(only), only.way.follows) == (0, ())
    assert only.way.ready_on == timezone.localdate() + timedelta(0)
