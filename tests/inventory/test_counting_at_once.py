"""Counting while the shop goes on working: the difference is what the counter saw, whatever comes between."""

import random
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db.models import F
from django.utils import timezone

from inventory.acting import ActError, Conflict
from inventory.counting import adjust, approve, scrap
from inventory.deliveries import put_away
from inventory.models import Balance, Correction, CountLine, Movement, Part, Place, WalkStop
from inventory.reserving import commit, hold
from inventory.rounds import enter_count, make_round
from inventory.walking import make_walk, pick
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put, stock_of, the_bench, the_dock

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

Threads = Callable[..., list[Any]]


def line_of(user: User, part: Part) -> CountLine:
    return make_round(user, "test", places=[a_bin()]).lines.get(part=part)


def test_a_count_and_a_pick_of_the_same_bin(run_in_threads: Threads, clerk: Clerk) -> None:
    the_bench()
    floor, buyer, ring = clerk("floor"), clerk("buying"), put(a_part("TF-1"), 40)
    stop = make_walk(floor, [commit(clerk("counter"), {ring.pk: 6}, reference="S1")]).stops.get()
    line = line_of(buyer, ring)
    counted_at = timezone.now()  # 38 lay there; then the picker comes, and the count is typed in.
    counted, picked = run_in_threads(
        lambda: enter_count(buyer, line, 38, counted_at), lambda: pick(floor, stop, scanned="TF-1")
    )
    assert picked.picked == 6 and counted.state == CountLine.State.CORRECTED
    assert counted.entries.get().difference == -2
    assert Balance.objects.get(place=a_bin()).quantity == 32
    call_command("check_ledger")


def test_a_count_and_a_hold_of_the_last_pieces(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer, counter, ring = clerk("buying"), clerk("counter"), put(a_part(), 20)
    line = line_of(buyer, ring)
    until = timezone.now() + timedelta(hours=1)
    counted, held = run_in_threads(
        lambda: enter_count(buyer, line, 19),
        lambda: hold(counter, {ring.pk: 20}, until=until, reference="Q"),
    )
    if isinstance(held, ActError):  # The count was first: 19 are there, and nobody was promised more.
        assert counted.state == CountLine.State.CORRECTED and stock_of(ring) == (19, 0, 0)
    else:
        assert counted.state == CountLine.State.TO_APPROVE and stock_of(ring) == (20, 20, 0)


def test_a_correction_approved_twice_at_once_is_posted_once(run_in_threads: Threads, clerk: Clerk) -> None:
    ring, buyer = put(a_part(), 20), clerk("buying")
    correction = adjust(clerk("floor"), ring, a_bin(), -9, "water came in")
    results = run_in_threads(*[lambda: approve(buyer, correction)] * 2)
    assert Counter(type(result) for result in results) == {Correction: 1, Conflict: 1}
    assert stock_of(ring) == (11, 0, 0)
    assert Movement.objects.filter(act=Movement.Act.ADJUST).count() == 1


def test_the_last_two_lines_counted_at_once_close_the_round(run_in_threads: Threads, clerk: Clerk) -> None:
    buyer = clerk("buying")
    for _ in range(2):
        put(a_part(), 5)
    round_ = make_round(buyer, "test", places=[a_bin()])
    run_in_threads(*[lambda line=line: enter_count(buyer, line, 5) for line in round_.lines.all()])
    round_.refresh_from_db()
    assert round_.state == "done"


def test_one_line_counted_twice_at_once_by_two_people(run_in_threads: Threads, clerk: Clerk) -> None:
    floor, buyer, ring = clerk("floor"), clerk("buying"), put(a_part(), 8)
    line = line_of(buyer, ring)
    run_in_threads(lambda: enter_count(floor, line, 6), lambda: enter_count(buyer, line, 6))
    line.refresh_from_db()
    assert line.state == CountLine.State.CORRECTED and stock_of(ring) == (6, 0, 0)


class Bin:
    """A bin in which `missing` pieces fewer lie than the ledger says, while things go on around it."""

    def __init__(self, clerk: Clerk, chance: random.Random) -> None:
        the_bench()
        self.counter, self.floor, self.chance = clerk("counter"), clerk("floor"), chance
        self.ring = put(put(put(a_part("TF-1"), 60), 30, a_bin(2)), 30, the_dock())
        self.missing = chance.randint(-4, 4)
        self.line = line_of(clerk("buying"), self.ring)

    def lying(self) -> int:
        """What somebody who looks sees."""
        return Balance.objects.get(part=self.ring, place=a_bin()).quantity - self.missing

    def pick(self) -> None:
        make_walk(self.floor, [commit(self.counter, {self.ring.pk: 2}, reference="S")])
        stop = WalkStop.objects.filter(picked__lt=F("quantity")).select_related("part").first()
        assert stop is not None
        pick(self.floor, stop, scanned="TF-1")

    def bring(self, origin: Place, destination: Place) -> None:
        put_away(self.floor, self.ring, origin=origin, destination=destination, quantity=2)

    def scrap(self) -> None:
        scrap(self.floor, self.ring, a_bin(), 1, "rusty")

    def something(self) -> None:
        acts: list[Callable[[], None]] = [
            self.pick,
            self.scrap,
            lambda: self.bring(the_dock(), a_bin()),
            lambda: self.bring(a_bin(), a_bin(2)),
            lambda: self.bring(a_bin(2), a_bin()),
        ]
        self.chance.choice(acts)()


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(6))
def test_what_moves_between_the_look_and_the_entry_never_changes_the_difference(
    seed: int, clerk: Clerk
) -> None:
    chance = random.Random(seed)
    bin_ = Bin(clerk, chance)
    for _ in range(chance.randint(0, 4)):
        bin_.something()
    found, counted_at = bin_.lying(), timezone.now()
    for _ in range(chance.randint(1, 8)):
        bin_.something()
    line = enter_count(clerk("buying"), bin_.line, found, counted_at)
    assert line.entries.get().difference == -bin_.missing
    assert line.state == ("corrected" if bin_.missing else "agrees")
    assert Balance.objects.get(part=bin_.ring, place=a_bin()).quantity == bin_.lying() + bin_.missing
    call_command("check_ledger")
