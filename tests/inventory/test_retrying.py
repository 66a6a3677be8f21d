"""Two acts that meet in a deadlock, or in rows that moved on: one begins again, and both are done once."""

import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, OperationalError, connection, transaction
from django.db.models import F

from inventory.acting import ATTEMPTS, act, retrying
from inventory.models import AuditEntry, Movement, Part, Stock
from tests.clerks import Clerk
from tests.inventory.builders import a_part, put, stock_of

pytestmark = pytest.mark.django_db(transaction=True)

Threads = Callable[..., list[Any]]


class Meeting:
    """Lets the first attempts of two go on only when both have come so far; later ones just pass."""

    def __init__(self) -> None:
        self.barrier = threading.Barrier(2)
        self.attempts: list[int] = []

    def wait(self) -> None:
        self.attempts.append(threading.get_ident())
        if self.attempts.count(threading.get_ident()) == 1:
            self.barrier.wait(10)


def keep_more(part: Part) -> None:
    Stock.objects.filter(part=part).update(held=F("held") + 1)


def test_of_two_acts_in_a_deadlock_one_begins_again_and_both_are_done_once(
    run_in_threads: Threads, clerk: Clerk
) -> None:
    meeting, counter = Meeting(), clerk("counter")
    ring, seal = put(a_part(), 5), put(a_part(), 5)

    @act("inventory.keep_stock")
    def keep_both(_user: User, first: Part, then: Part) -> None:
        keep_more(first)
        meeting.wait()
        keep_more(then)

    done = run_in_threads(lambda: keep_both(counter, ring, seal), lambda: keep_both(counter, seal, ring))
    assert done == [None, None]
    assert len(meeting.attempts) == 3
    assert stock_of(ring) == stock_of(seal) == (5, 2, 0)
    assert AuditEntry.objects.filter(act="test_retrying.keep_both").count() == 2


def test_of_two_that_read_the_same_row_and_change_it_one_reads_again(run_in_threads: Threads) -> None:
    """At this isolation PostgreSQL lets nobody change a row that has moved on since it was read."""
    meeting, ring = Meeting(), put(a_part(), 5)

    def once() -> None:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            held = Stock.objects.get(part=ring).held
            meeting.wait()
            Stock.objects.filter(part=ring).update(held=held + 1)

    assert run_in_threads(lambda: retrying(once), lambda: retrying(once)) == [None, None]
    assert len(meeting.attempts) == 3
    assert stock_of(ring) == (5, 2, 0)


def test_an_act_in_another_leaves_the_retry_to_the_outermost(run_in_threads: Threads, clerk: Clerk) -> None:
    meeting, counter = Meeting(), clerk("counter")
    ring, seal = put(a_part(), 5), put(a_part(), 5)

    @act("inventory.keep_stock")
    def inner(_user: User, part: Part) -> None:
        keep_more(part)

    @act("inventory.keep_stock")
    def outer(user: User, first: Part, then: Part) -> None:
        inner(user, first)
        meeting.wait()
        inner(user, then)

    assert (
        run_in_threads(lambda: outer(counter, ring, seal), lambda: outer(counter, seal, ring)) == [None] * 2
    )
    assert stock_of(ring) == stock_of(seal) == (5, 2, 0)
    assert AuditEntry.objects.filter(act="test_retrying.inner").count() == 4


def deadlock() -> None:
    """What Django raises of a deadlock, with PostgreSQL's own code in its cause."""
    with connection.cursor() as cursor:
        cursor.execute("DO $$ BEGIN RAISE EXCEPTION 'met again' USING ERRCODE = '40P01'; END $$")


def test_who_meets_others_again_and_again_is_told_in_the_end(
    clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    slept: list[float] = []
    monkeypatch.setattr("inventory.acting.time.sleep", slept.append)
    tried: list[int] = []

    @act("inventory.keep_stock")
    def never(_user: User) -> None:
        tried.append(1)
        deadlock()

    with pytest.raises(OperationalError, match="met again"):
        never(clerk("counter"))
    assert len(tried) == ATTEMPTS and len(slept) == ATTEMPTS - 1 and slept == sorted(slept)
    assert not AuditEntry.objects.filter(act="test_retrying.never").exists()


def test_other_errors_are_not_tried_again(clerk: Clerk) -> None:
    tried: list[int] = []

    @act("inventory.keep_stock")
    def broken(_user: User) -> None:
        tried.append(1)
        Movement.objects.create(quantity=1)

    with pytest.raises(IntegrityError):
        broken(clerk("counter"))
    assert len(tried) == 1
