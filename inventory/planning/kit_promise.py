"""The day a whole kit can be promised for, and what would make it sooner.

A kit ships when the last of its parts is here and the shop's work on it is done. Common practice, no source.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from itertools import combinations

from .available import Arrival, Available, Taking, available
from .figures import plain_day, whole
from .ordering import PlanningError
from .slots import Part, Slot
from .work_days import WorkDays, done_by


@dataclass(frozen=True)
class Supply:
    """All that is known of one part. `anew`: the day on which any quantity is here if ordered today."""

    on_hand: int = 0
    takings: Sequence[Taking] = ()
    arrivals: Sequence[Arrival] = ()
    anew: date | None = None

    def available(self, today: date) -> Available:
        """What can be promised of it without ordering more."""
        return available(self.on_hand, self.takings, self.arrivals, today)


@dataclass(frozen=True)
class PartPromise:
    """One part of the kit, over all slots. `free` is what can be promised today.

    `to_order`: how many must be ordered today for `on` to be true; 0 when what is there and coming does.
    """

    part: Part
    wanted: int
    free: int
    on: date | None
    to_order: int


@dataclass(frozen=True)
class KitPromise:
    """`on`: the day the kit ships, None when a part has no day. `parts_on`: the day the work can begin."""

    on: date | None
    parts_on: date | None
    parts: tuple[PartPromise, ...]

    @property
    def waits_for(self) -> tuple[Part, ...]:
        """The parts that come last, or never; all that are here today wait for nothing."""
        return tuple(
            line.part
            for line in self.parts
            if line.on == self.parts_on and (line.on is None or line.free < line.wanted)
        )


@dataclass(frozen=True)
class Rush:
    """A delivery that comes sooner: the purchase line `line` of `part`, at place `place` of its arrivals."""

    part: Part
    place: int
    line: str


@dataclass(frozen=True)
class Swap:
    """Another filling for a slot: the one at `filling`, counted from 0, which is the present one."""

    slot: str
    filling: int


Change = Rush | Swap


@dataclass(frozen=True)
class Sooner:
    """Changes that only together make the kit ship on `on`, `days` sooner (None: sooner than never).

    Rushed deliveries are in time for it as late as `by`, which is None where none is rushed.
    """

    changes: tuple[Change, ...]
    on: date
    days: int | None
    by: date | None


def promise_day(
    slots: Sequence[Slot],
    supplies: Mapping[Part, Supply],
    today: date,
    *,
    work: WorkDays | None = None,
    minutes: int = 0,
    kits: int = 1,
) -> KitPromise:
    """The promise of `kits` kits, each slot filled with the first of its fillings.

    Wants for one part are added up over the slots. Work, `minutes` for one kit and that of its fillings,
    begins on the day the last part is here. Raises PlanningError when a part has no supply given.
    """
    whole(kits, "How many kits", 1)
    wants: Counter[Part] = Counter()
    for slot in slots:
        for part, quantity in slot.fillings[0].pieces.items():
            wants[part] += kits * slot.times * quantity
    lines = tuple(_part_promise(part, wanted, supplies, today) for part, wanted in wants.items())
    days = [line.on for line in lines if line.on is not None]
    bench = kits * (whole(minutes, "Minutes of work") + sum(s.times * s.fillings[0].minutes for s in slots))
    if len(days) < len(lines):
        return KitPromise(None, None, lines)
    parts_on = max(days, default=plain_day(today, "Today"))
    return KitPromise(done_by(work, parts_on, bench), parts_on, lines)


def sooner(
    slots: Sequence[Slot],
    supplies: Mapping[Part, Supply],
    today: date,
    *,
    rushed_to: date,
    together: int = 1,
    work: WorkDays | None = None,
    minutes: int = 0,
    kits: int = 1,
) -> tuple[Sooner, ...]:
    """What would make the promise sooner, the soonest first, then the fewest changes.

    A change is one delivery that comes on `rushed_to` (no day before today), or another filling of one
    slot. Sets of up to `together` changes are tried; one is told only if it beats each smaller set in it.
    """
    if plain_day(rushed_to, "The day a rushed delivery comes") < plain_day(today, "Today"):
        raise PlanningError(f"A delivery cannot be rushed to {rushed_to}: today is {today}.")
    whole(together, "How many changes together", 1)
    if len({slot.name for slot in slots}) < len(slots):
        raise PlanningError("Two slots of the kit have one name: give each its own.")
    promised = partial(promise_day, today=today, work=work, minutes=minutes, kits=kits)

    def day_with(changes: Sequence[Change], comes: date) -> date | None:
        return promised(*changed(slots, supplies, changes, comes, today)).on

    now = day_with((), rushed_to)
    changes = tuple(_changes(slots, supplies, rushed_to, today))
    best: dict[tuple[Change, ...], date | None] = {(): now}
    found: list[Sooner] = []
    for size in range(1, together + 1):
        for chosen in combinations(changes, size):
            if _swaps_twice(chosen):
                continue
            smaller = [best[rest] for rest in combinations(chosen, size - 1)]
            known = [day for day in smaller if day is not None]
            day, before = day_with(chosen, rushed_to), min(known, default=None)
            best[chosen] = min([*known, *([] if day is None else [day])], default=None)
            if day is not None and (before is None or day < before):
                by = _latest(partial(day_with, chosen), chosen, day, rushed_to, supplies, today)
                found.append(Sooner(chosen, day, None if now is None else (now - day).days, by))
    return tuple(sorted(found, key=lambda one: (one.on, len(one.changes))))


def changed(
    slots: Sequence[Slot],
    supplies: Mapping[Part, Supply],
    changes: Sequence[Change],
    comes: date,
    today: date,
) -> tuple[list[Slot], dict[Part, Supply]]:
    """The kit and its supplies as they would be after `changes`, what is rushed coming on `comes`.

    No delivery is made later by being rushed.
    """
    swaps = {change.slot: change.filling for change in changes if isinstance(change, Swap)}
    new_slots = [replace(slot, fillings=[slot.fillings[swaps.get(slot.name, 0)]]) for slot in slots]
    new_supplies = dict(supplies)
    for change in changes:
        if isinstance(change, Rush):
            arrivals = list(new_supplies[change.part].arrivals)
            arrival = arrivals[change.place]
            due = min(comes, arrival.expected(today))
            arrivals[change.place] = arrival._replace(due=due, safety_days=0)
            new_supplies[change.part] = replace(new_supplies[change.part], arrivals=arrivals)
    return new_slots, new_supplies


def _part_promise(part: Part, wanted: int, supplies: Mapping[Part, Supply], today: date) -> PartPromise:
    if part not in supplies:
        raise PlanningError(f"The supply of part {part!r} was not given.")
    supply = supplies[part]
    steps = supply.available(today)
    first, anew = steps.first_day(wanted), supply.anew
    if anew is not None and plain_day(anew, "The day of a new order's delivery") < today:
        raise PlanningError(f"What is ordered today does not come on {anew}: today is {today}.")
    if anew is None or (first is not None and first <= anew):
        return PartPromise(part, wanted, steps.at(today), first, 0)
    return PartPromise(
        part, wanted, steps.at(today), anew, _to_order(supply, wanted, steps.short, anew, today)
    )


def _to_order(supply: Supply, wanted: int, short: int, on: date, today: date) -> int:
    """How many must come on `on` for `wanted` more to be promised then, what is short covered as well."""
    plenty = wanted + short
    ordered = replace(supply, arrivals=[*supply.arrivals, Arrival(on, plenty)])
    return plenty - (ordered.available(today).at(on) - wanted)


def _changes(
    slots: Sequence[Slot], supplies: Mapping[Part, Supply], rushed_to: date, today: date
) -> Iterator[Change]:
    used = dict.fromkeys(part for slot in slots for filling in slot.fillings for part in filling.pieces)
    for part in used:
        arrivals = supplies[part].arrivals if part in supplies else ()
        for place, arrival in enumerate(arrivals):
            if arrival.expected(today) > rushed_to and arrival.quantity:
                yield Rush(part, place, arrival.line)
    for slot in slots:
        for filling in range(1, len(slot.fillings)):
            yield Swap(slot.name, filling)


def _swaps_twice(changes: Sequence[Change]) -> bool:
    slots = [change.slot for change in changes if isinstance(change, Swap)]
    return len(set(slots)) < len(slots)


def _latest(
    day_with: Callable[[date], date | None],
    changes: Sequence[Change],
    day: date,
    rushed_to: date,
    supplies: Mapping[Part, Supply],
    today: date,
) -> date | None:
    """The latest day on which what is rushed may come for the kit to ship on `day` still."""
    rushed = [supplies[one.part].arrivals[one.place] for one in changes if isinstance(one, Rush)]
    if not rushed:
        return None
    span = max((arrival.expected(today) - rushed_to).days for arrival in rushed)
    # The later it comes, the later the kit ships: the days that will do are the first so many.
    will_do = bisect_left(
        range(span + 1), True, key=lambda days: day_with(rushed_to + timedelta(days=days)) != day
    )
    return rushed_to + timedelta(days=will_do - 1)
