"""The better measure over all kits at once, and what one level more or less of a part would do to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Generic

from .asking import P
from .book import Book
from .own_orders import OwnOrders

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .clumps import Floats

    Whole = NDArray[np.int64]

# Parts are missed about as often where the rarer miss is this share of the other.
ALIKE = 0.7


class Judge(Generic[P]):
    """All kits that count at given levels: `share` by weight, `money` in cents.

    What each level of each part is worth to all kits together is kept as a sum, which a kit that was moved
    is taken out of and put into again when it is next asked for.
    """

    def __init__(self, book: Book[P], levels: Sequence[int]) -> None:
        import numpy as np

        self.book = book
        self.levels = list(levels)
        self.kits = {kit: OwnOrders(book, kit, self.levels) for kit in book.counted()}
        self.users = [[book.pairs[pair].kit for pair in row.users] for row in book.rows]
        self.moneys = np.array([row.money[at] for row, at in zip(book.rows, levels, strict=True)], np.float64)
        self.shares_of = np.array(
            [self.kits[kit].share if kit in self.kits else 0.0 for kit in range(len(book.kits))]
        )
        self.first = np.cumsum([0, *(row.top + 1 for row in book.rows)]).tolist()
        # Levels below the least cost more than anything.
        self.money_at: Floats = np.concatenate(
            [np.where(np.arange(row.top + 1) < row.least, np.inf, row.money) for row in book.rows]
        )
        self.worth: Floats = np.zeros(self.first[-1])
        self.places = {number: self._places(kit) for number, kit in self.kits.items()}
        self.worths = {number: np.zeros(len(kit.table)) for number, kit in self.kits.items()}
        self.moved = set(self.kits)

    @property
    def share(self) -> float:
        return float(self.book.weights @ self.shares_of)

    @property
    def money(self) -> float:
        return float(self.moneys.sum())

    def cost(self, part: int, level: int) -> float:
        """Cents more with another level of one part."""
        money = self.book.rows[part].money
        return float(money[level] - money[self.levels[part]])

    def gains(self, part: int, levels: range) -> Floats:
        """What the share would gain with each of these levels of one part."""
        self._settle()
        first = self.first[part]
        gains: Floats = self.worth[first + levels.start : first + levels.stop]
        return gains - float(self.worth[first + self.levels[part]])

    def nearby(self, parts: Whole, steps: Whole) -> tuple[Floats, Floats]:
        """(parts, steps): what the share would gain, and the cents more, so many levels from the present.

        Beyond the last level, or below the first, as at that one.
        """
        import numpy as np

        self._settle()
        first, levels = np.array(self.first)[parts], np.array(self.levels)[parts]
        tops = np.array(self.first)[parts + 1] - first - 1
        there = first[:, None] + np.clip(levels[:, None] + steps, 0, tops[:, None])
        now = (first + levels)[:, None]
        return self.worth[there] - self.worth[now], self.money_at[there] - self.money_at[now]

    def unsettled(self, price: float, least: float) -> list[int]:
        """The parts that do better by more than `least` with another level, at a price of money."""
        import numpy as np

        self._settle()
        value = self.worth - price * self.money_at
        best = np.maximum.reduceat(value, self.first[:-1])
        now = value[np.array(self.first[:-1]) + self.levels]
        return [int(part) for part in np.flatnonzero(best - now > least)]

    def _places(self, kit: OwnOrders[P]) -> Whole:
        """Of each row of a kit's table its place among the levels of all parts."""
        import numpy as np

        return np.concatenate([np.arange(self.first[part], self.first[part + 1]) for part in kit.parts])

    def _settle(self) -> None:
        """Bring the worths up to date."""
        for number in self.moved:
            now = float(self.book.weights[number]) * self.kits[number].worths()
            self.worth[self.places[number]] += now - self.worths[number]
            self.worths[number] = now
        self.moved.clear()

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
        self._settle()
        own, worths = self.kits[kit], self.worths[kit]
        loss = float(self.book.weights[kit]) * (own.share - own.share_with(block))
        for part, level in block.items():
            now, first, mine = self.levels[part], self.first[part], own.first[part]
            loss += float(self.worth[first + now] - self.worth[first + level])
            loss -= float(worths[mine + now] - worths[mine + level])
        return loss

    def gain_in_kits(self, part: int, level: int) -> float:
        """What another level of one part would gain in complete kits a year."""
        self._settle()
        gained = 0.0
        for number in self.users[part]:
            first, worths = self.kits[number].first[part], self.worths[number]
            change = float(worths[first + level] - worths[first + self.levels[part]])
            gained += change / float(self.book.weights[number]) * self.book.kits[number].a_year
        return gained

    def move(self, levels: Iterable[tuple[int, int]]) -> set[int]:
        """Set levels, given as (part, level). Returns all parts of the kits that this touches."""
        kits = set()
        for part, level in levels:
            self.levels[part] = level
            self.moneys[part] = self.book.rows[part].money[level]
            for kit in self.users[part]:
                self.kits[kit].levels[part] = level
                kits.add(kit)
        for kit in kits:
            self.kits[kit].refresh()
            self.shares_of[kit] = self.kits[kit].share
        self.moved |= kits
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
