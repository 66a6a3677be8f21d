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

from operator import itemgetter
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
    """One kit at given levels: `share`, and `worths()` to say what another level of a part would do.

    The tables of its parts lie on one another, a row a level; `first[part]` is the row of level 0.
    """

    def __init__(self, book: Book[P], kit: int, levels: list[int]) -> None:
        import numpy as np

        demand = book.kits[kit]
        pair_of = {book.pairs[number].part: book.pairs[number] for number in book.pairs_of[kit]}
        longest = max(max(book.parts[part].leads) for part in pair_of)
        self.ratio, self.a_day = demand.variance_ratio, demand.a_year / DAYS_PER_YEAR
        self.minded = self.a_day * longest <= MOST_ORDERS
        self.states = enough(self.a_day * longest, self.ratio) if self.minded else 1
        self.known: dict[tuple[float, float], Floats] = {}
        # Groups in the order of their lead times, and where each lead time begins among them.
        groups = [(fmean(book.parts[part].mean_lead for part in group), group) for group in book.groups[kit]]
        groups.sort(key=itemgetter(0))
        days, steps = [day for day, _ in groups], sorted({day for day, _ in groups})
        self.begins = [days.index(step) for step in steps]
        self.step_of = np.array([steps.index(day) for day in days])
        self.moves = [self._orders(b - a) for a, b in zip([0.0, *steps], steps, strict=False)]
        self.moves[0] = np.convolve(self._ahead(), self.moves[0])[: self.states]
        self.parts = [part for _, group in groups for part in group]
        self.table: Table = np.concatenate(
            [self._table(book, pair_of[part], day) for day, group in groups for part in group]
        )
        ends = np.cumsum([book.rows[part].top + 1 for part in self.parts])
        self.tables = np.split(self.table, ends[:-1])
        self.first = dict(zip(self.parts, [0, *ends.tolist()], strict=False))
        self.step_of_part = {part: steps.index(day) for day, group in groups for part in group}
        sizes = [len(group) for _, group in groups]
        self.group_of = np.repeat(np.arange(len(groups)), sizes).tolist()
        self.ends: list[int] | None = None if max(sizes) == 1 else np.cumsum([0, *sizes])[:-1].tolist()
        self.levels = {part: levels[part] for part in self.parts}
        self.refresh()

    def share_with(self, levels: dict[int, int]) -> float:
        """The share with other levels of some parts."""
        import numpy as np

        wholes = np.multiply.reduceat(self._served(self.levels | levels), self.begins)
        # Up to the first lead time with another level all is as it was.
        first = min(self.step_of_part[part] for part in levels)
        way = self.forward[first]
        for move, whole in zip(self.moves[first + 1 :], wholes[first:-1], strict=True):
            way = np.convolve(way * whole, move)[: self.states]
        return float(way @ wholes[-1])

    def refresh(self) -> None:
        """Reckon `share` at the present levels."""
        import numpy as np

        self.served = self._served(self.levels)
        self.wholes = np.multiply.reduceat(self.served, self.begins)
        self.forward = self._forward(self.wholes)
        self.share = float(self.forward[-1] @ self.wholes[-1])

    def worths(self) -> Floats:
        """By row: the share with that level of its part, but for what is the same at all levels of a part."""
        import numpy as np

        slopes = self._weights()
        worths = [table @ slopes[group] for table, group in zip(self.tables, self.group_of, strict=True)]
        return np.concatenate(worths).astype(np.float64)

    def _forward(self, wholes: Floats) -> list[Floats]:
        """By step the chances of so many orders, and that nothing was missed in the steps before."""
        import numpy as np

        forward = [self.moves[0]]
        for move, whole in zip(self.moves[1:], wholes[:-1], strict=True):
            forward.append(np.convolve(forward[-1] * whole, move)[: self.states])
        return forward

    def _weights(self) -> Table:
        """[group, n]: the share is linear in what a group serves after n orders, and this is the slope."""
        import numpy as np

        backward = [np.ones(self.states)]
        for move, whole in zip(self.moves[:0:-1], self.wholes[:0:-1], strict=True):
            backward.append(np.convolve((whole * backward[-1])[::-1], move)[: self.states][::-1])
        ways = np.array(self.forward) * np.array(backward[::-1])
        # The product of the others is what matters for one group: all of it over its own, minding zeros.
        none = self.served == 0
        some = np.where(none, 1.0, self.served)
        zeros = np.add.reduceat(none.astype(np.int64), self.begins)
        wholes = np.multiply.reduceat(some, self.begins)
        alone = zeros[self.step_of] == none
        return np.where(alone, (ways * wholes)[self.step_of] / some, 0.0).astype(np.float32)

    def _served(self, levels: dict[int, int]) -> Floats:
        """[group, n]: the chance, after so many orders, that none of its parts is missed."""
        import numpy as np

        at = [self.first[part] + levels[part] for part in self.parts]
        found: Floats = self.table[at].astype(np.float64)
        if self.ends is not None:
            found = np.clip(1 - np.add.reduceat(1 - found, self.ends), 0, None)
        return found

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
