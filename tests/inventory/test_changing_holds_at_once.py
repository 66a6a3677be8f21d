"""Reservations that change while others want the same parts: two at the same moment, over two connections."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.models import Reservation
from inventory.reserving import Short, change, commit, commit_before_holds, prolong, release
from tests.clerks import Clerk
from tests.inventory.builders import a_part, inbound, put, stock_of
from tests.inventory.kept import a_hold, no_differences, slip, tie_anew

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

Threads = Callable[..., list[Any]]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def test_a_hold_gives_a_part_up_and_another_wants_it(run_in_threads: Threads, counter: User) -> None:
    ring, cap = put(a_part(), 1), put(a_part(), 1)
    kept = a_hold(counter, {ring.pk: 1})
    changed, other = run_in_threads(
        lambda: change(counter, kept, {cap.pk: 1}), lambda: a_hold(counter, {ring.pk: 1}, "Q2")
    )
    assert not isinstance(changed, Exception) and stock_of(cap) == (1, 1, 0)
    assert stock_of(ring) == ((1, 0, 0) if isinstance(other, Short) else (1, 1, 0))


def test_two_changes_to_the_last_piece(run_in_threads: Threads, counter: User) -> None:
    rings, cap = [put(a_part(), 1) for _ in range(2)], put(a_part(), 1)
    held = [a_hold(counter, {ring.pk: 1}) for ring in rings]
    results = run_in_threads(*[lambda one=one: change(counter, one, {cap.pk: 1}) for one in held])
    assert sorted(type(result).__name__ for result in results) == ["Reservation", "Short"]
    assert stock_of(cap) == (1, 1, 0) and sum(stock_of(ring)[1] for ring in rings) == 1


def test_a_hold_prolonged_while_an_order_outranks_it(run_in_threads: Threads, counter: User) -> None:
    ring = put(a_part(), 1)
    kept = a_hold(counter, {ring.pk: 1})
    until = timezone.now() + timedelta(hours=5)
    run_in_threads(
        lambda: prolong(counter, Reservation.objects.get(pk=kept.pk), until=until),
        lambda: commit_before_holds(counter, {ring.pk: 1}, reference="S1"),
    )
    assert stock_of(ring) == (1, 0, 1)


def test_ties_are_made_anew_while_a_hold_is_made_and_another_let_go(
    run_in_threads: Threads, counter: User
) -> None:
    ring, seal = put(a_part(), 1), put(a_part(), 1)
    line = inbound(ring, 4, in_days=3)
    inbound(ring, 4, in_days=9)
    waits = [
        commit(counter, {ring.pk: 2, seal.pk: 1} if n == 0 else {ring.pk: 2}, reference=f"S{n}")
        for n in range(3)
    ]
    slip(line, 30)
    run_in_threads(
        lambda: tie_anew(ring.pk, seal.pk),
        lambda: a_hold(counter, {ring.pk: 2}),
        lambda: release(counter, waits[0]),
    )
    assert no_differences()
