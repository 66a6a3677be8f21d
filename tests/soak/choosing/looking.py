"""What a client sees in the shop just then, and what it draws from it."""

from __future__ import annotations

import random
from datetime import timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from inventory.models import Balance, Reservation
from tests.soak.premises import Premises

Args = dict[str, Any]

AT_A_TIME = 60  # Of the reservations that are alive, a client looks at the oldest.
HOLD_SECONDS = (0.3, 2, 20)
MUCH = 0.2  # How often so many are wanted that a delivery has to bring them.


class Looking:
    """Read without a lock: what it sees may be gone when the client acts."""

    def __init__(self, premises: Premises, chance: random.Random) -> None:
        self.premises, self.chance = premises, chance
        self.parts = sorted(premises.numbers)
        self.oldest = 0  # No reservation before this one is alive.

    def _part(self) -> int:
        """The first parts are the ones that everybody wants."""
        return self.chance.choice([*self.parts, *self.parts[:2], *self.parts[:2]])

    def _wants(self) -> list[list[int]]:
        """A few of some parts; now and then so many of one that it has to wait for what is to come."""
        if self.chance.random() < MUCH:
            return [[self._part(), self.chance.randint(4, 14)]]
        parts = {self._part() for _ in range(self.chance.randint(1, 4))}
        return [[part, self.chance.randint(1, 3)] for part in sorted(parts)]

    def _until(self) -> str:
        seconds = self.chance.choice(HOLD_SECONDS)
        return (timezone.now() + timedelta(seconds=seconds)).isoformat()

    def _money(self, most: int) -> str:
        """Cents that no number of pieces divides well."""
        return f"{self.chance.randint(1, 100 * most) / 100:.2f}"

    def _alive(self, *, but: Any = (), **having: Any) -> list[int]:
        """Reservations that keep something, but for those of some querysets."""
        found = Reservation.objects.filter(state=Reservation.State.KEPT, pk__gte=self.oldest).order_by("pk")
        first = found.values_list("pk", flat=True).first()
        self.oldest = first or self.oldest
        for others in but:
            found = found.exclude(pk__in=others)
        return list(found.filter(**having).values_list("pk", flat=True)[:AT_A_TIME])

    def _one_of(self, reservations: list[int]) -> Args | None:
        return {"reservation": self.chance.choice(reservations)} if reservations else None

    def _row(self, rows: QuerySet[Any], *fields: Any, youngest: bool = False) -> Any:
        """The fields of one of the oldest rows, or of the youngest; None if there is none."""
        found = list(rows.order_by("-pk" if youngest else "pk").values_list(*fields)[:AT_A_TIME])
        return self.chance.choice(found) if found else None

    def _bin(self, place: int | None = None, **having: Any) -> tuple[int, int, int] | None:
        places = [place] if place is not None else self.premises.bins
        there = Balance.objects.filter(place__in=places, quantity__gt=0, **having).order_by("pk")
        found = list(there.values_list("part_id", "place_id", "quantity"))
        return self.chance.choice(found) if found else None
