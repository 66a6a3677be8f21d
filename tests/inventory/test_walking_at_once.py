"""Two on the floor at the same moment: no piece is taken, let go of or spoken for twice."""

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import call_command

from inventory.acting import ActError, Conflict
from inventory.models import Balance, Walk
from inventory.reserving import commit
from inventory.walking import Missed, give_up, make_walk, not_there, pick, put_back
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put, the_bench

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

Threads = Callable[..., list[Any]]


def kinds(results: list[Any]) -> Counter[str]:
    return Counter(type(result).__name__ for result in results)


def test_a_walk_given_up_while_one_of_its_stops_is_picked(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor, ring = clerk("floor"), put(a_part("TF-1"), 5)
    walk = make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")])
    stop = walk.stops.get()
    picked, given_up = run_in_threads(lambda: pick(floor, stop, scanned="TF-1"), lambda: give_up(floor, walk))
    # Picked first, the walk is done already; given up first, there is nothing left to pick.
    assert isinstance(picked, Conflict) != isinstance(given_up, Conflict)
    here = Balance.objects.get(place=a_bin())
    assert (here.quantity, here.allotted) == ((5, 0) if isinstance(picked, Conflict) else (3, 0))
    call_command("check_ledger")


def test_a_stop_put_back_twice_at_once(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor, ring = clerk("floor"), put(a_part("TF-1"), 5)
    walk = make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")])
    stop = pick(floor, walk.stops.get(), scanned="TF-1")
    assert kinds(run_in_threads(*[lambda: put_back(floor, stop)] * 2)) == {"WalkStop": 1, "Conflict": 1}
    here = Balance.objects.get(place=a_bin())
    assert (here.quantity, here.allotted) == (5, 2)
    call_command("check_ledger")


def test_a_piece_sought_elsewhere_while_another_walk_wants_the_last_one(
    run_in_threads: Threads, clerk: Clerk
) -> None:
    the_bench()
    floor, counter = clerk("floor"), clerk("counter")
    ring = put(a_part("TF-1", home=a_bin(1)), 1, a_bin(1))
    walk = make_walk(floor, [commit(counter, {ring.pk: 1}, reference="S1")])
    put(ring, 1, a_bin(2))
    other = commit(counter, {ring.pk: 1}, reference="S2")
    missed, made = run_in_threads(
        lambda: not_there(floor, walk.stops.get()), lambda: make_walk(floor, [other])
    )
    assert isinstance(missed, Missed)
    last = Balance.objects.get(place=a_bin(2))
    assert (last.quantity, last.allotted) == (1, 1)
    if missed.instead:
        assert isinstance(made, ActError) and made.code == "not-in-bins"
    else:
        assert isinstance(made, Walk)
    call_command("check_ledger")


def test_two_empty_bins_of_one_walk_at_once(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor = clerk("floor")
    ring, seal = (put(put(a_part(), 1, a_bin(n)), 1, a_bin(n + 2)) for n in (1, 2))
    walk = make_walk(floor, [commit(clerk("counter"), {ring.pk: 1, seal.pk: 1}, reference="S1")])
    results = run_in_threads(*[lambda stop=stop: not_there(floor, stop) for stop in walk.stops.all()])
    assert kinds(results) == {"Missed": 2}
    assert list(walk.stops.values_list("sequence", "let_go")) == [(1, 1), (2, 1), (3, 0), (4, 0)]
    call_command("check_ledger")


def test_one_empty_bin_told_twice(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor, ring = clerk("floor"), put(put(a_part(), 2, a_bin(1)), 5, a_bin(2))
    walk = make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")])
    stop = walk.stops.first()
    assert stop is not None
    assert kinds(run_in_threads(*[lambda: not_there(floor, stop)] * 2)) == {"Missed": 1, "Conflict": 1}
    assert sum(stop.left for stop in walk.stops.all()) == 2
    call_command("check_ledger")
