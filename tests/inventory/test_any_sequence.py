"""Whatever the desks do, in whatever order, the kept figures agree with the records."""

import random
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from inventory.acting import ActError
from inventory.checking import checks
from inventory.counting import correct, scrap
from inventory.deliveries import put_away, receive
from inventory.keeping import lapse
from inventory.ledger import lock_stock
from inventory.models import (
    Balance,
    CountLine,
    Movement,
    Part,
    Place,
    PurchaseLine,
    Reservation,
    Walk,
    WalkStop,
)
from inventory.reserving import commit, hold, make_commitment, release
from inventory.returning import come_back, cost_of_sale
from inventory.rounds import leave_line
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
from tests.inventory.builders import a_bin, a_part, inbound, put, the_bench, the_dock

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

STEPS = 120


class Shop:
    """A small shop and one method per act, each on things drawn at random."""

    def __init__(self, clerk: Clerk, chance: random.Random) -> None:
        the_dock()
        the_bench()
        self.chance = chance
        self.counter, self.floor = clerk("counter"), clerk("floor")
        self.parts = [put(a_part(home=a_bin(n)), 8, a_bin(n)) for n in (1, 2)]
        self.parts.append(put(put(a_part(), 4, a_bin(3)), 4, a_bin(2)))
        self.note = 0

    def user(self) -> User:
        return self.chance.choice([self.counter, self.floor])

    def part(self) -> Part:
        return self.chance.choice(self.parts)

    def some(self) -> int:
        return self.chance.randint(1, 3)

    def wants(self) -> dict[int, int]:
        return {part.pk: self.some() for part in self.chance.sample(self.parts, self.some())}

    def reservation(self) -> Reservation:
        return self.chance.choice(list(Reservation.objects.all()))

    def commitment(self) -> Reservation:
        """Mostly a live one; now and then anything at all, to be refused."""
        live = Reservation.objects.filter(kind="commitment", state="kept")
        return self.chance.choice(list(live)) if self.chance.random() < 0.9 else self.reservation()

    def place(self) -> Place:
        return self.chance.choice([a_bin(1), a_bin(2), a_bin(3), the_dock(), the_bench()])

    def hold(self) -> None:
        until = timezone.now() + timedelta(hours=1)
        hold(self.counter, self.wants(), until=until, reference="Q")

    def commit(self) -> None:
        commit(self.counter, self.wants(), reference="S")

    def make_commitment(self) -> None:
        make_commitment(self.counter, self.reservation(), reference="S")

    def release(self) -> None:
        release(self.counter, self.reservation())

    def time_goes_on(self) -> None:
        Reservation.objects.filter(pk=self.reservation().pk, kind="hold").update(until=timezone.now())
        if self.chance.random() < 0.5:
            lapse(timezone.now())

    def order(self) -> None:
        inbound(self.part(), self.some())

    def receive(self) -> None:
        line = self.chance.choice(list(PurchaseLine.objects.all()))
        self.note += 1
        receive(self.floor, line.order, delivery_note=f"DN-{self.note}", quantities={line.pk: self.some()})

    def put_away(self) -> None:
        put_away(self.floor, self.part(), origin=self.place(), destination=self.place(), quantity=self.some())

    def walk(self) -> None:
        make_walk(self.floor, [self.commitment()])

    def pick(self) -> None:
        stop = self.open_stop()
        pick(self.floor, stop, scanned=stop.part.number)

    def open_stop(self) -> WalkStop:
        to_take = WalkStop.objects.filter(quantity__gt=F("picked") + F("let_go"))
        return self.chance.choice(list(to_take.select_related("part")))

    def put_back(self) -> None:
        put_back(self.floor, self.chance.choice(list(WalkStop.objects.filter(picked__gt=0))), self.some())

    def not_there(self) -> None:
        not_there(self.floor, self.open_stop(), self.chance.randint(0, 1))

    def look_later(self) -> None:
        """Somebody found the pieces after all: walks go there again."""
        leave_line(self.floor, self.chance.choice(list(CountLine.objects.filter(state="to count"))), "found")

    def give_up(self) -> None:
        give_up(self.floor, self.chance.choice(list(Walk.objects.all())))

    def cancel(self) -> None:
        """As the shop does it: off the walk, then free."""
        with transaction.atomic():
            commitment = self.commitment()
            leave(commitment, by=self.floor, at=timezone.now())
            release(self.counter, commitment)

    def pack(self) -> None:
        with transaction.atomic():
            pack_up(self.commitment(), by=self.floor, at=timezone.now(), reference="P")

    def unpack(self) -> None:
        with transaction.atomic():
            unpack(self.commitment(), by=self.floor, at=timezone.now(), reference="P")

    def bring_back(self) -> None:
        sold = self.chance.choice(list(Movement.objects.filter(act=Movement.Act.SHIP)))
        lock_stock([sold.part_id])
        come_back(
            sold.part,
            1,
            None,
            good=self.chance.random() < 0.5,
            cost=cost_of_sale(sold.reference, sold.part, None, before=0, quantity=1),
            by=self.floor,
            at=timezone.now(),
            reference="R",
            reason="wrong engine",
        )

    def ship(self) -> None:
        ship_out(self.commitment(), by=self.floor, at=timezone.now(), reference="P")

    def count(self) -> None:
        correct(self.floor, self.part(), self.place(), self.chance.randint(0, 5), "counted")

    def scrap(self) -> None:
        scrap(self.floor, self.part(), self.place(), self.some(), "rusty")

    def acts(self) -> list[Callable[[], None]]:
        """What happens often in a shop stands here more than once."""
        selling = [self.hold, self.commit, self.commit, self.make_commitment]
        moving = [self.order, self.receive, self.receive, self.walk, self.walk, self.ship, self.ship]
        picking = [self.walk, self.walk, *[self.pick] * 6]
        back = [self.put_back, self.not_there, self.look_later, self.look_later, self.give_up, self.cancel]
        parcels = [self.pack, self.unpack, self.bring_back]
        others = [self.release, self.time_goes_on, self.put_away, self.count, self.scrap]
        return [*selling, *moving, *picking, *back, *parcels, *others]


@pytest.mark.parametrize("seed", range(4))
def test_any_sequence_of_acts_leaves_the_ledger_agreeing(seed: int, clerk: Clerk) -> None:
    shop = Shop(clerk, random.Random(seed))
    acts = shop.acts()
    done = 0
    for step in range(STEPS):
        try:
            shop.chance.choice(acts)()
            done += 1
        except (ActError, IndexError):  # Refused, or nothing there to choose from.
            pass
        if step % 4 == 0:
            assert [line for check in checks() for line in check.differences()] == []
    assert done > STEPS / 4
    assert Movement.objects.filter(act=Movement.Act.PICK).exists()
    assert not Balance.objects.filter(quantity__lt=0).exists()
    call_command("check_ledger")
