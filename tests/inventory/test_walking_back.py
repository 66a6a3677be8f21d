"""What can come between a walk and its end: pieces put back, another lot, an empty bin, a walk given up."""

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.models import Balance, CountLine, Movement, Part, Place, Reservation, Walk, WalkStop
from inventory.reserving import commit, release
from inventory.walking import (
    give_up,
    leave,
    make_walk,
    not_there,
    pack_up,
    pick,
    put_back,
    ship_out,
    unpack,
)
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_lot, a_part, put, stock_of, the_bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    the_bench()
    return clerk("floor")


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def order(counter: User, wants: dict[Part, int], reference: str = "S1") -> Reservation:
    return commit(counter, {part.pk: wanted for part, wanted in wants.items()}, reference=reference)


def in_bin(part: Part, place: Place, lot: str = "") -> tuple[int, int]:
    """How many lie there, and how many of them are allotted."""
    balance = Balance.objects.get(part=part, place=place, lot=a_lot(part, lot) if lot else None)
    return balance.quantity, balance.allotted


def on_bench(part: Part) -> int:
    return sum(Balance.objects.filter(part=part, place=the_bench()).values_list("quantity", flat=True))


def state_of(walk: Walk) -> str:
    return Walk.objects.get(pk=walk.pk).state


@pytest.mark.main_job
def test_a_pick_is_undone_and_the_walk_is_open_again(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 5)
    walk = make_walk(floor, [order(counter, {ring: 3})])
    stop = pick(floor, walk.stops.get(), scanned="TF-1")
    assert state_of(walk) == Walk.State.DONE
    back = put_back(floor, stop, 2)
    assert (back.picked, back.left) == (1, 2)
    assert in_bin(ring, a_bin()) == (4, 2) and on_bench(ring) == 1
    walk.refresh_from_db()
    assert (walk.state, walk.done_at) == (Walk.State.OPEN, None)
    assert Movement.objects.filter(act=Movement.Act.PUT_BACK, reference=walk.number).get().quantity == 2
    assert put_back(floor, stop).picked == 0
    assert pick(floor, stop, scanned="TF-1").walk.state == Walk.State.DONE
    call_command("check_ledger")


@pytest.mark.parametrize("quantity", [0, -1, 3])
def test_no_more_is_put_back_than_was_taken(floor: User, counter: User, quantity: int) -> None:
    ring = put(a_part("TF-1"), 5)
    stop = pick(floor, make_walk(floor, [order(counter, {ring: 2})]).stops.get(), scanned="TF-1")
    with pytest.raises(ActError) as refused:
        put_back(floor, stop, quantity)
    assert refused.value.code == "bad-quantity" and on_bench(ring) == 2


def test_where_nothing_was_taken_nothing_is_put_back(floor: User, counter: User) -> None:
    stop = make_walk(floor, [order(counter, {put(a_part(), 1): 1})]).stops.get()
    with pytest.raises(Conflict, match="Nothing was taken"):
        put_back(floor, stop)


def test_what_has_left_the_shop_is_not_put_back(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 2)
    kept = order(counter, {ring: 1})
    stop = pick(floor, make_walk(floor, [kept]).stops.get(), scanned="TF-1")
    ship_out(kept, by=floor, at=timezone.now(), reference="S1")
    with pytest.raises(Conflict, match="used up"):
        put_back(floor, stop)


@pytest.mark.main_job
def test_a_walk_given_up_leaves_nothing_spoken_for_and_its_orders_go_on_another(
    floor: User, counter: User
) -> None:
    ring, seal = put(a_part("TF-1"), 5, a_bin(1)), put(a_part("TF-2"), 5, a_bin(2))
    orders = [order(counter, {ring: 2, seal: 1}, f"S{n}") for n in (1, 2)]
    walk = make_walk(floor, orders)
    first, second, third, _ = walk.stops.all()
    pick(floor, first, scanned="TF-1")
    pick(floor, second, scanned="TF-1", quantity=1)
    assert give_up(floor, walk).state == Walk.State.GIVEN_UP
    assert (in_bin(ring, a_bin(1)), in_bin(seal, a_bin(2))) == ((5, 0), (5, 0))
    assert on_bench(ring) == 0 and stock_of(ring) == (5, 0, 4)
    with pytest.raises(Conflict, match="let go"):
        pick(floor, third, scanned="TF-2")
    with pytest.raises(Conflict, match="given up already"):
        give_up(floor, walk)
    again = make_walk(floor, orders)
    for stop in again.stops.all():
        pick(floor, stop, scanned=stop.part.number)
    for kept in orders:
        ship_out(kept, by=floor, at=timezone.now(), reference="S")
    assert stock_of(ring) == (1, 0, 0) and stock_of(seal) == (3, 0, 0)
    call_command("check_ledger")


