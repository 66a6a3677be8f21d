"""The share of one kit complete from stock, given how many of the same kit were ordered shortly before.

All parts of a kit were drawn on by the same earlier orders of it: that is what ties their shortages
together. Given the number of those orders in each part's lead time, the rest of the demand is taken as
independent part by part. For one kit with constant lead times this is exact; with other kits about it is
a lower bound, and never below the product of the availabilities: the demands are sums of independent ones
and so associated (Esary, Proschan & Walkup 1967; Song 1998; from memory). Parts of one slot, of which a kit
takes one or another, go by the sum of their misses (Bonferroni).

The lead times in order, the number of orders in each is a Markov chain. Forward and backward sums over it
give for each part weights with which the share is linear in what that part's level does.
"""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING, Generic

from inventory.planning.ordering import DAYS_PER_YEAR

from .asking import P
from .book import Book, Pair
from .clumps import ahead, cumulative, enough, orders, orders_ahead, split, waves

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .clumps import Floats

    Table = NDArray[np.float32]

# A kit of which more are ordered in a lead time goes by the product of availabilities: its tables would
# be large, and the share of one more order small.
MOST_ORDERS = 250


class OwnOrders(Generic[P]):
    """One kit at given levels: `share`, and `weights[group]` to say what another level would do."""

    def __init__(self, book: Book[P], kit: int, levels: list[int]) -> None:
        import numpy as np

        demand = book.kits[kit]
        longest = max(max(book.parts[book.pairs[pair].part].leads) for pair in book.pairs_of[kit])
        self.ratio, self.a_day = demand.variance_ratio, demand.a_year / DAYS_PER_YEAR
        self.minded = self.a_day * longest <= MOST_ORDERS
        self.states = enough(self.a_day * longest, self.ratio) if self.minded else 1
        self.known: dict[tuple[float, float], Floats] = {}
        self.groups = book.groups[kit]
        self.days = [fmean(book.parts[part].mean_lead for part in group) for group in self.groups]
        self.tables: dict[int, Table] = {}
        group_of = {part: number for number, group in enumerate(self.groups) for part in group}
        for number in book.pairs_of[kit]:
            pair = book.pairs[number]
            self.tables[pair.part] = self._table(book, pair, self.days[group_of[pair.part]])
        steps = sorted(set(self.days))
        # Groups in the order of their lead times, and where each lead time begins among them.
        order = sorted(range(len(self.groups)), key=self.days.__getitem__)
        self.groups = [self.groups[number] for number in order]
        days = [self.days[number] for number in order]
        self.begins = [days.index(step) for step in steps]
        self.step_of = [steps.index(day) for day in days]
        self.row_of = {part: row for row, group in enumerate(self.groups) for part in group}
        self.moves = [self._orders(b - a) for a, b in zip([0.0, *steps], steps, strict=False)]
        self.moves[0] = np.convolve(self._ahead(), self.moves[0])[: self.states]
        self.levels = {part: levels[part] for group in self.groups for part in group}
        self.refresh()

    def changes(self, part: int, levels: range) -> Floats:
        """What the share would gain with each of these levels of one part."""
        import numpy as np

        table, weights = self.tables[part], self.weights[self.row_of[part]]
        return np.asarray(table[levels.start : levels.stop] @ weights - table[self.levels[part]] @ weights)

    def share_with(self, levels: dict[int, int]) -> float:
        """The share with other levels of some parts."""
        import numpy as np

        wholes = np.multiply.reduceat(self._served(self.levels | levels), self.begins)
        way = self.moves[0] * wholes[0]
        for move, whole in zip(self.moves[1:], wholes[1:], strict=True):
            way = np.convolve(way, move)[: self.states] * whole
        return float(way.sum())

    def refresh(self) -> None:
        """Reckon `share` and `weights` at the present levels."""
        import numpy as np

        served = self._served(self.levels)
        wholes = np.multiply.reduceat(served, self.begins)
        forward, backward = [self.moves[0]], [np.ones(self.states)]
        for move, whole in zip(self.moves[1:], wholes[:-1], strict=True):
            forward.append(np.convolve(forward[-1] * whole, move)[: self.states])
        for move, whole in zip(self.moves[:0:-1], wholes[:0:-1], strict=True):
            backward.append(np.convolve((whole * backward[-1])[::-1], move)[: self.states][::-1])
        self.share = float(forward[-1] @ wholes[-1])
        ways = np.array(forward) * np.array(backward[::-1])
        # The product of the others is what matters for one group: all of it over its own, minding zeros.
        none = served == 0
        some = np.where(none, 1.0, served)
        zeros = np.add.reduceat(none.astype(np.int64), self.begins)
        wholes = np.multiply.reduceat(some, self.begins)
        alone = zeros[self.step_of] == none
        weights = np.where(alone, (ways * wholes)[self.step_of] / some, 0.0)
        self.weights: Table = weights.astype(np.float32)

    def _served(self, levels: dict[int, int]) -> Floats:
        """[group, n]: the chance, after so many orders, that none of its parts is missed."""
        import numpy as np

        served = [
            self.tables[group[0]][levels[group[0]]]
            if len(group) == 1
            else np.clip(1 - sum(1 - self.tables[part][levels[part]] for part in group), 0, None)
            for group in self.groups
        ]
        return np.array(served, np.float64)

    def _orders(self, days: float) -> Floats:
        import numpy as np

        return orders(self.a_day * days, self.ratio, self.states) if self.minded else np.ones(1)

    def _ahead(self) -> Floats:
        import numpy as np

        return orders_ahead(self.ratio, self.states) if self.minded else np.ones(1)

    def _table(self, book: Book[P], pair: Pair, middle: float) -> Table:
        """[s, n]: the chance not to miss the part at level s, after n orders in `middle` days."""
        import numpy as np

        row, part = book.rows[pair.part], book.parts[pair.part]
        wave = waves(pair.need, row.size)
        now, others = row.apart * (wave - pair.need[0]), row.total - pair.flow
        if not self.minded:
            now, others = now * ahead(wave, self.ratio), row.total
        powers = np.cumprod(np.vstack([np.ones_like(wave), np.tile(wave, (self.states - 1, 1))]), axis=0)
        table = np.zeros((self.states, row.size))
        for days, share in part.leads.items():
            found = cumulative(powers * (now * np.exp(days * others)), row.size)
            table += share * self._between(middle, days) @ found
        table = np.minimum(pair.need[0] + table, 1.0)
        return np.ascontiguousarray(table[:, : row.top + 1].T, np.float32)

    def _between(self, middle: float, days: float) -> Floats:
        """[n, m]: the chance of m orders in `days` where there were n in `middle` days, own clump too."""
        import numpy as np

        if days == middle or not self.minded:
            return np.eye(self.states)
        if (middle, days) not in self.known:
            self.known[middle, days] = (
                self._longer(middle, days) if days > middle else self._shorter(middle, days)
            )
        return self.known[middle, days]

    def _longer(self, middle: float, days: float) -> Floats:
        import numpy as np

        more = self._orders(days - middle)
        return np.array([np.concatenate([np.zeros(n), more[: self.states - n]]) for n in range(self.states)])

    def _shorter(self, middle: float, days: float) -> Floats:
        """Those of the own clump stay; of the others a part falls into the shorter time."""
        import numpy as np

        clump, before = self._ahead(), self._orders(middle)
        parts = split(days / middle, self.a_day * middle, self.ratio, self.states)
        joint = np.zeros((self.states, self.states))
        for own, chance in enumerate(clump.tolist()):
            rest = self.states - own
            joint[own:, own:] += chance * before[:rest, None] * parts[:rest, :rest]
        return np.asarray(joint / np.maximum(joint.sum(axis=1, keepdims=True), 1e-300))
