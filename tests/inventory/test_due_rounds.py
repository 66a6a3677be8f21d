"""A round of what is due: from the records of the shop to lines with their reasons."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.acting import ActError
from inventory.counting import adjust
from inventory.due_counts import ASKED_BY_FLOOR, due_things
from inventory.models import CountRound, MonthlyDemand, Movement, Part, Place
from inventory.rounds import enter_count, leave_line, make_due_round
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put, the_dock, today

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


def sold(part: Part, quantity: int) -> Part:
    month = (today().replace(day=1) - timedelta(days=40)).replace(day=1)
    MonthlyDemand.objects.create(part=part, month=month, quantity=quantity)
    return part


def counted(floor: User, part: Part, place: Place) -> None:
    """A count that agreed, just now."""
    round_ = CountRound.objects.create(why="earlier", made_by=floor)
    line = round_.lines.create(sequence=1, part=part, place=place)
    enter_count(floor, line, sum(part.balances.filter(place=place).values_list("quantity", flat=True)))


def in_days(days: int) -> datetime:
    return timezone.now() + timedelta(days=days)


def test_what_was_never_counted_is_due_and_the_round_goes_through_the_bins(floor: User) -> None:
    slow, quick = put(a_part(), 5, a_bin(1)), put(sold(a_part(), 90), 5, a_bin(3))
    put(a_part(), 4, the_dock())
    round_ = make_due_round(floor)
    assert [line.part for line in round_.lines.select_related("part")] == [slow, quick]
    assert [line.why.split(":")[0] for line in round_.lines.all()] == [
        "Class C, every 365 days",
        "Class A, every 30 days",
    ]
    with pytest.raises(ActError, match="Nothing is left to count"):
        make_due_round(floor)


def test_the_most_urgent_are_taken_first(floor: User) -> None:
    put(a_part(), 5, a_bin(1))
    quick = put(sold(a_part(), 90), 5, a_bin(3))
    assert make_due_round(floor, 1).lines.get().part == quick
    with pytest.raises(ActError, match="at least one line"):
        make_due_round(floor, 0)


def test_what_was_counted_lately_is_not_due_and_after_its_interval_it_is(floor: User) -> None:
    ring = put(sold(a_part(), 90), 5)
    counted(floor, ring, a_bin())
    assert due_things(in_days(29), 9) == []
    [(thing, why)] = due_things(in_days(31), 9)
    assert thing.part == ring
    assert why == "Class A, every 30 days: last counted 31 days ago."


def test_what_moved_since_the_count_brings_the_next_one_nearer(floor: User) -> None:
    ring = put(sold(a_part(), 90), 5)
    counted(floor, ring, a_bin())
    Movement.objects.bulk_create([movement_on(in_days(5), ring, floor) for _ in range(20)])
    assert due_things(in_days(23), 9) == []
    [(_, why)] = due_things(in_days(24), 9)
    assert why.endswith("last counted 24 days ago; 20 movements since.")


def movement_on(day: datetime, part: Part, by: User) -> Movement:
    act = Movement.Act.MOVE
    return Movement(at=day, act=act, part=part, quantity=1, origin=a_bin(), destination=the_dock(), by=by)


def test_a_report_of_too_few_that_was_left_makes_a_bin_due(floor: User) -> None:
    ring = put(a_part(), 5)
    counted(floor, ring, a_bin())
    round_ = CountRound.objects.create(why=ASKED_BY_FLOOR, made_by=floor)
    leave_line(floor, round_.lines.create(sequence=1, part=ring, place=a_bin()), "no time")
    [(_, why)] = due_things(timezone.now(), 9)
    assert "1 report of too few" in why


def test_what_has_a_correction_waiting_is_not_due(floor: User) -> None:
    ring = put(a_part(), 50)
    assert len(due_things(timezone.now(), 9)) == 1
    adjust(floor, ring, a_bin(), -20, "water came in")
    assert due_things(timezone.now(), 9) == []


def test_value_goes_by_cost_where_it_is_known_and_by_price_elsewhere(floor: User) -> None:
    cheap, dear = put(sold(a_part(), 100), 10, a_bin(1)), put(sold(a_part(), 9), 10, a_bin(2))
    cheap.stock.value = Decimal("1")
    cheap.stock.save(update_fields=["value"])
    first, second = due_things(timezone.now(), 9)
    assert (first[0].part, second[0].part) == (dear, cheap)


def test_looking_for_what_is_due_asks_alike_for_few_bins_and_for_many(floor: User) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            due_things(in_days(500), 99)
        return len(queries)

    put(sold(a_part(), 3), 5, a_bin(1))
    few = asked()
    for bay in range(2, 9):
        part = put(sold(a_part(), bay), 5, a_bin(1, bay))
        counted(floor, part, a_bin(1, bay))
    assert len(due_things(in_days(500), 99)) == 8 and asked() == few
