"""Count rounds: in walking order, blind, compared with the moment of the count."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.counting import adjust, approve, refuse, scrap
from inventory.ledger import lock_stock
from inventory.models import Correction, CountLine, CountRound, Movement, Part, Place
from inventory.reserving import commit, release
from inventory.rounds import enter_count, leave_line, make_round, note_short
from inventory.walking import make_walk, pick
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_lot, a_part, put, stock_of, the_bench, the_dock

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


@pytest.fixture
def buyer(clerk: Clerk) -> User:
    """Somebody else who may count."""
    return clerk("buying")


def line_of(user: User, part: Part, place: Place | None = None) -> CountLine:
    round_ = make_round(user, "test", places=[place or a_bin()])
    return round_.lines.get(part=part)


def dear(quantity: int, price: str = "60") -> Part:
    """Pieces that nobody bought, worth their price each."""
    part = a_part()
    Part.objects.filter(pk=part.pk).update(price=Decimal(price))
    return put(Part.objects.get(pk=part.pk), quantity)


def test_a_round_goes_through_the_bins_in_walking_order_and_then_to_the_dock(floor: User) -> None:
    parts = [put(a_part(), 2, place) for place in (the_dock(), a_bin(2, 1), a_bin(2, 4), a_bin(1, 3))]
    round_ = make_round(floor, "quarter", parts=parts)
    places = [line.place.code for line in round_.lines.select_related("place")]
    assert places == ["A-1-3-1", "A-2-4-1", "A-2-1-1", "DOCK"]


def test_each_lot_is_a_line_and_an_empty_home_is_counted_too(floor: User) -> None:
    pump = a_part(tracking=Part.Tracking.SERIAL)
    put(put(pump, 1, lot="N1"), 1, lot="N2")
    ring = a_part(home=a_bin())
    lines = make_round(floor, "test", places=[a_bin()]).lines.select_related("lot")
    assert {(line.part_id, str(line.lot or "")) for line in lines} == {
        (pump.pk, "N1"),
        (pump.pk, "N2"),
        (ring.pk, ""),
    }


def test_what_is_on_an_open_round_is_not_put_on_another(floor: User) -> None:
    ring = put(a_part(), 5)
    line_of(floor, ring)
    with pytest.raises(ActError) as refused:
        make_round(floor, "again", parts=[ring])
    assert refused.value.code == "nothing-to-count"


def test_a_count_that_agrees_settles_its_line_and_the_last_line_its_round(floor: User) -> None:
    for _ in range(2):
        put(a_part(), 5)
    round_ = make_round(floor, "test", places=[a_bin()])
    first, second = round_.lines.all()
    assert enter_count(floor, first, 5).state == CountLine.State.AGREES
    assert enter_count(floor, second, 5).round.state == CountRound.State.DONE
    assert not Correction.objects.exists()


def test_a_small_difference_is_posted_at_once_with_its_reason(floor: User) -> None:
    ring = put(a_part(), 20)
    line = enter_count(floor, line_of(floor, ring), 19)
    assert line.state == CountLine.State.CORRECTED
    movement = line.correction.movement
    assert movement is not None
    assert (movement.act, movement.quantity, movement.origin) == (Movement.Act.COUNT, 1, a_bin())
    assert (movement.reference, movement.reason) == (line.round.number, "test")
    assert stock_of(ring) == (19, 0, 0)


def test_a_large_difference_is_counted_again_by_somebody_else(floor: User, buyer: User) -> None:
    ring = put(a_part(), 5)
    line = enter_count(floor, line_of(floor, ring), 3)
    assert line.state == CountLine.State.AGAIN and stock_of(ring) == (5, 0, 0)
    with pytest.raises(NotAllowed) as refused:
        enter_count(floor, line, 3)
    assert refused.value.code == "somebody-else-counts"
    assert enter_count(buyer, line, 3).state == CountLine.State.CORRECTED
    assert stock_of(ring) == (3, 0, 0)


def test_two_who_differ_are_followed_by_a_third_count_that_one_of_them_confirms(
    floor: User, buyer: User
) -> None:
    line = line_of(floor, put(a_part(), 9))
    for counter, found, state in [
        (floor, 5, "again"),
        (buyer, 6, "again"),
        (floor, 5, "again"),  # The same person said so before: that confirms nothing.
        (buyer, 5, "corrected"),
    ]:
        line = enter_count(counter, line, found)
        assert line.state == state
    assert stock_of(line.part) == (5, 0, 0)


def test_the_ledger_is_the_second_witness(floor: User, buyer: User) -> None:
    line = enter_count(floor, line_of(floor, put(a_part(), 9)), 5)
    assert enter_count(buyer, line, 9).state == CountLine.State.AGREES


def test_a_shop_with_one_counter_lets_the_same_person_count_twice(floor: User) -> None:
    line = enter_count(floor, line_of(floor, put(a_part(), 5)), 3)
    assert enter_count(floor, line, 3).state == CountLine.State.CORRECTED


def test_a_difference_worth_half_the_limit_is_counted_again_though_few_are_missing(
    floor: User, buyer: User
) -> None:
    ring = dear(40)
    line = enter_count(floor, line_of(floor, ring), 39)
    assert line.state == CountLine.State.AGAIN
    assert enter_count(buyer, line, 39).state == CountLine.State.CORRECTED


@pytest.mark.parametrize("found", [38, 42])
def test_a_difference_over_the_limit_waits_until_somebody_approves_it(
    floor: User, buyer: User, found: int
) -> None:
    ring = dear(40)
    line = enter_count(floor, line_of(floor, ring), found)
    line = enter_count(buyer, line, found)
    assert line.state == CountLine.State.TO_APPROVE and stock_of(ring) == (40, 0, 0)
    assert line.round.state == CountRound.State.OPEN
    posted = approve(buyer, line.correction)
    assert posted.value == Decimal(120) and posted.movement is not None
    assert posted.movement.act == Movement.Act.COUNT
    assert stock_of(ring) == (found, 0, 0)
    line.refresh_from_db()
    assert (line.state, CountRound.objects.get().state) == (CountLine.State.CORRECTED, CountRound.State.DONE)


def test_who_found_a_difference_first_does_not_approve_it(floor: User, buyer: User) -> None:
    line = enter_count(buyer, line_of(floor, dear(40)), 38)
    line = enter_count(floor, line, 38)
    with pytest.raises(NotAllowed, match="somebody else has to approve"):
        approve(buyer, line.correction)


def test_a_refused_difference_leaves_the_ledger_and_says_why(floor: User, buyer: User) -> None:
    ring = dear(40)
    line = enter_count(floor, enter_count(buyer, line_of(floor, ring), 38), 38)
    refuse(buyer, line.correction, "two lie on the bench of the mechanic")
    line.refresh_from_db()
    assert line.state == CountLine.State.LEFT and "mechanic" in line.why
    assert stock_of(ring) == (40, 0, 0) and CountRound.objects.get().state == CountRound.State.DONE


def test_a_count_of_what_is_kept_for_somebody_is_not_lost_and_waits(
    floor: User, buyer: User, clerk: Clerk
) -> None:
    ring = put(a_part(), 20)
    order = commit(clerk("counter"), {ring.pk: 20}, reference="S34")
    line = enter_count(floor, line_of(floor, ring), 19)
    assert line.state == CountLine.State.TO_APPROVE
    with pytest.raises(Conflict, match="20 committed for S34"):
        approve(buyer, line.correction)
    release(clerk("counter"), order)
    approve(buyer, line.correction)
    assert stock_of(ring) == (19, 0, 0)


def test_what_left_the_bin_since_the_count_is_not_missing(floor: User, clerk: Clerk) -> None:
    the_bench()
    ring = put(a_part("TF-1"), 20)
    line = line_of(floor, ring)
    counted_at = timezone.now()
    walk = make_walk(floor, [commit(clerk("counter"), {ring.pk: 4}, reference="S1")])
    pick(floor, walk.stops.get(), scanned="TF-1")
    scrap(floor, ring, a_bin(), 1, "rusty")
    line = enter_count(floor, line, 19, counted_at)
    [entry] = line.entries.all()
    assert (entry.expected, entry.difference, line.state) == (20, -1, CountLine.State.CORRECTED)
    assert stock_of(ring) == (18, 0, 4)
    call_command("check_ledger")


def test_a_count_from_before_a_correction_is_made_again(floor: User) -> None:
    ring = put(a_part(), 20)
    line = line_of(floor, ring)
    counted_at = timezone.now()
    adjust(floor, ring, a_bin(), -1, "one was cracked")
    with pytest.raises(Conflict) as refused:
        enter_count(floor, line, 19, counted_at)
    assert refused.value.code == "counted-before-correction"
    assert enter_count(floor, line, 19).state == CountLine.State.AGREES


def test_a_count_waits_for_the_decision_on_an_earlier_correction(floor: User) -> None:
    ring = dear(40)
    line = line_of(floor, ring)
    adjust(floor, ring, a_bin(), -3, "stolen")
    with pytest.raises(Conflict) as refused:
        enter_count(floor, line, 37)
    assert refused.value.code == "correction-waits" and not line.entries.exists()


@pytest.mark.parametrize(
    ("found", "minutes", "code"), [(-1, 0, "bad-quantity"), (5, 5, "bad-time"), (5, -600, "bad-time")]
)
def test_a_count_that_cannot_be_is_refused(floor: User, found: int, minutes: int, code: str) -> None:
    line = line_of(floor, put(a_part(), 5))
    with pytest.raises(ActError) as refused:
        enter_count(floor, line, found, timezone.now() + timedelta(minutes=minutes))
    assert refused.value.code == code and not line.entries.exists()


def test_a_serial_number_is_there_or_not(floor: User) -> None:
    pump = put(a_part(tracking=Part.Tracking.SERIAL), 1, lot="N1")
    line = line_of(floor, pump)
    with pytest.raises(ActError, match="none or one"):
        enter_count(floor, line, 2)
    assert enter_count(floor, line, 0).state == CountLine.State.AGAIN


def test_the_time_of_a_count_is_told_by_the_clock_of_the_shop(floor: User, settings: Any) -> None:
    settings.TIME_ZONE = "America/New_York"
    line = line_of(floor, put(a_part(), 5))
    made_at = datetime(2026, 7, 1, 2, 30, tzinfo=UTC)
    CountRound.objects.filter(pk=line.round_id).update(made_at=made_at)
    with pytest.raises(ActError, match="between 30 Jun 2026 22:30 and now"):
        enter_count(floor, line, 5, made_at - timedelta(hours=1))


def test_a_line_may_be_left_with_a_reason_and_is_then_closed(floor: User) -> None:
    line = line_of(floor, put(a_part(), 5))
    with pytest.raises(ActError, match="Say why"):
        leave_line(floor, line, " ")
    assert leave_line(floor, line, "ladder is broken").round.state == CountRound.State.DONE
    with pytest.raises(Conflict, match="not open"):
        enter_count(floor, line, 5)


def shorts(part: Part, floor: User, lot: str = "") -> CountLine:
    with transaction.atomic():
        lock_stock([part.pk])
        return note_short(part, a_bin(), a_lot(part, lot) if lot else None, floor, "2 of 5 were there")


def test_what_a_picker_found_too_few_of_is_counted_once_in_a_round_for_the_floor(floor: User) -> None:
    ring, pump = put(a_part(), 5), put(a_part(tracking=Part.Tracking.LOT), 3, lot="L1")
    line = shorts(ring, floor)
    assert shorts(ring, floor) == line and line.why == "2 of 5 were there"
    assert shorts(pump, floor, "L1").round == line.round
    enter_count(floor, line, 5)
    anew = shorts(ring, floor)
    assert anew.round != line.round and CountRound.objects.count() == 2


def test_what_waits_on_another_round_is_not_asked_for_twice(floor: User) -> None:
    ring = put(a_part(), 5)
    line = line_of(floor, ring)
    assert shorts(ring, floor) == line
