"""What the causes look at: some parts as they are now, read in a handful of statements however many they are.

The position of a part is what is free, and what is still to come and reserved for nobody.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from functools import cached_property

from django.db.models import Sum

from inventory.demand import daily_rates
from inventory.models import (
    Offer,
    PriceBreak,
    PurchaseLine,
    PurchaseOrder,
    Reservation,
    ReservationLine,
    Target,
)
from inventory.promising import Anew, ordered_anew
from inventory.supplying import Coming, Known, known_of


@dataclass(frozen=True)
class Position:
    """What can still be had of one part, and how fast it goes."""

    free: int
    to_come: int
    drafted: int
    rate: Fraction

    @property
    def total(self) -> int:
        return self.free + self.to_come


def positions_of(part_ids: Sequence[int], now: datetime) -> dict[int, Position]:
    """The position of each of these parts, in a handful of statements."""
    return Sight(part_ids, now).positions


class Sight:
    """These parts at this moment. Each thing is read once, when a cause first asks for it."""

    def __init__(self, part_ids: Sequence[int], now: datetime) -> None:
        self.part_ids = list(part_ids)
        self.now = now

    @property
    def today(self) -> date:
        return self.known.today

    @cached_property
    def known(self) -> Known:
        return known_of(self.part_ids, self.now)

    @cached_property
    def targets(self) -> list[Target]:
        return list(
            Target.objects.filter(part_id__in=self.part_ids).select_related("part").order_by("part_id")
        )

    @cached_property
    def positions(self) -> dict[int, Position]:
        drafts = PurchaseLine.objects.filter(
            part_id__in=self.part_ids,
            order__state__in=[PurchaseOrder.State.DRAFT, PurchaseOrder.State.APPROVED],
        )
        drafted = dict(drafts.order_by().values_list("part_id").annotate(Sum("quantity")))
        rates = daily_rates(self.part_ids, self.now)
        return {
            part_id: Position(
                free=self.known.free(part_id),
                to_come=sum(max(0, one.left) for one in self.coming[part_id]),
                drafted=drafted.get(part_id, 0),
                rate=rates.get(part_id, Fraction(0)),
            )
            for part_id in self.part_ids
        }

    @cached_property
    def coming(self) -> dict[int, list[Coming]]:
        """By part what sent orders still bring, soonest due first."""
        found: dict[int, list[Coming]] = defaultdict(list)
        for one in self.known.coming:
            found[one.line.part_id].append(one)
        return found

    @cached_property
    def changes(self) -> dict[int, list[tuple[date, int]]]:
        """By part what is here, what comes and what leaves, and the days of it."""
        found: dict[int, list[tuple[date, int]]] = defaultdict(list)
        for part_id, here in self.known.on_hand.items():
            found[part_id].append((self.today, here))
        for one in self.known.coming:
            found[one.line.part_id].append((one.on, one.arrival.quantity))
        for part_id, day, quantity in self.known.takings():
            found[part_id].append((day, -quantity))
        return found

    @cached_property
    def anew(self) -> dict[int, Anew]:
        """By part the best offer, and when what is ordered today would be here."""
        return ordered_anew(self.part_ids, self.today)

    def offer(self, part_id: int) -> Offer | None:
        return self.anew[part_id].offer if part_id in self.anew else None

    @cached_property
    def breaks(self) -> dict[int, list[PriceBreak]]:
        """By part the lower prices of its best offer for more at once, the smallest quantity first."""
        offers = {one.offer.pk: part_id for part_id, one in self.anew.items()}
        found: dict[int, list[PriceBreak]] = defaultdict(list)
        for one in PriceBreak.objects.filter(offer_id__in=list(offers)).order_by("offer_id", "at_least"):
            found[offers[one.offer_id]].append(one)
        return found

    @cached_property
    def waiting(self) -> dict[int, list[ReservationLine]]:
        """By purchase line what reservations that run wait for on it, orders and quotes."""
        lines = [one.line.pk for one in self.known.coming if one.line.reserved]
        if not lines:
            return {}
        waits = ReservationLine.objects.filter(
            purchase_line_id__in=lines, reservation__state=Reservation.State.KEPT
        )
        found: dict[int, list[ReservationLine]] = defaultdict(list)
        for one in waits.select_related("reservation").order_by("reservation_id"):
            until = one.reservation.until
            if one.purchase_line_id is not None and (until is None or until > self.now):
                found[one.purchase_line_id].append(one)
        return found
