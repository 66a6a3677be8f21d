"""How many could be made up now is what can be made up now, and the scarcest component says why."""

from datetime import timedelta
from itertools import chain, combinations

import pytest
from django.utils import timezone

from inventory.acting import Conflict
from inventory.assembling import make_up
from inventory.due_counts import ASKED_BY_FLOOR
from inventory.makeable import makeable
from inventory.models import CountLine, Makeup, Part, Place
from inventory.reserving import commit, hold
from inventory.walking import make_walk
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put, the_bench
from tests.inventory.rows import a_count_line, a_round

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def made_of(*components: tuple[Part, int]) -> Part:
    kit = a_part(name="Seal kit")
    for component, quantity in components:
        Makeup.objects.create(part=kit, component=component, quantity=quantity)
    return kit


def test_the_scarcest_component_sets_the_limit() -> None:
    ring, bolt = put(a_part(), 5), put(a_part(), 9)
    found = makeable(made_of((ring, 1), (bolt, 4)), timezone.now())
    assert (found.most, [one.part for one in found.scarcest]) == (2, [bolt])
    assert [one.enough_for for one in found.components] == [5, 2]


def test_what_nobody_says_is_made_up_of_nothing() -> None:
    found = makeable(a_part(), timezone.now())
    assert (found.most, found.scarcest) == (0, [])


def test_kept_pieces_are_not_free_and_a_bench_is_no_bin(clerk: Clerk) -> None:
    ring = put(put(a_part(), 6), 3, the_bench())
    commit(clerk("counter"), {ring.pk: 4}, reference="S1")
    (one,) = makeable(made_of((ring, 1)), timezone.now()).components
    assert (one.free, one.in_bins, one.enough_for) == (5, 6, 5)


def test_a_hold_that_has_lapsed_keeps_nothing(clerk: Clerk) -> None:
    ring, now = put(a_part(), 3), timezone.now()
    kit = made_of((ring, 1))
    hold(clerk("counter"), {ring.pk: 2}, until=now + timedelta(hours=1), reference="Q1")
    assert makeable(kit, now).most == 1
    assert makeable(kit, now + timedelta(hours=2)).most == 3


OBSTACLES = ("held", "on a walk", "on the bench", "in two bins", "without a lot", "in doubt")


@pytest.mark.parametrize("obstacles", list(chain.from_iterable(combinations(OBSTACLES, n) for n in range(4))))
def test_just_so_many_can_be_made_up_and_no_more(clerk: Clerk, obstacles: tuple[str, ...]) -> None:
    floor, ring = clerk("floor"), put(a_part(), 7)
    serial = put(put(a_part(tracking=Part.Tracking.LOT), 8, lot="L1"), 3, lot="L2")
    if "in two bins" in obstacles:
        put(ring, 4, a_bin(2))
    if "on the bench" in obstacles:
        put(ring, 5, the_bench())
    if "without a lot" in obstacles:
        before_tracking(serial, 6)
    if "in doubt" in obstacles:
        found_too_few(put(ring, 9, a_bin(3)), a_bin(3))
    if "held" in obstacles:
        until = timezone.now() + timedelta(hours=1)
        hold(clerk("counter"), {ring.pk: 2, serial.pk: 5}, until=until, reference="Q1")
    if "on a walk" in obstacles:
        the_bench()
        make_walk(floor, [commit(clerk("counter"), {ring.pk: 3}, reference="S1")])
    kit = made_of((ring, 2), (serial, 3))
    most = makeable(kit, timezone.now()).most
    with pytest.raises(Conflict):
        make_up(floor, kit, most + 1, a_bin(5))
    if most:
        assert sum(made.quantity for made in make_up(floor, kit, most, a_bin(5))) == most
    assert makeable(kit, timezone.now()).most == 0


def before_tracking(part: Part, quantity: int) -> None:
    """Pieces that were put there when nobody asked for the lot yet."""
    rows = Part.objects.filter(pk=part.pk)
    rows.update(tracking=Part.Tracking.NONE)
    put(rows.get(), quantity)
    rows.update(tracking=Part.Tracking.LOT)


def found_too_few(part: Part, place: Place) -> None:
    """A picker said so, and it waits to be counted."""
    CountLine.objects.create(**a_count_line(part=part, place=place, round=a_round(why=ASKED_BY_FLOOR)))
