"""Marginal analysis: always buy next what adds most to the logarithm of the share per money.

For one kit the product of the availabilities has a logarithm that is a sum over the parts. Each part's sum
is made concave by its hull over money (steps that pay only together are taken together: six bolts to a
kit, a whole pack), and then taking the steps by their slope gives every point of the hull of all
combinations of levels: nothing is better for the same money (Sherbrooke 1968, 2004; Fox 1966; from
memory). A heap would give the same order; with all steps known, sorting is quicker.

For several kits each kit's logarithm counts by its weight. That is where the search starts: the product is
on the safe side, and `descent` and `polish` go on from there by the better measure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Generic

from .asking import P
from .book import Book

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .clumps import Floats

    Whole = NDArray[np.int64]

# Stands for the logarithm of no chance at all.
NEVER = -700.0
# A gain below this is rounding.
ROUNDING = 1e-10


def hull(money: Sequence[float], value: Sequence[float], start: int) -> list[int]:
    """From `start` the levels on the least concave curve over (money, value), up to the best value.

    Money never falls from level to level. Of levels with the same money only the best is taken.
    """
    kept = [start]
    best = value[start]
    for level in range(start + 1, len(money)):
        if value[level] <= best + ROUNDING:
            continue
        best = value[level]
        while len(kept) > 1 and _below(money, value, kept[-2], kept[-1], level):
            kept.pop()
        kept.append(level)
    return kept


def _below(money: Sequence[float], value: Sequence[float], a: int, b: int, c: int) -> bool:
    """Whether point b lies on or below the line from a to c."""
    return (value[b] - value[a]) * (money[c] - money[a]) <= (value[c] - value[a]) * (money[b] - money[a])


@dataclass(frozen=True)
class Path:
    """Steps in the order of buying; `money[n]` and `share[n]` (the product bound) are those after n steps."""

    start: Whole
    part: Whole
    to: Whole
    money: Floats
    share: Floats

    def levels(self, steps: int) -> list[int]:
        """The level of each part after so many steps."""
        import numpy as np

        levels = self.start.copy()
        np.maximum.at(levels, self.part[:steps], self.to[:steps])
        return [int(level) for level in levels]


class Marginal(Generic[P]):
    """The logarithms of all pairs of a book, and the paths through them."""

    def __init__(self, book: Book[P]) -> None:
        import numpy as np

        self.book = book
        self.logs = []
        self.kits_of = []
        for row in book.rows:
            there = np.array([book.pairs[pair].there for pair in row.users]).reshape(
                len(row.users), row.top + 1
            )
            with np.errstate(divide="ignore"):
                self.logs.append(np.maximum(np.log(there), NEVER))
            self.kits_of.append(np.array([book.pairs[pair].kit for pair in row.users], np.int64))
        self.start = np.array([row.least for row in book.rows], np.int64)
        self.least_money = float(sum(row.money[row.least] for row in book.rows))

    def logs_at(self, levels: Sequence[int]) -> Floats:
        """By kit the logarithm of the product of its availabilities."""
        import numpy as np

        sums = np.zeros(len(self.book.kits))
        for logs, kits, level in zip(self.logs, self.kits_of, levels, strict=True):
            sums[kits] += logs[:, level]
        return sums

    def path(self, counts: Floats) -> Path:
        """All steps where each kit's logarithm counts so much."""
        import numpy as np

        steps: list[tuple[float, int, int, int]] = []
        for number, (row, logs, kits) in enumerate(zip(self.book.rows, self.logs, self.kits_of, strict=True)):
            if not len(kits) or row.top == row.least:
                continue
            value, money = (counts[kits] @ logs).tolist(), row.money.tolist()
            levels = hull(money, value, row.least)
            for a, b in pairwise(levels):
                cost = money[b] - money[a]
                steps.append((-(value[b] - value[a]) / cost if cost > 0 else -np.inf, number, a, b))
        # By slope, and within a part by level: on its hull the slopes fall strictly.
        steps.sort()
        part, before, after = (
            np.array(column, np.int64)
            for column in ([s[1] for s in steps], [s[2] for s in steps], [s[3] for s in steps])
        )
        costs = [self.book.rows[p].money[b] - self.book.rows[p].money[a] for _, p, a, b in steps]
        money_after = self.least_money + np.concatenate([[0.0], np.cumsum(costs)])
        return Path(self.start, part, after, money_after, self._shares(part, before, after))

    def _shares(self, part: Whole, before: Whole, after: Whole) -> Floats:
        """The weighted share after each step, kit by kit."""
        import numpy as np

        kits, gains, places = [np.zeros(0, np.int64)], [np.zeros(0)], [np.zeros(0, np.int64)]
        for step, (one, a, b) in enumerate(zip(part.tolist(), before.tolist(), after.tolist(), strict=True)):
            kits.append(self.kits_of[one])
            gains.append(self.logs[one][:, b] - self.logs[one][:, a])
            places.append(np.full(len(self.kits_of[one]), step + 1, np.int64))
        kit, gain, place = np.concatenate(kits), np.concatenate(gains), np.concatenate(places)
        change = np.zeros(len(part) + 1)
        for number, log in enumerate(self.logs_at(self.start.tolist())):
            mine = kit == number
            start = self.book.weights[number] * np.exp(log)
            shares = self.book.weights[number] * np.exp(log + np.cumsum(gain[mine]))
            change[0] += start
            np.add.at(change, place[mine], np.diff(shares, prepend=start))
        return np.cumsum(change)
