"""Whole-kit targets beside the same service for every part and beside min and max by the normal curve.

Each policy learns from the first months and keeps its levels for the rest. What the others tie up is made
equal to what ours do, by the money that the replay itself finds on the shelves; and once more the others are
set so high that they complete as many kits, to see what that costs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Generic

from inventory.planning.demand.calendar import Calendar
from inventory.planning.forecasting import forecast_many
from inventory.planning.kit_targets import KitSale, bought_parts, bought_targets, kit_demands, levels_of
from inventory.planning.kit_targets.asking import P
from inventory.planning.lead_times import LeadTime
from inventory.planning.ordering import PlanningError
from inventory.planning.steadying import steadied
from inventory.planning.targets import PartColumns, many_targets

from .kits import Asked, Kept, KitReplay, Shelf, replay_kits
from .rules import PERIOD_DAYS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

OURS, EQUAL, NORMAL = "whole kits", "the same service for every part", "min and max by the normal curve"
HALVES = 14
# A policy's dial from the least to the most: a fill rate's distance from 1 as a power, a safety factor.
FILL_DIAL, FACTOR_DIAL = (0.1, 6.0), (-3.0, 8.0)


@dataclass(frozen=True, eq=False)
class PastKits(Generic[P]):
    """What was sold, and how each part is bought: a row of `columns` and a lead time for each of `names`.

    The demand in `columns` does not count: it is learnt. `loose` are (part, day, pieces) that no kit took.
    """

    names: Sequence[P]
    columns: PartColumns
    leads: Sequence[LeadTime]
    sales: Sequence[KitSale[P]]
    loose: Sequence[tuple[P, date, int]]
    same_place: Sequence[tuple[P, P]] = ()


@dataclass(frozen=True)
class KitOutcome:
    """A policy with as much money as ours, and where it completes as many kits; None if it never does.

    Where even its least levels tie up more than ours, `replay` is of those.
    """

    policy: str
    replay: KitReplay
    as_many_kits: KitReplay | None


@dataclass(frozen=True)
class KitBackTest:
    """`learnt` and `replayed` are months; `parts` those of the kits. Ours is the first of `outcomes`."""

    wanted: float
    learnt: int
    replayed: int
    parts: int
    outcomes: tuple[KitOutcome, ...]


def backtest_kits(
    past: PastKits[P], *, split: date, until: date, wanted: float, seed: int = 0
) -> KitBackTest:
    """Learn from what was sold before `split`, replay from there to before `until`; both begin a month.

    The first days of the replay, as long as the slowest part takes to come, do not count: a full shelf is
    nobody's merit. Raises PlanningError where too little was sold.
    """
    learnt = _learn(past, split)
    shop = _Shop(learnt, split, until, seed)
    ours = shop.replay(learnt.whole_kits(wanted))
    outcomes = [KitOutcome(OURS, ours, ours)]
    for name, levels, dial in (
        (EQUAL, learnt.equal_service, FILL_DIAL),
        (NORMAL, learnt.by_normal, FACTOR_DIAL),
    ):
        at = partial(shop.turned_to, levels)
        spends = _turned(at, dial, lambda one: one.cents <= ours.cents)
        serves = _turned(at, dial, lambda one: one.share < ours.share)
        outcomes.append(KitOutcome(name, spends[0], serves[1] if serves[1].share >= ours.share else None))
    calendar = Calendar("month")
    first = min(sale.day for sale in past.sales)
    return KitBackTest(
        wanted,
        calendar.number(split) - calendar.number(first),
        calendar.number(until) - calendar.number(split),
        len(learnt.past.names),
        tuple(outcomes),
    )


def _turned(
    at: Callable[[float], KitReplay], dial: tuple[float, float], below: Callable[[KitReplay], bool]
) -> tuple[KitReplay, KitReplay]:
    """The replays on both sides of the point of the dial up to which `below` holds, by halves."""
    (low, high), (under, over) = dial, (at(dial[0]), at(dial[1]))
    for _ in range(HALVES):
        middle = (low + high) / 2
        found = at(middle)
        if below(found):
            low, under = middle, found
        else:
            high, over = middle, found
    return under, over


@dataclass(frozen=True, eq=False)
class _Learnt(Generic[P]):
    """What the first months tell of the parts of kits; `past` is of these alone, `months` (parts, months)."""

    past: PastKits[P]
    columns: PartColumns
    months: Floats
    loose: Floats
    split: date

    def whole_kits(self, wanted: float) -> dict[P, Kept]:
        parts = bought_parts(self.past.names, self.columns, self.past.leads, self.loose)
        kits = kit_demands(self.past.sales, self.split, same_place=self.past.same_place)
        found = bought_targets(parts, kits, wanted_share=wanted)
        packs = dict(zip(self.past.names, self.columns.pack.tolist(), strict=True))
        return {
            one.part: Kept(*levels_of(found.levels[one.part], one.pack, packs[one.part])) for one in parts
        }

    def equal_service(self, dial: float) -> dict[P, Kept]:
        """Each part by itself with a fill rate of 1 less a tenth to the power of `dial`."""
        found = many_targets(replace(self.columns, fill_rate=self.columns.fill_rate * 0 + 1 - 10**-dial))
        levels = zip(found.reorder_at.tolist(), found.up_to.tolist(), strict=True)
        return {name: Kept(*both) for name, both in zip(self.past.names, levels, strict=True)}

    def by_normal(self, factor: float) -> dict[P, Kept]:
        """Mean and standard deviation of the months, `factor` of them above; the cheapest lot on top."""
        import numpy as np

        covered = (self.columns.leads.mean + self.columns.review_days) / PERIOD_DAYS
        mean = np.nanmean(self.months, axis=1)
        spread = np.sqrt(np.nanvar(self.months, axis=1) * covered)
        reorder_at = np.maximum(np.ceil(mean * covered + factor * spread - 1e-9).astype(np.int64) - 1, 0)
        lot = np.maximum(many_targets(self.columns).order_quantity, self.columns.pack)
        up_to = reorder_at + lot - self.columns.pack + 1
        levels = zip(reorder_at.tolist(), up_to.tolist(), strict=True)
        return {name: Kept(*both) for name, both in zip(self.past.names, levels, strict=True)}


def _learn(past: PastKits[P], split: date) -> _Learnt[P]:
    import numpy as np

    kits = kit_demands(past.sales, split, same_place=past.same_place)
    needed = {part for kit in kits for slot in kit.slots for option in slot for part in option.parts}
    rows = np.array([row for row, name in enumerate(past.names) if name in needed], np.int64)
    if not len(rows):
        raise PlanningError("No kit was sold in the months to learn from: give more months, or other ones.")
    some = replace(
        past,
        names=[past.names[row] for row in rows],
        columns=past.columns.rows(rows),
        leads=[past.leads[row] for row in rows],
    )
    months, loose = _months(some, split)
    covered = np.array([lead.mean_days for lead in some.leads]) + some.columns.review_days
    mean, variance = steadied(forecast_many(months)).over(covered / PERIOD_DAYS)
    over = covered / PERIOD_DAYS
    columns = replace(
        some.columns, mean=mean / over, variance=variance / over, period_days=np.full(len(rows), PERIOD_DAYS)
    )
    return _Learnt(some, columns, months, loose, split)


def _months(past: PastKits[P], split: date) -> tuple[Floats, Floats]:
    """Pieces by part and month before `split`, NaN before a part was first asked for; and the loose share."""
    import numpy as np

    calendar, row_of = Calendar("month"), {name: row for row, name in enumerate(past.names)}
    first = calendar.number(min(sale.day for sale in past.sales))
    table = np.zeros((len(row_of), calendar.number(split) - first))
    alone: Counter[P] = Counter()
    wants = [(part, sale.day, n) for sale in past.sales for part, n in sale.parts.items()]
    for kit, pieces in ((True, wants), (False, past.loose)):
        for part, day, quantity in pieces:
            if part in row_of and first <= calendar.number(day) < calendar.number(split):
                table[row_of[part], calendar.number(day) - first] += quantity
                alone[part] += 0 if kit else quantity
    total = table.sum(axis=1)
    loose = np.array([alone[name] for name in past.names]) / np.maximum(total, 1)
    started = np.cumsum(table, axis=1) > 0
    return np.where(started, table, np.nan), loose


class _Shop(Generic[P]):
    """The orders of the days to be replayed, and the shelves."""

    def __init__(self, learnt: _Learnt[P], split: date, until: date, seed: int) -> None:
        past, self.seed, self.days = learnt.past, seed, (until - split).days
        columns = past.columns
        self.shelves = [
            Shelf(
                name,
                round(float(columns.cents[row, 0])),
                {int(day): chance for day, chance in zip(*lead.spread, strict=True)},
                int(columns.review_days[row]),
                int(columns.pack[row]),
                int(columns.least[row]),
            )
            for row, (name, lead) in enumerate(zip(past.names, past.leads, strict=True))
        ]
        orders = [
            Asked((sale.day - split).days, sale.kits, sale.parts) for sale in past.sales if not sale.lost
        ]
        known = set(past.names)
        orders += [
            Asked((day - split).days, 0, {part: pieces}) for part, day, pieces in past.loose if part in known
        ]
        some = (order for order in orders if 0 <= order.day < self.days)
        self.asked = sorted(some, key=lambda order: order.day)
        self.since = min(max(shelf.longest for shelf in self.shelves), self.days // 2)
        if not any(order.kits and order.day >= self.since for order in self.asked):
            raise PlanningError("No kit was sold in the months to replay: give fewer months to learn from.")

    def replay(self, levels: Mapping[P, Kept]) -> KitReplay:
        return replay_kits(
            self.shelves, self.asked, levels, days=self.days, counted_from=self.since, seed=self.seed
        )

    def turned_to(self, levels: Callable[[float], Mapping[P, Kept]], dial: float) -> KitReplay:
        return self.replay(levels(dial))
