"""The promise of a whole quote, part by part, and what would make it sooner. Reads only.

Two things may: a delivery that is rushed, and another part in a slot that goes with the rest of its kit
as it is. The day is that of the acts: what stock and deliveries bring, what they do not ordered today, then
the shop works.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.utils import timezone

from inventory import planning
from inventory.models import Part, PurchaseLine
from inventory.planning import Arrival, Rush, Supply
from inventory.promising import PromiseLine, Turn, ordered_anew, promise, supplies_after
from kits.stand_ins import StandIn, stand_ins

from .bench_days import bench, kit_minutes, ships_on
from .models import Quote, QuoteKit, QuoteLine
from .quoting import live_hold
from .requoting import as_quoted
from .wants import date_kept, turns, wants_of

# Pairs are looked at where there are no more single changes than this.
FEW = 12
# What is no purchase line, but has to be ordered.
TO_ORDER = ""


@dataclass(frozen=True)
class Rushed:
    """A delivery that comes sooner; without a line it is what has to be ordered anew."""

    part: Part
    line: PurchaseLine | None

    def __str__(self) -> str:
        if self.line is None:
            return f"{self.part}, which has to be ordered, comes sooner"
        return f"{self.part} comes sooner from {self.line.order.supplier} ({self.line.order})"


@dataclass(frozen=True)
class SwappedOn:
    """Another part in a slot of a quoted kit."""

    kit: QuoteKit
    stand_in: StandIn

    def __str__(self) -> str:
        one = self.stand_in
        agrees = {"counter": "; the counter must agree", "customer": "; the customer must agree"}
        price = f"{one.price_difference:+.2f}"
        return f"{one.label} for {one.slot_name} ({price}{agrees.get(one.agreement, '')})"


@dataclass(frozen=True)
class Way:
    """Changes that only together make the quote ship on `on`, `days` sooner (None: sooner than never).

    What is rushed is in time as late as `by`.
    """

    on: date
    days: int | None
    by: date | None
    changes: tuple[Rushed | SwappedOn, ...]


@dataclass(frozen=True)
class QuotePromise:
    """`on` is None as soon as one part has no day; where the parts are `held` it is the day of these.

    `waits`: not all of it is here today.
    """

    on: date | None
    held: bool
    waits: bool
    lines: tuple[tuple[Part, PromiseLine], ...]
    sooner: tuple[Way, ...]

    @property
    def not_on_the_shelf(self) -> list[tuple[Part, PromiseLine]]:
        """The parts of which the shelf has fewer than are wanted, the latest first."""
        short = [pair for pair in self.lines if pair[1].free < pair[1].wanted]
        return sorted(short, key=lambda pair: pair[1].on or date.max, reverse=True)

    @property
    def on_the_shelf(self) -> int:
        """How many parts are all there."""
        return len(self.lines) - len(self.not_on_the_shelf)


def quote_promise(quote: Quote, now: datetime) -> QuotePromise:
    """When the quote could ship if it were accepted now, and what would make that sooner."""
    today, wants = timezone.localdate(now), wants_of(quote)
    held = live_hold(quote, now)
    promised = promise(wants, now, but=held)
    waiting = [] if promised.covered else turns()
    if waiting:
        promised = promise(wants, now, held, waiting)
    parts_on = date_kept(held, today) if held is not None else promised.on
    on = ships_on(quote, parts_on) if parts_on else None
    parts = Part.objects.select_related("maker").in_bulk(list(wants))
    lines = tuple((parts[line.part_id], line) for line in promised.lines)
    late = {line.part_id for line in promised.lines if line.on is None or line.on > today}
    ways = _ways(quote, late, wants, on, now, waiting) if late else ()
    return QuotePromise(on, held is not None, bool(late), lines, ways)


def _ways(
    quote: Quote,
    late: set[int],
    wants: Mapping[int, int],
    on: date | None,
    now: datetime,
    waiting: Sequence[Turn],
) -> tuple[Way, ...]:
    today = timezone.localdate(now)
    kits = {str(kit.pk): kit for kit in quote.kits.select_related("kit").prefetch_related("lines")}
    swaps = {name: _stand_ins(kit, late) for name, kit in kits.items()}
    slots = [slot for name, kit in kits.items() for slot in _slots(name, kit, swaps[name])]
    supplies = _supplies(quote, slots, wants, now, waiting)
    deliveries = sum(len(supplies[part].arrivals) for part in wants)
    candidates = sum(len(slot.fillings) - 1 for slot in slots)
    found = planning.sooner(
        slots,
        supplies,
        today,
        rushed_to=today + timedelta(days=1),
        together=2 if deliveries + candidates <= FEW else 1,
        work=bench(),
        minutes=sum(kit_minutes(kit) * kit.quantity for kit in kits.values()),
    )
    wanted = quote.wanted_on
    return tuple(
        _way(one, kits, swaps, max(one.on, wanted) if wanted else one.on, on)
        for one in found
        if on is None or (max(one.on, wanted) if wanted else one.on) < on
    )


def _stand_ins(kit: QuoteKit, late: set[int]) -> dict[str, list[StandIn]]:
    """What could fill the slots that wait, unless the kit is no longer as it was quoted."""
    waiting = {line.slot_code for line in kit.lines.all() if line.part_id in late}
    return stand_ins(kit.kit, waiting) if waiting and as_quoted(kit) else {}


def _slots(name: str, kit: QuoteKit, swaps: Mapping[str, Sequence[StandIn]]) -> list[planning.Slot]:
    """The kit as planning sees it: each slot with what was quoted, then what could stand in for it.

    A swap that would spare shop work is counted with the work, so that no day is too early.
    """
    pieces: dict[str, dict[int, int]] = defaultdict(dict)
    for line in kit.lines.all():
        if line.kind == QuoteLine.Kind.PART and line.part_id is not None:
            filled = pieces[line.slot_code]
            filled[line.part_id] = filled.get(line.part_id, 0) + line.quantity
    return [
        planning.Slot(
            f"{name}/{code}",
            [
                planning.Filling(filled),
                *(planning.Filling(dict(one.parts), max(0, one.minutes)) for one in swaps.get(code, [])),
            ],
            kit.quantity,
        )
        for code, filled in pieces.items()
    ]


def _supplies(
    quote: Quote,
    slots: Sequence[planning.Slot],
    wants: Mapping[int, int],
    now: datetime,
    waiting: Sequence[Turn],
) -> dict[int, Supply]:
    """Stock and deliveries, and what they lack as a delivery that would be ordered today."""
    most = dict(wants)
    for slot in slots:
        for filling in slot.fillings[1:]:
            for part, pieces in filling.pieces.items():
                present = slot.fillings[0].pieces.get(part, 0)
                needed = wants.get(part, 0) + slot.times * (pieces - present)
                most[part] = max(most.get(part, 0), needed)
    today = timezone.localdate(now)
    supplies = supplies_after(waiting, most, now, but=live_hold(quote, now))
    lacking = {
        part: wanted - plenty
        for part, wanted in most.items()
        if wanted > (plenty := supplies[part].available(today).quantities[-1])
    }
    for part, anew in ordered_anew(lacking.keys(), today).items():
        supply = supplies[part]
        ordered = Arrival(anew.on, lacking[part], 0, TO_ORDER)
        supplies[part] = replace(supply, arrivals=[*supply.arrivals, ordered])
    return supplies


def _way(
    found: planning.Sooner,
    kits: Mapping[str, QuoteKit],
    swaps: Mapping[str, Mapping[str, Sequence[StandIn]]],
    on: date,
    now_on: date | None,
) -> Way:
    changes: list[Rushed | SwappedOn] = []
    for change in found.changes:
        if isinstance(change, Rush):
            changes.append(_rushed(change))
        else:
            name, code = change.slot.split("/", 1)
            changes.append(SwappedOn(kits[name], swaps[name][code][change.filling - 1]))
    days = (now_on - on).days if now_on is not None else None
    return Way(on, days, found.by, tuple(changes))


def _rushed(change: Rush) -> Rushed:
    part = Part.objects.select_related("maker").get(pk=change.part)
    if change.line == TO_ORDER:
        return Rushed(part, None)
    return Rushed(part, PurchaseLine.objects.select_related("order__supplier").get(pk=int(change.line)))
