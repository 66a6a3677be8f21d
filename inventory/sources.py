"""Where pieces can be kept from: the free stock of a part, then what sent purchase orders still bring.

Plain values read from locked rows. Nothing here writes: `keeping` and `tying` do.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db.models import F, Sum

from .lateness import expected_days
from .models import PurchaseLine, PurchaseOrder, Stock


@dataclass
class Source:
    """Pieces of one part that nobody has yet: on the shelf today, or coming with `line` on `day`."""

    part_id: int
    day: date
    left: int
    line: PurchaseLine | None = None

    @property
    def line_id(self) -> int | None:
        return None if self.line is None else self.line.pk


@dataclass
class Allotment:
    """Where a want is kept from: stock on hand by part, then purchase lines; and what nothing covers."""

    from_stock: dict[int, int] = field(default_factory=dict)
    from_lines: list[tuple[PurchaseLine, int]] = field(default_factory=list)
    missing: dict[int, int] = field(default_factory=dict)

    @property
    def beyond_shelf(self) -> bool:
        """Is the shelf not enough?"""
        return bool(self.from_lines or self.missing)


class Pool:
    """All sources of some parts. What is taken from it is gone for the next one who takes."""

    def __init__(self, stocks: Mapping[int, Stock], coming: Iterable[PurchaseLine], today: date) -> None:
        self.today = today
        self.of_part: dict[int, list[Source]] = defaultdict(list)
        for part_id, stock in stocks.items():
            free = stock.on_hand - stock.held - stock.committed
            self.of_part[part_id].append(Source(part_id, today, free))
        lines = list(coming)
        days = expected_days(lines, today)
        for line in lines:
            left = line.quantity - line.received - line.reserved
            self.of_part[line.part_id].append(Source(line.part_id, days[line.pk], left, line))
        for sources in self.of_part.values():
            # The shelf first; of deliveries on one day the line that was ordered first.
            sources.sort(key=lambda one: (one.line is not None, one.day, one.line_id or 0))

    def give_back(self, part_id: int, line_id: int | None, quantity: int) -> None:
        """Put pieces that somebody kept back to where they were kept from."""
        next(one for one in self.of_part[part_id] if one.line_id == line_id).left += quantity

    def bring_less(self, line_id: int, pieces: int) -> None:
        """So many pieces of a purchase line will not come."""
        for sources in self.of_part.values():
            for one in sources:
                if one.line_id == line_id:
                    one.left -= pieces

    def take(self, part_id: int, quantity: int, wanted_on: date | None) -> list[tuple[Source, int]]:
        """Up to `quantity` pieces: the soonest sources first.

        Pieces that need not be here before `wanted_on` come from the latest source that is in time, so
        that what is here sooner stays free for whoever needs it sooner (available to promise looks back
        from the latest supply in the same way).
        """
        taken = []
        for source in self._in_order(part_id, wanted_on):
            if pieces := min(quantity, source.left):
                source.left -= pieces
                quantity -= pieces
                taken.append((source, pieces))
        return taken

    def _in_order(self, part_id: int, wanted_on: date | None) -> list[Source]:
        sources = self.of_part[part_id]
        if wanted_on is None or wanted_on <= self.today:
            return sources
        in_time = [one for one in sources if one.day <= wanted_on]
        return [*reversed(in_time), *(one for one in sources if one.day > wanted_on)]

    def allot(self, wants: Mapping[int, int], wanted_on: date | None) -> Allotment:
        """Take all of `wants`, as far as it goes."""
        allotment = Allotment()
        for part_id, wanted in sorted(wants.items()):
            taken = self.take(part_id, wanted, wanted_on)
            for source, pieces in taken:
                if source.line is None:
                    allotment.from_stock[part_id] = pieces
                else:
                    allotment.from_lines.append((source.line, pieces))
            if missing := wanted - sum(pieces for _, pieces in taken):
                allotment.missing[part_id] = missing
        return allotment


def kept_for_nobody(stocks: Mapping[int, Stock]) -> Counter[int]:
    """By part of these locked rows all that can still be kept at the most, on the shelf and to come."""
    found = Counter({part: one.on_hand - one.held - one.committed for part, one in stocks.items()})
    lines = PurchaseLine.objects.filter(
        part_id__in=list(stocks), order__state=PurchaseOrder.State.SENT, quantity__gt=F("received")
    )
    sums = (
        lines.order_by().values("part_id").annotate(left=Sum(F("quantity") - F("received") - F("reserved")))
    )
    found.update(dict(sums.values_list("part_id", "left")))
    return found


def coming(part_ids: Collection[int]) -> list[PurchaseLine]:
    """The lines of sent purchase orders that still bring some of these parts, locked by id."""
    if not part_ids:
        return []
    lines = PurchaseLine.objects.select_for_update(of=("self",)).select_related("order")
    return list(
        lines.filter(
            part_id__in=part_ids, order__state=PurchaseOrder.State.SENT, quantity__gt=F("received")
        ).order_by("id")
    )
