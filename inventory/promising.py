"""When could it ship? Plain reads, true by the clock: a hold that has lapsed counts for nothing here,
whether or not the sweeper has been round.

What can be promised of a part for a day follows the cumulative rule of `planning.available`: stock on hand
and deliveries as late as their supplier usually is, less what is kept for others by then.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from django.db.models.functions import Coalesce

from . import lateness
from .models import Offer, PurchaseLine, Reservation, Stock
from .planning import Available, ManyAvailable, Supply, Taking, many_available
from .supplying import Coming, Known, coming, figures_of_all, known_of, over_holds


@dataclass(frozen=True)
class PromiseLine:
    """`on` is the day the last piece is here, None when nobody offers it; `how` says where from.

    `free` is on the shelf and can be promised today; `to_order` has yet to be ordered.
    """

    part_id: int
    wanted: int
    free: int
    on: date | None
    how: str
    to_order: int = 0


@dataclass(frozen=True)
class Promise:
    """The day all of it could ship; None as soon as one line has no day."""

    on: date | None
    lines: tuple[PromiseLine, ...]

    @property
    def covered(self) -> bool:
        """All of it is there or to come, so that it can be kept as it is."""
        return not any(line.to_order for line in self.lines)


@dataclass(frozen=True)
class Inbound:
    """What is still to come on one purchase line and is reserved for nobody; `on`: the day to count on."""

    line: PurchaseLine
    left: int
    on: date


def free(part_ids: Iterable[int], now: datetime) -> dict[int, int]:
    """On hand, less what is committed and what is held by holds that still run."""
    wanted = set(part_ids)
    rows = Stock.objects.filter(part_id__in=wanted).values_list("part_id", "on_hand", "held", "committed")
    # The sums first: a hold that is swept up in between counts as kept a moment longer.
    here = {part: on_hand - held - committed for part, on_hand, held, committed in rows}
    over = over_holds(wanted, now)
    return {part: here.get(part, 0) + over[part, None] for part in wanted}


def to_come(part_ids: Iterable[int], now: datetime) -> dict[int, list[Inbound]]:
    """What sent purchase orders still bring and is reserved for nobody, soonest due first."""
    found: dict[int, list[Inbound]] = defaultdict(list)
    for one in coming(set(part_ids), now):
        if one.left > 0:
            found[one.line.part_id].append(Inbound(one.line, one.left, one.on))
    return dict(found)


def best_offers(part_ids: Iterable[int]) -> dict[int, Offer]:
    """The cheapest offer for each part that has one; of equally cheap ones the quickest."""
    offers = Offer.objects.filter(part_id__in=set(part_ids)).select_related("supplier")
    quickness = Coalesce("lead_days", "supplier__lead_days")
    best: dict[int, Offer] = {}
    for offer in offers.order_by("part_id", "price", quickness, "id"):
        best.setdefault(offer.part_id, offer)
    return best


@dataclass(frozen=True)
class Anew:
    """What is ordered today from the best offer is here on `on`; `late` days of that are for lateness."""

    offer: Offer
    late: int
    on: date


def ordered_anew(
    part_ids: Collection[int], today: date, late: Mapping[int, int] = lateness.NOBODY
) -> dict[int, Anew]:
    """By part the day on which any quantity is here if ordered today; nothing for what nobody offers.

    `late` is the safety of suppliers as far as it is known.
    """
    offers = best_offers(part_ids) if part_ids else {}
    late = lateness.safety((offer.supplier_id for offer in offers.values()), late)
    return {
        part: Anew(offer, late[offer.supplier_id], today + timedelta(offer.days + late[offer.supplier_id]))
        for part, offer in offers.items()
    }


def availability(part_ids: Iterable[int], now: datetime) -> dict[int, Available]:
    """How many of each part can be promised for which day, without ordering more."""
    known = known_of(set(part_ids), now)
    return {part: supply.available(known.today) for part, supply in known.supplies().items()}


def supplies(part_ids: Iterable[int], now: datetime) -> dict[int, Supply]:
    """The same as planning takes it, with the day on which more would be here if ordered today."""
    known = known_of(set(part_ids), now)
    anew = ordered_anew(known.on_hand.keys(), known.today, known.late)
    return {
        part: replace(supply, anew=anew[part].on if part in anew else None)
        for part, supply in known.supplies().items()
    }


def whole_shop(now: datetime) -> ManyAvailable[int]:
    """What can be promised of every part that has stock or is to come, in the same few queries."""
    known = figures_of_all(now)
    arrivals = (
        (part, arrival.due, arrival.quantity, arrival.safety_days) for part, _, arrival, _, _ in known.brings
    )
    return many_available(known.on_hand, known.takings(), arrivals, known.today)


class Turn(NamedTuple):
    """Somebody who waits with nothing kept: what they want (part: how many), and not before which day."""

    wants: Mapping[int, int]
    wanted_on: date | None = None


def promise(
    wants: Mapping[int, int], now: datetime, but: Reservation | None = None, after: Sequence[Turn] = ()
) -> Promise:
    """The day on which all of `wants` (part: how many) can be had, and what each part waits for.

    Today for what can be promised from the shelf, else the day on which the last delivery that is needed
    is counted on. What nothing brings is here when it would be if ordered today from the best offer.
    What the reservation `but` keeps counts as kept for nobody; those in `after` come first.
    """
    return in_turn([*after, Turn(wants)], now, but)[-1]


def in_turn(turns: Sequence[Turn], now: datetime, but: Reservation | None = None) -> list[Promise]:
    """What each can be promised who waits with nothing kept, the first before the second and so on.

    By the cumulative rule: each takes what is there and to come of all its parts on its own day, and
    nobody after it is promised a piece that it needs by then. The rest is ordered for it alone. Who has no
    day takes nothing.
    """
    left = _Left(turns, known_of({part for turn in turns for part in turn.wants}, now, but))
    return [left.take(turn) for turn in turns]


def supplies_after(
    turns: Sequence[Turn], part_ids: Iterable[int], now: datetime, but: Reservation | None = None
) -> dict[int, Supply]:
    """The supply of these parts as planning takes it, with what those take who have their turn before."""
    wanted = set(part_ids)
    left = _Left(turns, known_of(wanted.union(*(turn.wants for turn in turns)), now, but))
    for turn in turns:
        left.take(turn)
    return {part: left.supplies[part] for part in wanted}


class _Left:
    """What can be promised of each part, less what those took who were first."""

    def __init__(self, turns: Sequence[Turn], known: Known) -> None:
        self.today, self.shelf = known.today, known.shelf()
        self.supplies = known.supplies()
        self.steps = {part: supply.available(known.today) for part, supply in self.supplies.items()}
        total: Counter[int] = Counter()
        for turn in turns:
            total.update(turn.wants)
        beyond = [part for part, wanted in total.items() if wanted > self.steps[part].quantities[-1]]
        self.anew = ordered_anew(beyond, known.today, known.late)
        self.arriving: dict[int, list[Coming]] = defaultdict(list)
        for one in known.coming:
            self.arriving[one.line.part_id].append(one)

    def take(self, turn: Turn) -> Promise:
        """What a turn is promised: it takes that, but for what is ordered for it, on its own day."""
        lines = tuple(self._line(part, wanted) for part, wanted in sorted(turn.wants.items()))
        on = _last([self.today, *(line.on for line in lines)])
        if on is not None:
            day = max(on, turn.wanted_on or on)
            for line in lines:
                self._less(line.part_id, Taking(day, line.wanted - line.to_order))
        return Promise(on, lines)

    def _line(self, part: int, wanted: int) -> PromiseLine:
        return _promise_line(
            part, wanted, self.steps[part], self.shelf[part], self.arriving[part], self.anew.get(part)
        )

    def _less(self, part: int, taking: Taking) -> None:
        if taking.quantity:
            supply = self.supplies[part]
            self.supplies[part] = supply = replace(supply, takings=[*supply.takings, taking])
            self.steps[part] = supply.available(self.today)


def _last(days: Sequence[date | None]) -> date | None:
    known = [day for day in days if day is not None]
    return max(known) if len(known) == len(days) else None


def _promise_line(
    part_id: int, wanted: int, steps: Available, shelf: int, arriving: list[Coming], anew: Anew | None
) -> PromiseLine:
    here = min(shelf, steps.quantities[0])
    covered = min(wanted, steps.quantities[-1])
    on = steps.first_day(covered)
    assert on is not None  # So many there are.
    how = [f"{min(wanted, here)} on the shelf"] if here > 0 else []
    how += _said(covered, here, steps, arriving)
    missing = wanted - covered
    if not missing:
        return PromiseLine(part_id, wanted, here, on, ", ".join(how))
    if anew is None:
        how.append(f"{missing} that nobody offers")
        return PromiseLine(part_id, wanted, here, None, ", ".join(how), missing)
    late = f" and {anew.late} more to be safe" if anew.late else ""
    how.append(f"{missing} to order from {anew.offer.supplier}, {anew.offer.days} days{late}")
    return PromiseLine(part_id, wanted, here, max(on, anew.on), ", ".join(how), missing)


def _said(covered: int, here: int, steps: Available, arriving: list[Coming]) -> Iterator[str]:
    """Which deliveries bring what the shelf does not: step by step, of each day's the earliest due first."""
    told = min(covered, here)
    for day, quantity in zip(steps.days, steps.quantities, strict=True):
        for one in arriving:
            taken = min(covered, quantity) - told
            if one.on == day and taken > 0:
                pieces = min(taken, one.arrival.quantity)
                told += pieces
                yield _arrival(one, pieces, steps.today)


def _arrival(one: Coming, taken: int, today: date) -> str:
    line = one.line
    said = f"{taken} from {line.order.supplier} ({line.order.number}) due {line.due:%-d %b}"
    if line.due < today:
        return f"{said}, overdue: ask when it comes"
    return said if one.on == line.due else f"{said}, counted on for {one.on:%-d %b}"
