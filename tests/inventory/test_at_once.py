"""Two at the same moment, over two connections: one gets it, the other is told."""

from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.counting import scrap
from inventory.deliveries import receive
from inventory.models import Alert, Balance, Part, Receipt, Target, Walk
from inventory.reserving import Short, commit, hold, make_commitment, release
from inventory.tasks import raise_alerts
from inventory.walking import make_walk, pick
from tests.clerks import Clerk
from tests.inventory.builders import (
    a_bin,
    a_part,
    an_offer,
    inbound,
    put,
    stock_of,
    the_bench,
    the_dock,
    today,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

Threads = Callable[..., list[Any]]


def kinds(results: list[Any]) -> Counter[str]:
    return Counter(type(result).__name__ for result in results)


def in_an_hour() -> Any:
    return timezone.now() + timedelta(hours=1)


def test_two_holds_of_the_last_part(run_in_threads: Threads, clerk: Clerk) -> None:
    counter, ring = clerk("counter"), put(a_part(), 1)
    an_offer(ring, lead_days=9)

    def one() -> Any:
        return hold(counter, {ring.pk: 1}, until=in_an_hour(), reference="Q")

    results = run_in_threads(one, one)
    assert kinds(results) == {"Reservation": 1, "Short": 1}
    (short,) = (result for result in results if isinstance(result, Short))
    assert date.fromisoformat(short.details["lines"][0]["on"]) == today() + timedelta(days=9)
    assert stock_of(ring) == (1, 1, 0)


def test_many_kits_in_opposite_order_neither_lock_for_ever_nor_oversell(
    run_in_threads: Threads, clerk: Clerk
) -> None:
    counter = clerk("counter")
    parts = [put(a_part(), 3) for _ in range(4)]
    there = {part.pk: 1 for part in parts}
    back = dict(reversed(there.items()))

    def one(wants: dict[int, int]) -> Callable[[], Any]:
        return lambda: commit(counter, wants, reference="S")

    results = run_in_threads(*[one(there), one(back)] * 3)
    assert kinds(results) == {"Reservation": 3, "Short": 3}
    assert {stock_of(part) for part in parts} == {(3, 0, 3)}


def test_a_hold_and_scrapping_the_same_piece(run_in_threads: Threads, clerk: Clerk) -> None:
    counter, floor, ring = clerk("counter"), clerk("floor"), put(a_part(), 1)
    results = run_in_threads(
        lambda: hold(counter, {ring.pk: 1}, until=in_an_hour(), reference="Q"),
        lambda: scrap(floor, ring, a_bin(), 1, "dropped"),
    )
    assert isinstance(results[0], Short) != isinstance(results[1], Conflict)
    assert stock_of(ring) == ((0, 0, 0) if isinstance(results[0], Short) else (1, 1, 0))


def test_two_walks_for_the_same_bin(run_in_threads: Threads, clerk: Clerk) -> None:
    counter, floor = clerk("counter"), clerk("floor")
    ring = put(put(a_part(), 1, a_bin()), 1, the_dock())
    orders = [commit(counter, {ring.pk: 1}, reference=f"S{n}") for n in (1, 2)]
    results = run_in_threads(*[lambda order=order: make_walk(floor, [order]) for order in orders])
    (refused,) = (result for result in results if isinstance(result, ActError))
    assert refused.code == "not-in-bins"
    assert Balance.objects.get(place=a_bin()).allotted == 1 and Walk.objects.count() == 1


def test_one_order_on_two_walks(run_in_threads: Threads, clerk: Clerk) -> None:
    floor, ring = clerk("floor"), put(a_part(), 5)
    order = commit(clerk("counter"), {ring.pk: 1}, reference="S1")
    assert kinds(run_in_threads(*[lambda: make_walk(floor, [order])] * 2)) == {"Walk": 1, "Conflict": 1}


def test_one_stop_picked_twice(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor, ring = clerk("floor"), put(a_part("TF-1"), 5)
    stop = make_walk(floor, [commit(clerk("counter"), {ring.pk: 2}, reference="S1")]).stops.get()
    results = run_in_threads(*[lambda: pick(floor, stop, scanned="TF-1")] * 2)
    assert kinds(results) == {"WalkStop": 1, "Conflict": 1}
    assert Balance.objects.get(place=the_bench()).quantity == 2


def test_the_last_two_stops_picked_at_once_close_the_walk(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor = clerk("floor")
    wants = {put(a_part(f"TF-{n}"), 1, a_bin(n)).pk: 1 for n in (1, 2)}
    walk = make_walk(floor, [commit(clerk("counter"), wants, reference="S1")])
    stops = walk.stops.select_related("part")
    run_in_threads(*[lambda stop=stop: pick(floor, stop, scanned=stop.part.number) for stop in stops])
    walk.refresh_from_db()
    assert walk.state == Walk.State.DONE


def test_one_delivery_note_booked_twice(run_in_threads: Threads, clerk: Clerk) -> None:
    the_dock()
    floor, line = clerk("floor"), inbound(a_part(), 4)

    def book() -> Receipt:
        return receive(floor, line.order, delivery_note="DN-1", quantities={line.pk: 2})

    results = run_in_threads(book, book)
    (refused,) = (result for result in results if isinstance(result, ActError))
    assert refused.code == "delivery-note-booked" and stock_of(line.part) == (2, 0, 0)


def test_a_hold_committed_and_released_at_once(run_in_threads: Threads, clerk: Clerk) -> None:
    counter, ring = clerk("counter"), put(a_part(), 2)
    held = hold(counter, {ring.pk: 2}, until=in_an_hour(), reference="Q1")
    committed, released = run_in_threads(
        lambda: make_commitment(counter, type(held).objects.get(pk=held.pk), reference="S1"),
        lambda: release(counter, type(held).objects.get(pk=held.pk)),
    )
    # Released last, it gives back the commitment; released first, there is none to make.
    assert not isinstance(released, Exception)
    assert not isinstance(committed, Exception) or isinstance(committed, Conflict)
    assert stock_of(ring) == (2, 0, 0)


def test_two_workers_raise_one_alert(run_in_threads: Threads) -> None:
    ring: Part = a_part()
    Target.objects.create(part=ring, reorder_at=1, up_to=2, why="test")
    assert run_in_threads(raise_alerts, raise_alerts) == [1, 1]
    assert Alert.objects.count() == 1


def test_the_ledger_agrees_after_a_busy_minute(run_in_threads: Threads, clerk: Clerk) -> None:
    the_dock()
    the_bench()
    counter, floor = clerk("counter"), clerk("floor")
    ring = put(a_part(home=a_bin()), 6)
    line = inbound(ring, 6)

    def sell() -> None:
        for _ in range(4):
            make_commitment(
                counter, hold(counter, {ring.pk: 1}, until=in_an_hour(), reference="Q"), reference="S"
            )

    def bring() -> None:
        for note in "ABC":
            receive(floor, line.order, delivery_note=note, quantities={line.pk: 2})

    assert run_in_threads(sell, bring, sell) == [None, None, None]
    assert stock_of(ring) == (12, 0, 8)
    call_command("check_ledger")
