"""One walk for many orders, the right part from the right bin, and out of the door."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.deliveries import put_away
from inventory.models import AlternateNumber, Balance, Demand, Part, Place, Reservation, Walk, WalkStop
from inventory.reserving import commit, hold, release
from inventory.walking import WrongPart, make_walk, pick, ship_out
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, inbound, put, stock_of, the_bench, the_dock

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    the_bench()
    return clerk("floor")


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def walk_for(floor: User, counter: User, wants: dict[int, int]) -> Walk:
    return make_walk(floor, [commit(counter, wants, reference="S1")])


def ship(reservation: Reservation, by: User) -> None:
    ship_out(reservation, by=by, at=timezone.now(), reference="P1")


@pytest.mark.main_job
def test_one_walk_serves_many_orders_and_ends_on_the_bench_and_out_of_the_door(
    floor: User, counter: User
) -> None:
    ring, seal = put(a_part(), 5, a_bin(3)), put(a_part(), 5, a_bin(1))
    orders = [commit(counter, {ring.pk: 2, seal.pk: 1}, reference=f"S{n}") for n in (1, 2)]
    walk = make_walk(floor, orders)
    assert [stop.place.aisle for stop in walk.stops.all()] == [1, 1, 3, 3]
    for stop in walk.stops.all():
        pick(floor, stop, scanned=stop.part.number)
    walk.refresh_from_db()
    assert walk.state == Walk.State.DONE
    assert dict(Balance.objects.filter(place=the_bench()).values_list("part", "quantity")) == {
        ring.pk: 4,
        seal.pk: 2,
    }
    for order in orders:
        ship(order, floor)
    assert stock_of(ring) == (1, 0, 0) and stock_of(seal) == (3, 0, 0)
    assert not Balance.objects.exclude(allotted=0).exists()
    sold = Demand.objects.filter(kind="loose", day=timezone.localdate(), reference="P1")
    assert sorted(sold.values_list("part", "quantity")) == [(ring.pk, 2)] * 2 + [(seal.pk, 1)] * 2


def test_aisles_are_walked_up_and_down_by_turns(floor: User, counter: User) -> None:
    wants = {}
    for aisle, bay in [(1, 2), (1, 1), (4, 1), (4, 9), (5, 3)]:
        wants[put(a_part(), 1, a_bin(aisle, bay)).pk] = 1
    walk = walk_for(floor, counter, wants)
    visited = [(stop.place.aisle, stop.place.bay) for stop in walk.stops.select_related("place")]
    assert visited == [(1, 1), (1, 2), (4, 9), (4, 1), (5, 3)]


def test_a_want_may_need_two_bins_and_begins_with_the_part_s_home(floor: User, counter: User) -> None:
    ring = put(put(a_part(home=a_bin(2)), 1, a_bin(1)), 2, a_bin(2))
    walk = walk_for(floor, counter, {ring.pk: 3})
    assert dict(walk.stops.values_list("place__aisle", "quantity")) == {1: 1, 2: 2}
    assert walk_for(floor, counter, {put(ring, 1, a_bin(2)).pk: 1}).stops.get().place == a_bin(2)


def test_the_oldest_lot_goes_first(floor: User, counter: User) -> None:
    ring = a_part(tracking=Part.Tracking.LOT)
    put(put(ring, 2, a_bin(9), lot="OLD"), 2, a_bin(1), lot="NEW")
    walk = walk_for(floor, counter, {ring.pk: 3})
    assert set(walk.stops.values_list("lot__code", "quantity")) == {("OLD", 2), ("NEW", 1)}


@pytest.mark.main_job
def test_the_wrong_part_is_named_and_refused(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1", name="Spacer ring"), 1, a_bin(7))
    a_part("BR-22", name="Lip seal", maker="Brandreth Seals")
    stop = walk_for(floor, counter, {ring.pk: 1}).stops.get()
    with pytest.raises(WrongPart) as wrong:
        pick(floor, stop, scanned="br22")
    assert wrong.value.message == (
        "That is Brandreth Seals BR-22 Lip seal. Wanted from A-7-1-1: Tarn Foundry TF-1 Spacer ring."
    )
    assert wrong.value.details == {
        "scanned": "br22",
        "is": "Brandreth Seals BR-22 Lip seal",
        "wanted": "TF-1 Spacer ring",
        "place": "A-7-1-1",
    }
    stop.refresh_from_db()
    assert stop.picked == 0


@pytest.mark.parametrize("scanned", ["TF-77", "", "---"])
def test_an_unknown_number_says_so_and_what_is_wanted(floor: User, counter: User, scanned: str) -> None:
    stop = walk_for(floor, counter, {put(a_part("TF-1"), 1).pk: 1}).stops.get()
    with pytest.raises(WrongPart, match=r"No part has the number .* Wanted from A-1-1-1: .* TF-1") as wrong:
        pick(floor, stop, scanned=scanned)
    assert wrong.value.details["is"] is None


@pytest.mark.parametrize("scanned", ["TF-1", " tf 1 ", "0012345678905", "OLD/7"])
def test_any_number_of_the_part_will_do_however_it_is_written(
    floor: User, counter: User, scanned: str
) -> None:
    ring = put(a_part("TF-1"), 1)
    AlternateNumber.objects.create(part=ring, number="0012345678905", kind="barcode")
    AlternateNumber.objects.create(part=ring, number="OLD-7", kind="earlier")
    stop = walk_for(floor, counter, {ring.pk: 1}).stops.get()
    assert pick(floor, stop, scanned=scanned).picked == 1


def test_a_stop_may_be_picked_in_parts_but_never_beyond_what_is_wanted(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 5)
    stop = walk_for(floor, counter, {ring.pk: 3}).stops.get()
    assert pick(floor, stop, scanned="TF-1", quantity=2).left == 1
    assert Balance.objects.get(place=a_bin()).allotted == 1
    for quantity in (0, 2, -1):
        with pytest.raises(ActError) as refused:
            pick(floor, stop, scanned="TF-1", quantity=quantity)
        assert refused.value.code == "bad-quantity"
    assert pick(floor, stop, scanned="TF-1").walk.state == Walk.State.DONE
    with pytest.raises(Conflict, match="picked already"):
        pick(floor, stop, scanned="TF-1")


def test_a_tracked_part_needs_the_lot_or_serial_that_is_wanted(floor: User, counter: User) -> None:
    pump = put(a_part("TF-1", tracking=Part.Tracking.SERIAL), 1, lot="N-1")
    stop = walk_for(floor, counter, {pump.pk: 1}).stops.get()
    for lot, code in [("", "lot-needed"), ("N-2", "wrong-lot")]:
        with pytest.raises(ActError, match="N-1 is wanted from") as refused:
            pick(floor, stop, scanned="TF-1", lot=lot)
        assert refused.value.code == code
    assert pick(floor, stop, scanned="TF-1", lot="n-1").left == 0


@pytest.mark.main_job
def test_what_lies_on_the_dock_or_is_still_to_come_is_named(floor: User, counter: User) -> None:
    on_dock = put(a_part("TF-1"), 1, the_dock())
    coming = inbound(a_part("TF-2"), 1)
    order = commit(counter, {on_dock.pk: 1, coming.part_id: 1}, reference="S1")
    with pytest.raises(ActError) as refused:
        make_walk(floor, [order])
    assert refused.value.code == "not-in-bins"
    assert [line["number"] for line in refused.value.details["parts"]] == ["TF-1", "TF-2"]
    assert "1 on the dock DOCK, put away first" in refused.value.message
    assert f"still to come on {coming.order}" in refused.value.message
    assert not Walk.objects.exists() and not Balance.objects.exclude(allotted=0).exists()


def test_after_putting_away_the_walk_can_be_made(floor: User, counter: User) -> None:
    ring = put(a_part(), 1, the_dock())
    put_away(floor, ring, origin=the_dock(), destination=a_bin(2), quantity=1)
    assert walk_for(floor, counter, {ring.pk: 1}).stops.get().place == a_bin(2)


def test_a_tracked_part_without_its_lot_is_counted_in_first(floor: User, counter: User) -> None:
    ring = put(a_part(), 1)
    Part.objects.filter(pk=ring.pk).update(tracking=Part.Tracking.LOT)
    with pytest.raises(ActError, match="not in any bin under a lot"):
        walk_for(floor, counter, {ring.pk: 1})


def test_only_a_live_commitment_goes_on_a_walk_and_only_once(floor: User, counter: User) -> None:
    ring = put(a_part(), 5)
    until = timezone.now() + timedelta(hours=1)
    held = hold(counter, {ring.pk: 1}, until=until, reference="Q1")
    order = commit(counter, {ring.pk: 1}, reference="S1")
    released = release(counter, commit(counter, {ring.pk: 1}, reference="S2"))
    make_walk(floor, [order])
    for reservation, said in [(held, "Only what is committed"), (released, "released"), (order, "already")]:
        with pytest.raises(Conflict, match=said):
            make_walk(floor, [reservation])
    with pytest.raises(Conflict, match="being picked"):
        release(counter, order)
    with pytest.raises(ActError, match="at least one order"):
        make_walk(floor, [])


def test_without_a_bench_the_picker_is_told(floor: User, counter: User) -> None:
    stop = walk_for(floor, counter, {put(a_part("TF-1"), 1).pk: 1}).stops.get()
    Place.objects.filter(kind=Place.Kind.BENCH).delete()
    with pytest.raises(ActError, match="no packing bench"):
        pick(floor, stop, scanned="TF-1")


def test_nothing_ships_before_all_of_it_is_picked(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 2)
    order = commit(counter, {ring.pk: 2}, reference="S1")
    stop = make_walk(floor, [order]).stops.get()
    pick(floor, stop, scanned="TF-1", quantity=1)
    with pytest.raises(ActError) as refused:
        ship(order, floor)
    assert refused.value.code == "not-picked" and stock_of(ring) == (2, 0, 2)
    assert WalkStop.objects.get().picked == 1


def test_a_commitment_ships_once(floor: User, counter: User) -> None:
    ring = put(a_part("TF-1"), 2)
    order = commit(counter, {ring.pk: 1}, reference="S1")
    pick(floor, make_walk(floor, [order]).stops.get(), scanned="TF-1")
    ship(order, floor)
    with pytest.raises(Conflict):
        ship(order, floor)
    assert stock_of(ring) == (1, 0, 0)
