"""The better measure over all kits at once, and what one level more or less of a part would do to it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Generic

from .asking import P
from .book import Book
from .own_orders import OwnOrders

if TYPE_CHECKING:
    from .clumps import Floats

# Parts are missed about as often where the rarer miss is this share of the other.
ALIKE = 0.7


class Judge(Generic[P]):
    """All kits that count at given levels: `share` by weight, `money` in cents."""

    def __init__(self, book: Book[P], levels: Sequence[int]) -> None:
        self.book = book
        self.levels = list(levels)
        self.kits = {kit: OwnOrders(book, kit, self.levels) for kit in book.counted()}
        self.users = [[book.pairs[pair].kit for pair in row.users] for row in book.rows]

    @property
    def share(self) -> float:
        return math.fsum(float(self.book.weights[number]) * kit.share for number, kit in self.kits.items())

    @property
    def money(self) -> float:
        levels = zip(self.book.rows, self.levels, strict=True)
        return math.fsum(float(row.money[level]) for row, level in levels)

    def cost(self, part: int, level: int) -> float:
        """Cents more with another level of one part."""
        money = self.book.rows[part].money
        return float(money[level] - money[self.levels[part]])

    def gains(self, part: int, levels: range) -> Floats:
        """What the share would gain with each of these levels of one part."""
        import numpy as np

        changes = (self.book.weights[kit] * self.kits[kit].changes(part, levels) for kit in self.users[part])
        return sum(changes, np.zeros(len(levels)))

    def blocks(self, kit: int) -> list[dict[int, int]]:
        """Parts of one kit that are missed about as often, with one kit's need of each taken away.

        They were short together, of the same earlier orders: when one of them goes the others hardly help.
        """
        book = self.book
        missed = []
        for number in book.pairs_of[kit]:
            pair = book.pairs[number]
            level = self.levels[pair.part]
            lower = max(level - 1 - int(pair.need[1:].argmax()), book.rows[pair.part].least)
            if lower < level:
                missed.append((1 - float(pair.there[level]), pair.part, lower))
        missed.sort(reverse=True)
        blocks: list[dict[int, int]] = []
        head = 0.0
        for miss, part, lower in missed:
            if not blocks or miss < ALIKE * head:
                head = miss
                blocks.append({})
            blocks[-1][part] = lower
        return [block for block in blocks if len(block) > 1]

    def block_loss(self, kit: int, block: dict[int, int]) -> float:
        """What the share loses at most with these lower levels: of `kit` exactly, of others one by one.

        Parts help one another, so that together they lose no more than the sum.
        """
        loss = float(self.book.weights[kit]) * (self.kits[kit].share - self.kits[kit].share_with(block))
        for part, level in block.items():
            for other in self.users[part]:
                if other != kit:
                    change = self.kits[other].changes(part, range(level, level + 1))[0]
                    loss -= float(self.book.weights[other] * change)
        return loss

    def gain_in_kits(self, part: int, level: int) -> float:
        """What another level of one part would gain in complete kits a year."""
        return sum(
            float(self.kits[kit].changes(part, range(level, level + 1))[0]) * self.book.kits[kit].a_year
            for kit in self.users[part]
        )

    def move(self, levels: Iterable[tuple[int, int]]) -> set[int]:
        """Set levels, given as (part, level). Returns all parts of the kits that this touches."""
        kits = set()
        for part, level in levels:
            self.levels[part] = level
            for kit in self.users[part]:
                self.kits[kit].levels[part] = level
                kits.add(kit)
        for kit in kits:
            self.kits[kit].refresh()
        return {part for kit in kits for part in self.kits[kit].levels}

    def move_all(self, levels: Sequence[int]) -> None:
        """Set all levels."""
        pairs = enumerate(zip(self.levels, levels, strict=True))
        self.move([(part, new) for part, (old, new) in pairs if old != new])

    def shares(self) -> Floats:
        """By kit, also those that do not count."""
        import numpy as np

        kits = range(len(self.book.kits))
        return np.array(
            [
                (self.kits[kit] if kit in self.kits else OwnOrders(self.book, kit, self.levels)).share
                for kit in kits
            ]
        )
