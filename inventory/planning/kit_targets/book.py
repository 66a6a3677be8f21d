"""Everything about each level of each part, reckoned once: what it costs and which share of kits it serves.

A kit that arrives finds of a part what was not taken in the lead time before it (Poisson arrivals see time
averages), so with level S it is served where the demand in the lead time, with its own need, is at most S.
A part bought in packs has a position spread evenly over S - pack + 1 .. S (Hadley & Whitin 1963, from
memory), which is the same as a further demand of 0 to pack - 1; different parts' are taken as independent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic

from inventory.planning.ordering import DAYS_PER_YEAR, PlanningError

from .asking import KitDemand, KitPart, Money, P, check
from .clumps import ahead, cumulative, mean_size, sizes, waves
from .kit_needs import groups, need_chances

if TYPE_CHECKING:
    from .clumps import Floats, Waves

# A level at which fewer than so many kits in one miss the part is as good as endless.
ENDLESS = 1e-6
NOTHING = 1e-12


@dataclass(frozen=True)
class Pair:
    """One part in one kit. `there[s]`: share of these kits that do not miss the part at level s.

    `flow` is the logarithm of the generating function of what these kits take in a day.
    """

    kit: int
    part: int
    need: Floats
    there: Floats
    flow: Waves

    @property
    def taken(self) -> float:
        """Share of these kits that need the part."""
        return 1 - float(self.need[0])


@dataclass(frozen=True)
class Row:
    """One part: levels from 0 to `top`; `money[s]` in cents; `users` are numbers of pairs that count."""

    least: int
    top: int
    money: Floats
    users: list[int]
    size: int
    total: Waves
    apart: Waves


class Book(Generic[P]):
    """All parts and kits by number, and the pairs of them."""

    def __init__(
        self, parts: Sequence[KitPart[P]], kits: Sequence[KitDemand[P]], money: Money = Money.ON_HAND
    ) -> None:
        import numpy as np

        check(parts, kits)
        self.parts, self.kits, self.money = list(parts), list(kits), money
        self.number = {one.part: number for number, one in enumerate(parts)}
        weights = np.array([kit.counts_for for kit in kits], np.float64)
        self.weights: Floats = weights / weights.sum()
        takers: list[list[tuple[int, Floats]]] = [[] for _ in parts]
        for number, kit in enumerate(kits):
            for part, chances in need_chances(kit).items():
                takers[self.number[part]].append((number, chances))
        self.pairs: list[Pair] = []
        self.rows = [self._row(number, takers[number]) for number in range(len(parts))]
        self.pairs_of: list[list[int]] = [[] for _ in kits]
        for number, pair in enumerate(self.pairs):
            self.pairs_of[pair.kit].append(number)
        self.groups = [[[self.number[part] for part in group] for group in groups(kit)] for kit in kits]

    def counted(self) -> list[int]:
        """Numbers of the kits that count in the share."""
        return [number for number, weight in enumerate(self.weights.tolist()) if weight > 0]

    def levels(self, wanted: Mapping[P, int]) -> list[int]:
        """The levels by number, none above its endless top; raises PlanningError for a part left out."""
        missing = [one.part for one in self.parts if one.part not in wanted]
        if missing:
            raise PlanningError(f"No level was given for part {missing[0]!r}.")
        return [min(wanted[one.part], row.top) for one, row in zip(self.parts, self.rows, strict=True)]

    def _row(self, number: int, takers: list[tuple[int, Floats]]) -> Row:
        import numpy as np

        part = self.parts[number]
        size = _grid(part, [(self.kits[kit], need) for kit, need in takers])
        flows = [_flow(self.kits[kit], waves(need, size)) for kit, need in takers]
        total = sum(flows, np.zeros(size // 2 + 1, np.complex128))
        apart = waves(np.asarray(part.loose, np.float64), size)
        apart = apart * waves(np.full(part.pack, 1 / part.pack), size)
        demand = (
            sum((share * np.exp(days * total) for days, share in part.leads.items()), np.zeros_like(total))
            * apart
        )
        theres = [_there(self.kits[kit], need, demand, size) for kit, need in takers]
        counted = [there for (kit, _), there in zip(takers, theres, strict=True) if self.weights[kit] > 0]
        top = part.least + max(
            (int((there[part.least :] < 1 - ENDLESS).sum()) for there in counted), default=0
        )
        top = min(top, size - 1) if part.most is None else min(top, part.most)
        top = max(top, part.least)
        money = self._money(part, cumulative(demand, size), top)
        first = len(self.pairs)
        for (kit, need), there, flow in zip(takers, theres, flows, strict=True):
            self.pairs.append(Pair(kit, number, need, _stretched(there, top + 1), flow))
        users = [first + at for at, (kit, _) in enumerate(takers) if self.weights[kit] > 0]
        return Row(part.least, top, money, users, size, total, apart)

    def _money(self, part: KitPart[P], below: Floats, top: int) -> Floats:
        """Cents at each level: the expected stock on hand grows by P(demand <= s) from s to s + 1."""
        import numpy as np

        if self.money is Money.LEVEL:
            return np.arange(top + 1, dtype=np.float64) * part.cost_cents
        held: Floats = np.concatenate([[0.0], np.cumsum(_stretched(below, top + 1)[:top])])
        return np.asarray(held * part.cost_cents, np.float64)


def _stretched(values: Floats, length: int) -> Floats:
    """The first `length` values, the last one repeated where there are fewer."""
    import numpy as np

    return np.concatenate([values[:length], np.full(max(0, length - len(values)), values[-1])])


def _flow(kit: KitDemand[P], need: Waves) -> Waves:
    clumps_a_day = kit.a_year / mean_size(kit.variance_ratio) / DAYS_PER_YEAR
    return clumps_a_day * (sizes(need, kit.variance_ratio) - 1)


def _there(kit: KitDemand[P], need: Floats, demand: Waves, size: int) -> Floats:
    """At each level the chance that a kit does not need the part or finds all its pieces."""
    import numpy as np

    wave = waves(need, size)
    found = cumulative(demand * ahead(wave, kit.variance_ratio) * (wave - need[0]), size)
    # What the transform leaves where there is nothing is no chance.
    return np.asarray(np.minimum(need[0] + np.where(found < NOTHING, 0.0, found), 1.0))


def _grid(part: KitPart[P], takers: Sequence[tuple[KitDemand[P], Floats]]) -> int:
    """A power of two of levels, beyond which the demand has no weight worth counting."""
    import numpy as np

    days = max(part.leads)
    mean = spread = most = tail = 0.0
    for kit, need in takers:
        pieces = np.arange(len(need))
        orders = kit.a_year * days / DAYS_PER_YEAR
        mean += orders * float(need @ pieces)
        spread += orders * kit.variance_ratio * float(need @ pieces**2)
        most = max(most, len(need) - 1)
        tail = max(tail, (len(need) - 1) * (8 + 25 * (kit.variance_ratio - 1)))
    span = mean + 12 * math.sqrt(spread) + tail + most + part.pack + len(part.loose) + part.least + 8
    return int(2 ** math.ceil(math.log2(span)))
