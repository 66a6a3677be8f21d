"""What pickers do, and what else is moved on the floor."""

from __future__ import annotations

from django.db.models import F

from inventory.models import Reservation, ReservationLine, Walk, WalkStop

from .looking import Args, Looking

MOST_WORK_STEPS = 50_000


class Floor(Looking):
    def cancel(self) -> Args | None:
        """Rather one that is being picked."""
        commitments = {"kind": Reservation.Kind.COMMITMENT}
        return self._one_of(self._alive(stops__isnull=False, **commitments) or self._alive(**commitments))

    def walk(self) -> Args | None:
        waiting = ReservationLine.objects.filter(purchase_line__isnull=False).values("reservation")
        walked = WalkStop.objects.filter(quantity__gt=F("let_go")).values("reservation")
        ready = self._alive(kind=Reservation.Kind.COMMITMENT, but=(waiting, walked))
        if not ready:
            return None
        return {"reservations": sorted(self.chance.sample(ready, min(len(ready), self.chance.randint(1, 2))))}

    def pick(self) -> Args | None:
        found = self._to_take()
        if found is None:
            return None
        left = found.pop("left")
        return {**found, "quantity": self.chance.randint(1, left)}

    def put_back(self) -> Args | None:
        stops = WalkStop.objects.filter(picked__gt=0, reservation__in=self._alive())
        found = self._row(stops, "pk", "part_id", "picked")
        return found and {"stop": found[0], "part": found[1], "quantity": self.chance.randint(1, found[2])}

    def not_there(self) -> Args | None:
        found = self._to_take()
        return found and {"stop": found["stop"], "found": self.chance.randrange(found["left"])}

    def give_up(self) -> Args | None:
        found = self._row(Walk.objects.filter(state=Walk.State.OPEN), "pk")
        return found and {"walk": found[0]}

    def ship(self) -> Args | None:
        stops = WalkStop.objects.filter(
            quantity__gt=F("let_go"), reservation__in=self._alive(kind=Reservation.Kind.COMMITMENT)
        )
        walked = set(stops.values_list("reservation_id", flat=True))
        to_take = stops.filter(quantity__gt=F("picked") + F("let_go"))
        return self._one_of(sorted(walked - set(to_take.values_list("reservation_id", flat=True))))

    def take_back(self) -> Args | None:
        """At times more than went out, or what is back already."""
        sold = ReservationLine.objects.filter(reservation__state=Reservation.State.USED)
        found = self._row(sold, "reservation", "part", "quantity", youngest=True)
        if found is None:
            return None
        reservation, part, quantity = found
        back = self.chance.randint(1, quantity + (self.chance.random() < 0.1))
        good = self.chance.random() < 0.7
        return {"reservation": reservation, "part": part, "quantity": back, "good": good}

    def make_up(self) -> Args | None:
        part, place = self.chance.choice(sorted(self.premises.makeup)), self._place()
        work_cost = self.chance.choice([0, self.chance.randint(1, MOST_WORK_STEPS)])
        return {
            "part": part,
            "quantity": self.chance.randint(1, 3),
            "place": place,
            "work_cost": work_cost,
        }

    def take_apart(self) -> Args | None:
        found = self._bin(part__in=list(self.premises.makeup))
        if found is None:
            return None
        part, place, there = found
        quantity = self.chance.randint(1, min(3, there))
        return {"part": part, "quantity": quantity, "place": place, "to_place": self._place()}

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

    def _place(self) -> int:
        return self.chance.choice(self.premises.bins)

    def _to_take(self) -> Args | None:
        gone = F("picked") + F("let_go")
        stops = WalkStop.objects.filter(quantity__gt=gone, reservation__in=self._alive())
        found = self._row(stops, "pk", "part_id", F("quantity") - gone)
        return found and dict(zip(("stop", "part", "left"), found, strict=True))