def test_giving_up_leaves_what_is_packed_or_shipped_alone(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 5)
    shipped, packed, half = (order(counter, {ring: 1}, f"S{n}") for n in (1, 2, 3))
    walk = make_walk(floor, [shipped, packed, half])
    for kept in (shipped, packed):
        pick(floor, walk.stops.get(reservation=kept), scanned="TF-1")
    ship_out(shipped, by=floor, at=timezone.now(), reference="S1")
    pack_up(packed, by=floor, at=timezone.now(), reference="S2")
    give_up(floor, walk, but=[packed])
    assert in_bin(ring, a_bin()) == (3, 0)
    assert dict(walk.stops.values_list("reservation__reference", "picked")) == {"S1": 1, "S2": 1, "S3": 0}
    ship_out(packed, by=floor, at=timezone.now(), reference="S2")
    assert stock_of(ring) == (3, 0, 1)
    call_command("check_ledger")


def test_a_finished_walk_is_not_given_up(floor: User, counter: User) -> None:
    walk = make_walk(floor, [order(counter, {put(a_part("TF-1"), 1): 1})])
    pick(floor, walk.stops.get(), scanned="TF-1")
    with pytest.raises(Conflict, match="is done already"):
        give_up(floor, walk)


@pytest.mark.main_job
def test_what_one_bin_lacks_comes_from_another(floor: User, counter: User) -> None:
    ring, seal = put(put(a_part("TF-1"), 3, a_bin(1)), 4, a_bin(5)), put(a_part("TF-2"), 1, a_bin(9))
    walk = make_walk(floor, [order(counter, {ring: 3, seal: 1})])
    stop = walk.stops.get(part=ring)
    missed = not_there(floor, stop, found=1)
    assert (missed.stop.picked, missed.stop.let_go, missed.stop.left, missed.missing) == (1, 2, 0, 2)
    assert in_bin(ring, a_bin(1)) == (2, 0) and in_bin(ring, a_bin(5)) == (4, 2)
    (instead,) = missed.instead
    assert (instead.sequence, instead.place, instead.quantity) == (3, a_bin(5), 2)
    for left in walk.stops.filter(picked=0):
        pick(floor, left, scanned=left.part.number)
    assert state_of(walk) == Walk.State.DONE and on_bench(ring) == 3
    call_command("check_ledger")


@pytest.mark.main_job
def test_what_no_bin_has_takes_its_whole_order_off_the_walk(floor: User, counter: User) -> None:
    ring, seal = put(put(a_part("TF-1"), 3, a_bin(1)), 1, a_bin(5)), put(a_part("TF-2"), 4, a_bin(2))
    first, second = order(counter, {seal: 1, ring: 3}, "S1"), order(counter, {seal: 1}, "S2")
    walk = make_walk(floor, [first, second])
    pick(floor, walk.stops.get(reservation=first, part=seal), scanned="TF-2")
    missed = not_there(floor, walk.stops.get(part=ring), found=1)
    assert missed.instead == ()
    assert {(stop.part, count) for stop, count in missed.back} == {(seal, 1), (ring, 1)}
    assert on_bench(ring) == on_bench(seal) == 0
    assert in_bin(ring, a_bin(1)) == (3, 0) and in_bin(ring, a_bin(5)) == (1, 0)
    assert in_bin(seal, a_bin(2)) == (4, 1)
    assert state_of(walk) == Walk.State.OPEN and stock_of(ring) == (4, 0, 3)
    pick(floor, walk.stops.get(reservation=second), scanned="TF-2")
    assert state_of(walk) == Walk.State.DONE
    call_command("check_ledger")


def test_a_walk_of_which_nothing_is_left_ends_as_given_up(floor: User, counter: User) -> None:
    walk = make_walk(floor, [order(counter, {put(a_part("TF-1"), 1): 1})])
    assert not_there(floor, walk.stops.get()).stop.walk.state == Walk.State.GIVEN_UP


@pytest.mark.main_job
def test_where_too_few_were_found_is_counted_before_anybody_is_sent_again(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 3)
    kept = order(counter, {ring: 2})
    walk = make_walk(floor, [kept])
    not_there(floor, walk.stops.get())
    line = CountLine.objects.get()
    assert (line.part, line.place, line.state) == (ring, a_bin(), CountLine.State.TO_COUNT)
    assert line.why == f"2 not found on walk {walk}"
    with pytest.raises(ActError, match="too few were found in A-1-1-1: count it") as refused:
        make_walk(floor, [kept])
    assert refused.value.code == "not-in-bins"
    CountLine.objects.update(state=CountLine.State.AGREES)
    assert make_walk(floor, [kept]).stops.get().quantity == 2


@pytest.mark.parametrize("found", [-1, 2, 3])
def test_where_all_are_there_the_stop_is_picked_instead(floor: User, counter: User, found: int) -> None:
    stop = make_walk(floor, [order(counter, {put(a_part("TF-1"), 5): 2})]).stops.get()
    with pytest.raises(ActError) as refused:
        not_there(floor, stop, found=found)
    assert refused.value.code == "bad-quantity"


