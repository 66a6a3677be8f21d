"""What a client wants to do next: arguments of an act, drawn from what it sees in the shop just then.

What it sees is read without a lock and may be gone when it acts; then it is refused, as at a counter.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Collection
from datetime import timedelta
from typing import Any

from django.db.models import F
from django.utils import timezone

from inventory.models import Balance, Correction, PurchaseLine, Reservation, ReservationLine, WalkStop

from .premises import Premises

Args = dict[str, Any]

AT_A_TIME = 60  # Of the reservations that are alive, a client looks at the oldest.
ENOUGH_TO_COME = 25
HOLD_SECONDS = (0.3, 2, 20)


class Chooser:
    """One method for each kind of act; it returns None when there is nothing to do it with."""

    def __init__(self, premises: Premises, chance: random.Random) -> None:
        self.premises, self.chance = premises, chance
        self.parts = sorted(premises.numbers)
        self.oldest = 0  # No reservation before this one is alive.

    def hold(self) -> Args:
        return {"wants": self._wants(), "until": self._until()}

    def commit(self) -> Args:
        return {"wants": self._wants()}

    def commit_before_holds(self) -> Args:
        return {"wants": self._wants()}

    def make_commitment(self) -> Args | None:
        return self._one_of(self._alive(kind=Reservation.Kind.HOLD))

    def prolong(self) -> Args | None:
        found = self._one_of(self._alive(kind=Reservation.Kind.HOLD))
        return found and {**found, "until": self._until()}

    def change(self) -> Args | None:
        found = self._one_of(self._alive(kind=Reservation.Kind.HOLD) or self._alive())
        return found and {**found, "wants": self._wants()}

    def release(self) -> Args | None:
        return self._one_of(self._alive())

    def order(self) -> Args | None:
        part = self._part()
        lines = PurchaseLine.objects.filter(part=part, received__lt=F("quantity"))
        if sum(line.quantity - line.received - line.reserved for line in lines) >= ENOUGH_TO_COME:
            return None
        return {"part": part, "quantity": self.chance.randint(5, 20)}

    def receive(self) -> Args | None:
        lines = PurchaseLine.objects.filter(received__lt=F("quantity")).order_by("pk")
        found = list(lines.values_list("order", "pk", "part", F("quantity") - F("received"))[:AT_A_TIME])
        if not found:
            return None
        order, line, part, left = self.chance.choice(found)
        quantity = self.chance.randint(1, left + (self.chance.random() < 0.05))  # Now and then too many.
        return {"order": order, "line": line, "part": part, "quantity": quantity}

    def close_short(self) -> Args | None:
        lines = PurchaseLine.objects.filter(received__lt=F("quantity")).order_by("pk")
        found = list(lines.values_list("pk", "part")[:AT_A_TIME])
        if not found:
            return None
        line, part = self.chance.choice(found)
        return {"line": line, "part": part}

    def walk(self) -> Args | None:
        waiting = ReservationLine.objects.filter(purchase_line__isnull=False).values("reservation")
        ready = self._alive(kind=Reservation.Kind.COMMITMENT, stops=None, wait=waiting)
        if not ready:
            return None
        return {"reservations": sorted(self.chance.sample(ready, min(len(ready), self.chance.randint(1, 2))))}

    def pick(self) -> Args | None:
        stops = WalkStop.objects.filter(picked__lt=F("quantity"), reservation__in=self._alive())
        found = list(stops.values_list("pk", "part_id", F("quantity") - F("picked")))
        if not found:
            return None
        stop, part, left = self.chance.choice(found)
        return {"stop": stop, "part": part, "quantity": self.chance.randint(1, left)}

    def ship(self) -> Args | None:
        stops = WalkStop.objects.filter(reservation__in=self._alive(kind=Reservation.Kind.COMMITMENT))
        walked = set(stops.values_list("reservation_id", flat=True))
        open_ = set(stops.filter(picked__lt=F("quantity")).values_list("reservation_id", flat=True))
        return self._one_of(sorted(walked - open_))

    def count(self) -> Args | None:
        """Mostly a few more or fewer; now and then so many that somebody else has to approve it."""
        found = self._bin()
        off = self.chance.choice([-2, -1, 0, 1, 2, 20])
        return found and {"part": found[0], "place": found[1], "found": max(0, found[2] + off)}

    def approve(self) -> Args | None:
        asked = Correction.objects.filter(state=Correction.State.ASKED).order_by("pk")
        found = list(asked.values_list("pk", flat=True)[:AT_A_TIME])
        return {"correction": self.chance.choice(found)} if found else None

    def put_away(self) -> Args | None:
        """Off the dock whenever something lies there, else from bin to bin."""
        found = self._bin(self.premises.dock) or self._bin()
        if not found:
            return None
        part, origin, there = found
        destination = self.chance.choice([place for place in self.premises.bins if place != origin])
        quantity = self.chance.randint(1, there)
        return {"part": part, "origin": origin, "destination": destination, "quantity": quantity}

    def scrap(self) -> Args | None:
        found = self._bin()
        return found and {"part": found[0], "place": found[1], "quantity": 1}

    def _part(self) -> int:
        """The first parts are the ones that everybody wants."""
        return self.chance.choice([*self.parts, *self.parts[:2], *self.parts[:2]])

    def _wants(self) -> list[list[int]]:
        parts = {self._part() for _ in range(self.chance.randint(1, 4))}
        return [[part, self.chance.randint(1, 3)] for part in sorted(parts)]

    def _until(self) -> str:
        seconds = self.chance.choice(HOLD_SECONDS)
        return (timezone.now() + timedelta(seconds=seconds)).isoformat()

    def _alive(self, *, wait: Any = None, **having: Any) -> list[int]:
        found = Reservation.objects.filter(state=Reservation.State.KEPT, pk__gte=self.oldest).order_by("pk")
        first = found.values_list("pk", flat=True).first()
        self.oldest = first or self.oldest
        if wait is not None:
            found = found.exclude(pk__in=wait)
        return list(found.filter(**having).values_list("pk", flat=True)[:AT_A_TIME])

    def _one_of(self, reservations: list[int]) -> Args | None:
        return {"reservation": self.chance.choice(reservations)} if reservations else None

    def _bin(self, place: int | None = None) -> tuple[int, int, int] | None:
        places = [place] if place is not None else self.premises.bins
        there = Balance.objects.filter(place__in=places, quantity__gt=0).order_by("pk")
        found = list(there.values_list("part_id", "place_id", "quantity"))
        return self.chance.choice(found) if found else None


# What happens often in a shop is drawn more often.
WEIGHTS = {
    "hold": 8,
    "commit": 4,
    "commit_before_holds": 1,
    "make_commitment": 5,
    "prolong": 2,
    "change": 3,
    "release": 2,
    "order": 4,
    "receive": 6,
    "close_short": 1,
    "walk": 8,
    "pick": 16,
    "ship": 8,
    "count": 2,
    "approve": 2,
    "put_away": 3,
    "scrap": 1,
}


DUTIES = [kind for kind in WEIGHTS if kind != "approve"]  # Which takes two people, and something to approve.
RATHER = 15  # How much is added for what a client has not done yet, and should.


def choose(chooser: Chooser, rather: Collection[str] = ()) -> tuple[str, Args]:
    """A kind of act and its arguments, drawn until there is something to do it with."""
    weights = {kind: weight + RATHER * (kind in rather) for kind, weight in WEIGHTS.items()}
    while True:
        (kind,) = chooser.chance.choices(list(weights), list(weights.values()))
        method: Callable[[], Args | None] = getattr(chooser, kind)
        if args := method():
            return kind, args


def shared_out(clients: int) -> list[list[str]]:
    """The duties, shared out over so many clients."""
    return [DUTIES[client::clients] for client in range(clients)]
