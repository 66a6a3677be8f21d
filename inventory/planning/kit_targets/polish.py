"""The last units: taken away, added and swapped one for another, by the better measure of the share.

Of every part two moves up and two down are kept: one unit, and the block of units that is worth most for
its money (the six bolts of a kit pay only together).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from math import inf
from typing import TYPE_CHECKING, Generic

from .asking import P
from .judging import Judge

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .clumps import Floats

# A gain below this is rounding.
NOTHING = 1e-9
# So many swaps that look good are tried before giving up, and so many are made at most.
TRIES = 8
MOST_SWAPS = 400
# Detours are dear where thousands of parts hang together, and matter most where there are few.
MOST_DETOURS = 12
# No share loses more than this.
ALL = 1.0
# No block is larger.
LARGEST_BLOCK = 16


@dataclass(frozen=True)
class _Block:
    """Lower levels of some parts: the share that they lose, the cents that they save."""

    levels: list[tuple[int, int]]
    loss: float
    saved: float


class Polish(Generic[P]):
    """The moves of all parts, kept up to date with the judge. Move m is of part m % parts; cents."""

    def __init__(self, judge: Judge[P]) -> None:
        import numpy as np

        self.judge = judge
        self.count = len(judge.levels)
        moves = 2 * self.count
        needs = [
            max((len(judge.book.pairs[pair].need) - 1 for pair in row.users), default=1)
            for row in judge.book.rows
        ]
        self.widths = np.minimum(needs, LARGEST_BLOCK)
        self.least = np.array([row.least for row in judge.book.rows])
        self.top = np.array([row.top for row in judge.book.rows])
        self.up: NDArray[np.int64] = np.zeros(moves, np.int64)
        self.down: NDArray[np.int64] = np.zeros(moves, np.int64)
        self.up_gain: Floats = np.zeros(moves)
        self.up_cost: Floats = np.full(moves, np.inf)
        self.down_loss: Floats = np.full(moves, np.inf)
        self.down_saved: Floats = np.zeros(moves)
        self.blocks: dict[int, list[_Block]] = {}
        self.barred: set[int] = set()
        self._look_at(range(self.count), judge.kits)

    def to_share(self, wanted: float) -> None:
        """As little money as such moves, swaps and detours can reach with at least the wanted share."""
        self._reach(wanted)
        detours = iter(range(MOST_DETOURS))
        while next(detours, None) is not None and any(
            self._detour(
                levels, lambda: self._reach(wanted), lambda: (self.judge.share < wanted, self.judge.money)
            )
            for levels in islice(self._downs(ALL), TRIES)
        ):
            pass

    def to_budget(self, budget: float) -> None:
        """As great a share as such moves, swaps and detours can reach within the budget, cents."""
        self._fill(budget)
        detours = iter(range(MOST_DETOURS))
        while next(detours, None) is not None and any(
            self._detour(
                levels, lambda: self._fill(budget), lambda: (self.judge.money > budget, -self.judge.share)
            )
            for levels in islice(self._downs(ALL), TRIES)
        ):
            pass

    def _reach(self, wanted: float) -> None:
        while self._add_toward(wanted):
            pass
        swaps = 0
        while self._take_away(wanted) or (swaps < MOST_SWAPS and self._swap_to_save(wanted)):
            swaps += 1

    def _fill(self, budget: float) -> None:
        while self._shed(budget):
            pass
        swaps = 0
        while self._add_within(budget) or (swaps < MOST_SWAPS and self._swap_to_gain(budget)):
            swaps += 1

    def _detour(
        self,
        levels: list[tuple[int, int]],
        repair: Callable[[], None],
        worse: Callable[[], tuple[bool, float]],
    ) -> bool:
        """Go without some units for good, and see whether the money does more elsewhere; else go back."""
        before, levels_before = worse(), list(self.judge.levels)
        self.barred = {part for part, _ in levels}
        self._set(levels)
        repair()
        self.barred = set()
        over, figure = worse()
        good = over <= before[0] and figure < before[1] - NOTHING
        back = [
            (part, self.judge.levels[part] if good else level) for part, level in enumerate(levels_before)
        ]
        changed = {part for part, _ in levels}
        self._set([pair for pair in back if pair[0] in changed or pair[1] != self.judge.levels[pair[0]]])
        return good

    def _add_toward(self, wanted: float) -> bool:
        import numpy as np

        if self.judge.share >= wanted:
            return False
        move = int(np.argmax(self.up_gain / np.maximum(self.up_cost, NOTHING)))
        if self.up_gain[move] <= 0:
            return False
        self._set([(move % self.count, int(self.up[move]))])
        return True

    def _take_away(self, wanted: float) -> bool:
        """Make the move down that frees most money for the share it loses, if the share can spare it."""
        spare = self.judge.share - wanted
        return any(self._tried(levels, lambda: self.judge.share >= wanted) for levels in self._downs(spare))

    def _shed(self, budget: float) -> bool:
        """While the budget is overdrawn, make the move down that frees most money for the share it loses."""
        before = self.judge.money
        downs = self._downs(ALL, before - budget) if before > budget else iter(())
        return any(self._tried(levels, lambda: self.judge.money < before) for levels in downs)

    def _downs(self, spare: float, short: float = inf) -> Iterator[list[tuple[int, int]]]:
        """The moves down that lose at most so much, the most worthy first; no more is saved than is short."""
        import numpy as np

        blocks = [block for blocks in self.blocks.values() for block in blocks]
        loss = np.concatenate([self.down_loss, [block.loss for block in blocks]])
        saved = np.concatenate([self.down_saved, [block.saved for block in blocks]])
        worth = np.where(loss <= spare, np.minimum(saved, short) / np.maximum(loss, NOTHING), -1.0)
        for move in np.argsort(-worth, kind="stable").tolist():
            if worth[move] < 0:
                return
            if move < len(self.down):
                yield [(move % self.count, int(self.down[move]))]
            else:
                yield blocks[move - len(self.down)].levels

    def _swap_to_save(self, wanted: float) -> bool:
        """A move up of one part, and a move down of a dearer one."""
        import numpy as np

        order = np.argsort(self.down_loss, kind="stable")
        best = _running_best(self.down_saved[order])
        spare = self.judge.share - wanted
        places = np.searchsorted(self.down_loss[order], spare + self.up_gain, side="right") - 1
        downs = order[best[np.maximum(places, 0)]]
        saves = np.where(places >= 0, self.down_saved[downs] - self.up_cost, -np.inf)
        saves[self.up_gain <= NOTHING] = -np.inf
        return self._swapped(saves, downs, lambda: self.judge.share >= wanted)

    def _add_within(self, budget: float) -> bool:
        import numpy as np

        able = (self.up_cost <= budget - self.judge.money) & (self.up_gain > NOTHING)
        if not able.any():
            return False
        move = int(np.argmax(np.where(able, self.up_gain / np.maximum(self.up_cost, NOTHING), -1.0)))
        return self._tried([(move % self.count, int(self.up[move]))], lambda: self.judge.money <= budget)

    def _swap_to_gain(self, budget: float) -> bool:
        """A move up of one part, paid for by a move down of another that is missed less."""
        import numpy as np

        order = np.argsort(-self.down_saved, kind="stable")
        best = _running_best(-self.down_loss[order])
        short = self.up_cost - (budget - self.judge.money)
        places = np.searchsorted(-self.down_saved[order], -short, side="right") - 1
        downs = order[best[np.maximum(places, 0)]]
        gains = np.full(len(short), -np.inf)
        able = (places >= 0) & np.isfinite(self.down_loss[downs])
        gains[able] = self.up_gain[able] - self.down_loss[downs[able]]
        before = self.judge.share
        return self._swapped(
            gains, downs, lambda: self.judge.share > before + NOTHING and self.judge.money <= budget
        )

    def _swapped(self, worth: Floats, downs: NDArray[np.int64], good: Callable[[], bool]) -> bool:
        """Try the swaps that look worth most, until one is."""
        import numpy as np

        for move in np.argsort(-worth)[:TRIES].tolist():
            down = int(downs[move])
            if worth[move] <= NOTHING:
                return False
            up, other = (move % self.count, int(self.up[move])), (down % self.count, int(self.down[down]))
            if up[0] != other[0] and self._tried([up, other], good):
                return True
        return False

    def _tried(self, levels: list[tuple[int, int]], good: Callable[[], bool]) -> bool:
        """Make the moves, and take them back unless all is good then."""
        before = [(part, self.judge.levels[part]) for part, _ in levels]
        touched = self.judge.move(levels)
        if not good():
            self.judge.move(before)
            return False
        parts = touched.union(part for part, _ in levels)
        # What blocks of other kits lose is a little out of date then; each is tried before it is believed.
        self._look_at(parts, {kit for part, _ in levels for kit in self.judge.users[part]})
        return True

    def _set(self, levels: list[tuple[int, int]]) -> None:
        self._tried(levels, lambda: True)

    def _look_at(self, parts: Iterable[int], kits: Iterable[int]) -> None:
        self._look(sorted(parts))
        for kit in kits:
            self.blocks[kit] = [
                _Block(
                    list(block.items()),
                    self.judge.block_loss(kit, block),
                    -sum(self.judge.cost(part, level) for part, level in block.items()),
                )
                for block in self.judge.blocks(kit)
            ]

    def _look(self, parts: list[int]) -> None:
        """Reckon the moves of some parts anew."""
        import numpy as np

        some, steps = np.array(parts, np.int64), np.arange(1, LARGEST_BLOCK + 1)
        levels, widths = np.array(self.judge.levels)[some], self.widths[some]
        room = np.minimum(self.top[some] - levels, np.where(np.isin(some, list(self.barred)), 0, widths))
        gains, cents = self.judge.nearby(some, steps)
        able = steps <= room[:, None]
        best = np.where(able, gains / np.maximum(cents, NOTHING), -np.inf).argmax(axis=1)
        for moves, at in ((some, np.zeros_like(best)), (some + self.count, best)):
            pick = (np.arange(len(some)), at)
            self.up[moves] = levels + at + 1
            self.up_gain[moves] = np.where(room > 0, gains[pick], 0.0)
            self.up_cost[moves] = np.where(room > 0, cents[pick], np.inf)
        spare = np.minimum(levels - self.least[some], widths)
        gains, cents = self.judge.nearby(some, -steps)
        able = steps <= spare[:, None]
        ratio = np.maximum(-gains, NOTHING) / np.maximum(-cents, NOTHING)
        # The lowest of those that are as good.
        best = LARGEST_BLOCK - 1 - np.where(able, ratio, np.inf)[:, ::-1].argmin(axis=1)
        for moves, at in ((some, np.zeros_like(best)), (some + self.count, np.minimum(best, spare - 1))):
            pick = (np.arange(len(some)), at)
            self.down[moves] = levels - at - 1
            self.down_loss[moves] = np.where(spare > 0, -gains[pick], np.inf)
            self.down_saved[moves] = np.where(spare > 0, -cents[pick], 0.0)


def _running_best(values: Floats) -> NDArray[np.int64]:
    """At each place the place, up to there, of the greatest value."""
    import numpy as np

    highest = np.maximum.accumulate(values)
    news = np.where(values == highest, np.arange(len(values)), 0)
    return np.asarray(np.maximum.accumulate(news), np.int64)
