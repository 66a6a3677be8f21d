"""What there is of parts now, and what there will be: stock, deliveries, and when what is kept leaves.

Plain reads in few queries, true by the clock: a hold that is over keeps nothing here, whether or not the
sweeper has been round. What is kept is read from the sums on Stock and PurchaseLine; reservations are
looked at only where a hold is over or its pieces are wanted later, both found by a small index, so that
a long history costs nothing.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from django.db.models import F, Q, QuerySet
from django.utils import timezone

from . import lateness
from .models import PurchaseLine, PurchaseOrder, Reservation, ReservationLine, Stock
from .planning import Arrival, Supply, Taking

# A part on the shelf (None) or on one purchase line.
Where = tuple[int, int | None]
NOTHING = (0, 0)


class Coming(NamedTuple):
    """What a purchase line still brings; `left` of it is reserved for nobody. `on`: the day to count on."""

    line: PurchaseLine
    arrival: Arrival
    left: int
    on: date


class Brings(NamedTuple):
    """The same in plain figures, the line by its id."""

    part_id: int
    line_id: int
    arrival: Arrival
    left: int
    on: date


class _Kept(NamedTuple):
    """Pieces that a reservation keeps of a part, from the shelf or from a purchase line."""

    reservation_id: int
    part_id: int
    line_id: int | None
    quantity: int

    @property
    def where(self) -> Where:
        return self.part_id, self.line_id


class _Later(NamedTuple):
    """Pieces that a running reservation keeps for a later day."""

    where: Where
    day: date
    quantity: int


@dataclass(frozen=True)
class Figures:
    """What is known of some parts: on hand, of that kept, what comes, and what is wanted later."""

    today: date
    on_hand: dict[int, int]
    kept: dict[int, int]
    brings: list[Brings]
    later: list[_Later]

    def takings(self) -> Iterator[tuple[int, date, int]]:
        """Part, the day on which kept pieces leave, how many.

        What is kept from stock leaves today, what is tied to a delivery on the day that it is counted
        on; what is wanted later leaves later.
        """
        at_once: Counter[Where] = Counter({(part, None): kept for part, kept in self.kept.items()})
        days: dict[Where, date] = {}
        for part, line, arrival, left, on in self.brings:
            days[part, line] = on
            at_once[part, line] = arrival.quantity - left
        for where, day, quantity in self.later:
            at_once[where] -= quantity
            yield where[0], max(day, days.get(where, self.today)), quantity
        for where, quantity in at_once.items():
            if quantity > 0:
                yield where[0], days.get(where, self.today), quantity


@dataclass(frozen=True)
class Known(Figures):
    """The same of parts that were named, with the purchase lines themselves.

    `late` has the safety of their suppliers, for those who ask about the same ones.
    """

    coming: list[Coming]
    late: dict[int, int]

    def free(self, part_id: int) -> int:
        """On hand, and kept for nobody."""
        return self.on_hand[part_id] - self.kept[part_id]

    def shelf(self) -> dict[int, int]:
        """By part what is on hand and does not leave today."""
        wanted_later: Counter[int] = Counter()
        for (part, line), _, quantity in self.later:
            if line is None:
                wanted_later[part] += quantity
        return {part: self.free(part) + wanted_later[part] for part in self.on_hand}

    def supplies(self) -> dict[int, Supply]:
        """All of it by part, as planning takes it; nothing ordered anew."""
        takings: dict[int, list[Taking]] = defaultdict(list)
        arrivals: dict[int, list[Arrival]] = defaultdict(list)
        for part, day, quantity in self.takings():
            takings[part].append(Taking(day, quantity))
        for one in self.coming:
            arrivals[one.line.part_id].append(one.arrival)
        return {part: Supply(here, takings[part], arrivals[part]) for part, here in self.on_hand.items()}


def known_of(part_ids: Collection[int], now: datetime, but: Reservation | None = None) -> Known:
    """Read these parts. What the reservation `but` keeps counts as kept for nobody: so its owner sees it.

    The sums are read before the holds that are over: one that is swept up in between then counts as kept
    a moment longer, and nothing is promised twice.
    """
    parts = set(part_ids)
    stocks = _stocks(Stock.objects.filter(part_id__in=list(parts)))
    lines = _lines(parts)
    over = over_holds(parts, now)
    if but is not None:
        over += _kept_by(but, now)
    late = lateness.safety(line.order.supplier_id for line in lines)
    coming = _coming(lines, late, over, now)
    return Known(
        today=timezone.localdate(now),
        on_hand={part: stocks.get(part, NOTHING)[0] for part in parts},
        kept={part: max(0, stocks.get(part, NOTHING)[1] - over[part, None]) for part in parts},
        brings=[Brings(one.line.part_id, one.line.pk, *one[1:]) for one in coming],
        later=_later(parts, now, but),
        coming=coming,
        late=late,
    )


def figures_of_all(now: datetime) -> Figures:
    """All parts that have ever been on the shelf or are to come, in the same way."""
    stocks = _stocks(Stock.objects.all())
    rows = list(_to_come().order_by().values_list(*_TO_COME))
    over, today = over_holds(None, now), timezone.localdate(now)
    safety = lateness.safety({supplier for *_, supplier in rows})
    brings = []
    for part, line, quantity, received, reserved, due, first_due, supplier in rows:
        still = quantity - received
        arrival = lateness.arrival_of(line, due, first_due, safety[supplier], still)
        left = min(still, still - reserved + over[part, line])
        brings.append(Brings(part, line, arrival, left, arrival.expected(today)))
    named = stocks.keys() | {one.part_id for one in brings}
    return Figures(
        today=today,
        on_hand={part: stocks.get(part, NOTHING)[0] for part in named},
        kept={part: max(0, stocks.get(part, NOTHING)[1] - over[part, None]) for part in named},
        brings=brings,
        later=_later(None, now, None),
    )


def over_holds(part_ids: Collection[int] | None, now: datetime) -> Counter[Where]:
    """What holds keep that are over and not swept up yet; they are few, so they are looked for first."""
    over = Reservation.objects.filter(
        kind=Reservation.Kind.HOLD, state=Reservation.State.KEPT, until__lte=now
    )
    found: Counter[Where] = Counter()
    for one in _kept_lines(list(over.order_by().values_list("pk", flat=True)), part_ids):
        found[one.where] += one.quantity
    return found


def _kept_by(reservation: Reservation, now: datetime) -> Counter[Where]:
    """What a running reservation keeps; one that is over is among the others."""
    runs = reservation.until is None or reservation.until > now
    if reservation.state != Reservation.State.KEPT or not runs:
        return Counter()
    rows = reservation.lines.values_list("part_id", "purchase_line_id", "quantity")
    return Counter({(part, line): quantity for part, line, quantity in rows})


def coming(part_ids: Collection[int], now: datetime) -> list[Coming]:
    """What sent purchase orders still bring of these parts, by part and due date."""
    lines = _lines(part_ids)
    late = lateness.safety(line.order.supplier_id for line in lines)
    return _coming(lines, late, over_holds(part_ids, now), now)


def _stocks(rows: QuerySet[Stock]) -> dict[int, tuple[int, int]]:
    """By part what is on hand, and what of it is kept."""
    figures = rows.order_by().values_list("part_id", "on_hand", F("held") + F("committed"))
    return {part: (here, kept) for part, here, kept in figures}


def _later(part_ids: Collection[int] | None, now: datetime, but: Reservation | None) -> list[_Later]:
    waiting = Reservation.objects.filter(
        Q(until__isnull=True) | Q(until__gt=now),
        state=Reservation.State.KEPT,
        wanted_on__gt=timezone.localdate(now),
    )
    if but is not None:
        waiting = waiting.exclude(pk=but.pk)
    days = dict(waiting.order_by().values_list("pk", "wanted_on"))
    found = []
    for one in _kept_lines(list(days), part_ids):
        day = days[one.reservation_id]
        assert day is not None  # Asked for above.
        found.append(_Later(one.where, day, one.quantity))
    return found


def _kept_lines(reservations: list[int], part_ids: Collection[int] | None) -> list[_Kept]:
    """By the reservations first: a part may have had very many, long over."""
    if not reservations:
        return []
    wanted = None if part_ids is None else set(part_ids)
    lines = ReservationLine.objects.filter(reservation_id__in=reservations).order_by()
    rows = lines.values_list("reservation_id", "part_id", "purchase_line_id", "quantity")
    return [_Kept(*row) for row in rows if wanted is None or row[1] in wanted]


# The order is that of the figures in `figures_of_all`.
_TO_COME = ("part_id", "pk", "quantity", "received", "reserved", "due", "first_due", "order__supplier_id")


def _to_come() -> QuerySet[PurchaseLine]:
    """What sent purchase orders still bring."""
    return PurchaseLine.objects.filter(order__state=PurchaseOrder.State.SENT, quantity__gt=F("received"))


def _lines(part_ids: Collection[int]) -> list[PurchaseLine]:
    lines = _to_come().filter(part_id__in=list(part_ids))
    return list(lines.select_related("order__supplier").order_by("part_id", "due", "id"))


def _coming(
    lines: list[PurchaseLine], late: Mapping[int, int], over: Counter[Where], now: datetime
) -> list[Coming]:
    found, today = [], timezone.localdate(now)
    for line in lines:
        still = line.quantity - line.received
        arrival = lateness.arrival(line, late[line.order.supplier_id], still)
        left = min(still, still - line.reserved + over[line.part_id, line.pk])
        found.append(Coming(line, arrival, left, arrival.expected(today)))
    return found
