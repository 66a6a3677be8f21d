"""From the top down: what is not worth its money goes, by the better measure, as money grows dearer.

Parts of a kit help one another: the more of the others is there, the more one unit adds (the share is
supermodular in the levels). Adding unit after unit from nothing would so never begin; taking away from the
top works, for what goes makes the next the easier to spare. Each part in turn gets the level that is best
against all others, and parts that run short together are also tried together. Every step raises
share - price x money, so the descent ends.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import Generic

from .asking import P
from .judging import Judge

# A gain below this is rounding.
NOTHING = 1e-8


class Descent(Generic[P]):
    """Brings the levels of a judge to where no step is worth more, at a price of money in share per cent."""

    def __init__(self, judge: Judge[P]) -> None:
        self.judge = judge

    def settle(self, price: float) -> None:
        """Until no part alone, and no parts short together, do better with another level."""
        kits = list(self.judge.kits)
        while kits:
            self._settle_parts(price)
            touched: set[int] = set()
            for kit in kits:
                touched |= self._drop_blocks(kit, price)
            kits = self._kits_of(touched)

    def _settle_parts(self, price: float) -> None:
        """All that should go lower goes at once, as long as that pays; then one part after the other.

        What is not worth its money beside more of the others is not worth it beside fewer.
        """
        while True:
            best = {part: self._best(part, price) for part in self.judge.unsettled(price, NOTHING)}
            lower = {part: level for part, level in best.items() if level < self.judge.levels[part]}
            if len(lower) < 2 or not self._moved(lower, price):
                break
        self._settle_in_turn(price, best)

    def _settle_in_turn(self, price: float, parts: Iterable[int]) -> None:
        queue = deque(parts)
        waiting = set(queue)
        while queue:
            part = queue.popleft()
            waiting.discard(part)
            level = self._best(part, price)
            if level != self.judge.levels[part]:
                for other in sorted(self._moved({part: level}, price) - waiting - {part}):
                    queue.append(other)
                    waiting.add(other)

    def _best(self, part: int, price: float) -> int:
        """The level of one part that is worth most beside the present levels of the others."""
        row, level = self.judge.book.rows[part], self.judge.levels[part]
        if not row.users:
            return row.least
        money = row.money[row.least :] - row.money[level]
        worth = self.judge.gains(part, range(row.least, row.top + 1)) - price * money
        best = int(worth.argmax())
        return row.least + best if worth[best] > NOTHING else level

    def _drop_blocks(self, kit: int, price: float) -> set[int]:
        """Lower together what runs short together, where that pays. Returns the parts to look at again."""
        touched: set[int] = set()
        for block in self.judge.blocks(kit):
            saved = -sum(self.judge.cost(part, level) for part, level in block.items())
            if self.judge.block_loss(kit, block) < price * saved - NOTHING:
                touched |= self._moved(block, price)
        return touched

    def _moved(self, levels: dict[int, int], price: float) -> set[int]:
        """Set these levels if that is truly worth it, and return the parts to look at again.

        What was foreseen is too good where several parts of one slot are short at once: steps back and
        forth would never end.
        """
        before, old = self.judge.share, {part: self.judge.levels[part] for part in levels}
        cost = sum(self.judge.cost(part, level) for part, level in levels.items())
        touched = self.judge.move(levels.items())
        if self.judge.share - before - price * cost > NOTHING:
            return touched
        self.judge.move(old.items())
        return set()

    def _kits_of(self, parts: set[int]) -> list[int]:
        return sorted({kit for part in parts for kit in self.judge.users[part]})