@pytest.mark.main_job
@pytest.mark.parametrize("tracking", [Part.Tracking.LOT, Part.Tracking.SERIAL])
def test_another_free_lot_of_the_same_bin_will_do(floor: User, counter: User, tracking: str) -> None:
    pump = put(put(a_part("TF-1", tracking=tracking), 1, lot="N-1"), 1, lot="N-2")
    walk = make_walk(floor, [order(counter, {pump: 1})])
    wanted = walk.stops.get()
    taken = pick(floor, wanted, scanned="TF-1", lot=" n-2")
    assert (str(taken.lot), taken.picked, taken.sequence) == ("N-2", 1, 2)
    wanted.refresh_from_db()
    assert (wanted.picked, wanted.let_go) == (0, 1) and state_of(walk) == Walk.State.DONE
    assert in_bin(pump, a_bin(), "N-1") == (1, 0) and in_bin(pump, a_bin(), "N-2") == (0, 0)
    call_command("check_ledger")


def test_some_of_one_lot_and_some_of_another(floor: User, counter: User) -> None:
    ring = put(put(a_part("TF-1", tracking=Part.Tracking.LOT), 3, lot="OLD"), 2, lot="NEW")
    walk = make_walk(floor, [order(counter, {ring: 3})])
    with pytest.raises(ActError, match="Of lot NEW only 2 here may be taken; OLD is wanted"):
        pick(floor, walk.stops.get(), scanned="TF-1", lot="NEW")
    pick(floor, walk.stops.get(), scanned="TF-1", lot="NEW", quantity=2)
    assert state_of(walk) == Walk.State.OPEN
    pick(floor, walk.stops.get(lot__code="OLD"), scanned="TF-1", lot="OLD")
    assert state_of(walk) == Walk.State.DONE
    assert dict(walk.stops.values_list("lot__code", "picked")) == {"OLD": 1, "NEW": 2}


@pytest.mark.parametrize(
    ("lot", "said"),
    [
        ("N-2", "another stop is to take; N-1 is wanted"),
        ("N-3", "should not be here; N-1 is wanted"),
        ("N-9", "should not be here; N-1 is wanted"),
    ],
)
def test_a_lot_that_is_not_free_in_this_bin_is_refused(
    floor: User, counter: User, lot: str, said: str
) -> None:
    pump = put(put(a_part("TF-1", tracking=Part.Tracking.SERIAL), 1, lot="N-1"), 1, lot="N-2")
    put(pump, 1, a_bin(2), lot="N-3")
    first, _ = make_walk(floor, [order(counter, {pump: 2})]).stops.all()
    with pytest.raises(ActError, match=said) as refused:
        pick(floor, first, scanned="TF-1", lot=lot)
    assert refused.value.code == "wrong-lot" and not WalkStop.objects.filter(picked__gt=0).exists()


@pytest.mark.main_job
def test_one_order_leaves_a_walk_and_the_others_stay(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 5)
    gone, other = order(counter, {ring: 2}, "S1"), order(counter, {ring: 1}, "S2")
    walk = make_walk(floor, [gone, other])
    pick(floor, walk.stops.get(reservation=gone), scanned="TF-1", quantity=1)
    ((stop, count),) = leave(gone, by=floor, at=timezone.now())
    assert (stop.place, count) == (a_bin(), 1)
    assert in_bin(ring, a_bin()) == (5, 1) and state_of(walk) == Walk.State.OPEN
    assert release(counter, gone).state == Reservation.State.RELEASED
    pick(floor, walk.stops.get(reservation=other), scanned="TF-1")
    assert state_of(walk) == Walk.State.DONE
    call_command("check_ledger")


@pytest.mark.main_job
def test_packing_moves_pieces_and_unpacking_moves_them_back(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 5)
    kept = order(counter, {ring: 2})
    stop = make_walk(floor, [kept]).stops.get()
    with pytest.raises(ActError, match="finish its walk"):
        pack_up(kept, by=floor, at=timezone.now(), reference="S1")
    pick(floor, stop, scanned="TF-1")
    pack_up(kept, by=floor, at=timezone.now(), reference="S1")
    packed = Place.objects.get(kind=Place.Kind.PACKED)
    assert in_bin(ring, packed) == (2, 0) and on_bench(ring) == 0
    with pytest.raises(Conflict, match="not on the bench"):
        put_back(floor, stop)
    unpack(kept, by=floor, at=timezone.now(), reference="S1")
    assert in_bin(ring, packed) == (0, 0) and on_bench(ring) == 2
    pack_up(kept, by=floor, at=timezone.now(), reference="S1")
    ship_out(kept, by=floor, at=timezone.now(), reference="S1")
    assert stock_of(ring) == (3, 0, 0) and Place.objects.filter(kind=Place.Kind.PACKED).count() == 1
    call_command("check_ledger")
