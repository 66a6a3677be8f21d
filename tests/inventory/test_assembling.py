"""Kits made up on the shelf and taken apart: whole or not at all, and what they cost goes with them."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.assembling import make_up, take_apart
from inventory.ledger import outside
from inventory.models import Balance, Makeup, Movement, Part, Place
from inventory.reserving import commit, hold, release
from inventory.walking import make_walk
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_lot, a_part, an_offer, put, stock_of, the_bench
from tests.inventory.costs import a_part_by_lot, buy, lots_of, worth

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


def made_of(*components: tuple[Part, int], tracking: str = Part.Tracking.NONE) -> Part:
    kit = a_part(name="Seal kit", tracking=tracking)
    for component, quantity in components:
        Makeup.objects.create(part=kit, component=component, quantity=quantity)
    return kit


def test_a_kit_costs_what_went_into_it_and_the_work(floor: User) -> None:
    ring, bolt = a_part(), a_part()
    buy(ring, 4, "10.00")
    buy(bolt, 9, "1.00")
    kit = made_of((ring, 1), (bolt, 2))
    (made,) = make_up(floor, kit, 2, a_bin(5), work_cost=Decimal("3.00"))
    assert made.value == Decimal("5.0000") + Decimal("0.4444") + Decimal("3.00")
    assert (stock_of(kit), worth(kit)) == ((2, 0, 0), made.value)
    assert (stock_of(ring)[0], stock_of(bolt)[0]) == (2, 5)
    assert set(Movement.objects.filter(act="make up").values_list("origin__kind", "destination__kind")) == {
        ("bin", "making"),
        ("making", "bin"),
    }
    call_command("check_ledger")


def test_taken_apart_its_cost_is_shared_by_what_the_components_cost_now(floor: User) -> None:
    ring, bolt = a_part(), a_part()
    buy(ring, 2, "20.00")
    buy(bolt, 4, "4.00")
    kit = made_of((ring, 1), (bolt, 2))
    buy(kit, 1, "7.00", place=a_bin(5))
    take_apart(floor, kit, 1, a_bin(5), a_bin(6))
    assert (worth(kit), worth(ring), worth(bolt)) == (Decimal(0), Decimal("25.8333"), Decimal("5.1667"))
    came = Balance.objects.filter(place=a_bin(6))
    assert dict(came.values_list("part", "quantity")) == {ring.pk: 1, bolt.pk: 2}
    call_command("check_ledger")


def test_components_that_are_all_gone_count_at_their_last_price(floor: User) -> None:
    ring, bolt = a_part(), a_part()
    an_offer(ring, price="6.00")
    an_offer(bolt, price="6.00")
    kit = made_of((ring, 1), (bolt, 3))
    buy(kit, 1, "8.00")
    take_apart(floor, kit, 1, a_bin(), a_bin(2))
    assert (worth(ring), worth(bolt)) == (Decimal("2.0000"), Decimal("6.0000"))


def test_too_few_of_one_component_take_none_of_the_others(floor: User) -> None:
    ring, bolt = put(a_part(), 5), put(a_part(), 1)
    with pytest.raises(Conflict, match=r"2 x .*, of which 1 free") as conflict:
        make_up(floor, made_of((ring, 1), (bolt, 2)), 1, a_bin(5))
    assert len(conflict.value.details["missing"]) == 1
    assert not Movement.objects.filter(act="make up").exists()


def test_what_is_held_or_on_a_walk_or_in_no_bin_is_not_taken(floor: User, clerk: Clerk) -> None:
    the_bench()
    ring = put(a_part(), 2)
    kit = made_of((ring, 1))
    held = hold(clerk("counter"), {ring.pk: 2}, until=timezone.now() + timedelta(hours=1), reference="Q1")
    with pytest.raises(Conflict, match="of which 0 free"):
        make_up(floor, kit, 1, a_bin(5))
    release(clerk("counter"), held)
    make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")])
    put(ring, 1, the_bench())
    with pytest.raises(Conflict, match="of which 0 in the bins, not on a walk"):
        make_up(floor, kit, 1, a_bin(5))


def test_the_oldest_lots_go_first_then_the_home(floor: User) -> None:
    ring, bolt = a_part_by_lot(), a_part(home=a_bin(3))
    buy(ring, 1, "10.00", lot="L1", place=a_bin(2))
    buy(ring, 3, "60.00", lot="L2")
    put(put(bolt, 1, a_bin(2)), 1, a_bin(3))
    (made,) = make_up(floor, made_of((ring, 2), (bolt, 1)), 1, a_bin(5))
    assert made.value == Decimal("30.0000")
    assert {code: n for code, (n, _) in lots_of(ring).items()} == {"L1": 0, "L2": 2}
    assert Balance.objects.get(part=bolt, place=a_bin(3)).quantity == 0


def test_a_tracked_kit_has_its_own_codes(floor: User) -> None:
    ring = a_part()
    buy(ring, 2, "9.00")
    kit = made_of((ring, 1), tracking=Part.Tracking.SERIAL)
    with pytest.raises(ActError, match="serial numbers"):
        make_up(floor, kit, 2, a_bin(5))
    made = make_up(floor, kit, 2, a_bin(5), lots=["K1", "K2"])
    assert [str(one.lot) for one in made] == ["K1", "K2"]
    came = take_apart(floor, kit, 1, a_bin(5), a_bin())
    assert [one.part for one in came] == [ring]
    assert Balance.objects.get(part=kit, quantity=1).lot == a_lot(kit, "K2")


def test_lots_that_come_out_are_those_that_went_in_where_there_is_no_doubt(floor: User) -> None:
    pump = a_part(tracking=Part.Tracking.SERIAL)
    put(put(pump, 1, lot="N1"), 1, lot="N2")
    kit = made_of((pump, 1))
    make_up(floor, kit, 1, a_bin(5))
    make_up(floor, kit, 1, a_bin(5))
    with pytest.raises(ActError, match="1 of N1, 1 of N2") as refused:
        take_apart(floor, kit, 1, a_bin(5), a_bin())
    assert refused.value.code == "lot-needed"
    (given,) = take_apart(floor, kit, 1, a_bin(5), a_bin(), lots={pump.pk: ["N2"]})
    (found,) = take_apart(floor, kit, 1, a_bin(5), a_bin())
    assert [str(one.lot) for one in (given, found)] == ["N2", "N1"]


def test_what_is_not_there_or_kept_is_not_taken_apart(floor: User, clerk: Clerk) -> None:
    kit = made_of((a_part(), 1))
    buy(kit, 1, "8.00")
    with pytest.raises(Conflict, match="1 on hand"):
        take_apart(floor, kit, 2, a_bin(), a_bin(2))
    commit(clerk("counter"), {kit.pk: 1}, reference="S1")
    with pytest.raises(Conflict, match="committed for S1"):
        take_apart(floor, kit, 1, a_bin(), a_bin(2))
    serial = made_of((a_part(), 1), tracking=Part.Tracking.SERIAL)
    with pytest.raises(Conflict, match="0 lie there"):
        take_apart(floor, serial, 1, a_bin(), a_bin(2))


def test_nonsense_is_refused(floor: User) -> None:
    ring = put(a_part(), 1)
    kit, here, scrap = made_of((ring, 1)), a_bin(5), outside(Place.Kind.SCRAP)
    for part, quantity, place, cost, code in [
        (ring, 1, here, "0", "no-makeup"),
        (kit, 0, here, "0", "bad-quantity"),
        (kit, 1, scrap, "0", "not-a-place-here"),
        (kit, 1, here, "-1", "bad-cost"),
    ]:
        with pytest.raises(ActError) as refused:
            make_up(floor, part, quantity, place, work_cost=Decimal(cost))
        assert refused.value.code == code
    with pytest.raises(ActError, match="do not come out"):
        take_apart(floor, kit, 1, here, a_bin(), lots={ring.pk + 999: ["N1"]})
