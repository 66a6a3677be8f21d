"""Levels of all parts together: least money for a wanted share of whole kits, or most share for a budget."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic

from inventory.planning.figures import whole
from inventory.planning.ordering import PlanningError

from .asking import KitDemand, KitPart, Money, P
from .book import Book
from .descent import Descent
from .judging import Judge
from .marginal import Marginal, Path
from .polish import Polish

# The descent starts where the product of availabilities serves this share of what it can serve at most.
START = 0.9995
# Prices of money, in share for all that is tied up at the start: the first, the step, and how many at most.
FIRST_PRICE, DEARER, PRICES = 0.005, 2.0, 16
# The frontier ends below this share, or below what is wanted if that is less; so many points more are drawn
# about the wanted one.
LOWEST, CLOSER = 0.5, 4
ROUNDS = PRICES + CLOSER + 3

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Why:
    """Why a part has its level.

    `availability`: of the kits that need the part, the share that finds it there (1 if no kit counts).
    One unit more would complete `one_more_kits` a year more and tie up `one_more_cents` more; None where
    the shelf or sense allows no more. One fewer would lose `one_fewer_kits` and free `one_fewer_cents`;
    None at the least level.
    """

    level: int
    availability: float
    one_more_kits: float | None
    one_more_cents: int | None
    one_fewer_kits: float | None
    one_fewer_cents: int | None


@dataclass(frozen=True)
class KitTargets(Generic[P]):
    """The answer. `share` of kits complete from stock, by weight; `shares` by kit: both on the safe side.

    `money_cents` is what `money` says, rounded up. `frontier`: (cents, share), both rising, the answer among
    them.
    """

    levels: dict[P, int]
    money: Money
    money_cents: int
    share: float
    shares: dict[str, float]
    frontier: list[tuple[int, float]]
    why: dict[P, Why]


def kit_targets(
    parts: Sequence[KitPart[P]],
    kits: Sequence[KitDemand[P]],
    *,
    wanted_share: float | None = None,
    budget_cents: int | None = None,
    money: Money = Money.ON_HAND,
    progress: Progress | None = None,
) -> KitTargets[P]:
    """The levels for a wanted share (above 0, below 1) or for a budget: give one of the two.

    Money is by default the expected stock on hand times cost (see `Money`). Parts that no kit needs get
    their least level. `progress(done, total)` is told now and then. Raises PlanningError for figures that
    cannot be, and where the shelves' limits or the least levels forbid what is wanted.
    """
    _one_aim(wanted_share, budget_cents)
    search = _Search(Book(parts, kits, money), progress or _silent)
    if wanted_share is not None:
        judge = search.to_share(wanted_share)
    else:
        assert budget_cents is not None
        judge = search.to_budget(budget_cents)
    return KitTargets(
        {one.part: level for one, level in zip(parts, judge.levels, strict=True)},
        money,
        _cents(judge.money),
        judge.share,
        dict(zip((kit.name for kit in kits), judge.shares().tolist(), strict=True)),
        _rising([(point.money, point.share) for point in search.points] + [(judge.money, judge.share)]),
        {one.part: _why(judge, number) for number, one in enumerate(parts)},
    )


def _silent(done: int, total: int) -> None:
    """Nobody listens."""


def _one_aim(wanted_share: float | None, budget_cents: int | None) -> None:
    if (wanted_share is None) == (budget_cents is None):
        raise PlanningError("Give either the wanted share or the budget.")
    if wanted_share is not None and not 0 < wanted_share < 1:
        raise PlanningError(f"The wanted share: above 0 and below 1, not {wanted_share!r}.")
    if budget_cents is not None:
        whole(budget_cents, "The budget in cents")


@dataclass(frozen=True)
class _Point:
    """Levels that nothing beats at a price of money, in share per cent; what they tie up and reach."""

    price: float
    money: float
    share: float
    levels: list[int]


class _Search(Generic[P]):
    """Points of the frontier from the top down, each from the one before; then the wanted one, polished."""

    def __init__(self, book: Book[P], progress: Progress) -> None:
        self.book, self.progress = book, progress
        self.judge = Judge(book, [row.top for row in book.rows])
        self.descent = Descent(self.judge)
        self.points: list[_Point] = []
        self._note(0.0)

    def to_share(self, wanted: float) -> Judge[P]:
        if self.judge.share < wanted:
            raise PlanningError(
                f"Only {self.judge.share:.1%} of the kits can be complete with what the shelves may hold: "
                "want less, or raise the most of the parts that miss most often."
            )
        self._draw(lambda: self.judge.share >= wanted)
        self._close_in(lambda point: point.share >= wanted)
        return self._best_polished(
            lambda point: point.share >= wanted,
            lambda polish: polish.to_share(wanted),
            lambda: (self.judge.share < wanted, self.judge.money),
        )

    def to_budget(self, budget: int) -> Judge[P]:
        least = sum(float(row.money[row.least]) for row in self.book.rows)
        if least > budget:
            raise PlanningError(
                f"The least levels alone tie up {_cents(least)} cents: raise the budget, or lower them."
            )
        self._draw(lambda: self.judge.money > budget)
        self._close_in(lambda point: point.money > budget)
        return self._best_polished(
            lambda point: point.money > budget,
            lambda polish: polish.to_budget(budget),
            lambda: (self.judge.money > budget, -self.judge.share),
        )

    def _best_polished(
        self,
        above: Callable[[_Point], bool],
        polish: Callable[[Polish[P]], None],
        worse: Callable[[], tuple[bool, float]],
    ) -> Judge[P]:
        """Polish from the nearest points on both sides, and keep the better end."""
        upper = min((point for point in self.points if above(point)), key=_money, default=None)
        lower = max((point for point in self.points if not above(point)), key=_money, default=None)
        ends = []
        for point in (upper, lower):
            if point is not None:
                self.judge.move_all(point.levels)
                polish(Polish(self.judge))
                ends.append((worse(), list(self.judge.levels)))
        self.judge.move_all(min(ends)[1])
        self.progress(ROUNDS, ROUNDS)
        return self.judge

    def _draw(self, above: Callable[[], bool]) -> None:
        """From where the product of availabilities serves nearly all kits, to below what is wanted."""
        marginal = Marginal(self.book)
        path = marginal.path(self.book.weights)
        self.judge.move_all(path.levels(_first(path, START * float(path.share[-1]))))
        self._note(0.0)
        price = FIRST_PRICE / max(self.judge.money, 1.0)
        for _ in range(PRICES):
            self.descent.settle(price)
            self._note(price)
            price *= DEARER
            if self.judge.share < LOWEST and not above():
                break

    def _close_in(self, above: Callable[[_Point], bool]) -> None:
        """More points where the wanted one lies, each from the point above it."""
        for _ in range(CLOSER):
            upper = max((point for point in self.points if above(point)), key=_price, default=None)
            lower = min((point for point in self.points if not above(point)), key=_price, default=None)
            if upper is None or lower is None or upper.price >= lower.price:
                return
            self.judge.move_all(upper.levels)
            price = (upper.price + lower.price) / 2
            self.descent.settle(price)
            self._note(price)

    def _note(self, price: float) -> None:
        self.points.append(_Point(price, self.judge.money, self.judge.share, list(self.judge.levels)))
        self.progress(len(self.points), ROUNDS)


def _first(path: Path, share: float) -> int:
    """After how many steps the path has the share; all of them where it never does."""
    import numpy as np

    return min(int(np.searchsorted(np.maximum.accumulate(path.share), share)), len(path.part))


def _price(point: _Point) -> float:
    return point.price


def _money(point: _Point) -> float:
    return point.money


def _cents(money: float) -> int:
    """Rounded up, but for what is only the rounding of floats."""
    return math.ceil(money - 1e-6)


def _rising(points: list[tuple[float, float]]) -> list[tuple[int, float]]:
    """The points that no other beats, by money."""
    rising: list[tuple[int, float]] = []
    for money, share in sorted(points, key=lambda point: (point[0], -point[1])):
        if not rising or (share > rising[-1][1] and _cents(money) > rising[-1][0]):
            rising.append((_cents(money), share))
    return rising


def _why(judge: Judge[P], number: int) -> Why:
    row, level, book = judge.book.rows[number], judge.levels[number], judge.book
    pairs = [book.pairs[pair] for pair in row.users]
    need = math.fsum(book.kits[pair.kit].a_year * pair.taken for pair in pairs)
    miss = math.fsum(book.kits[pair.kit].a_year * (1 - float(pair.there[level])) for pair in pairs)
    up, down = level < row.top, level > row.least
    return Why(
        level,
        1 - miss / need if need else 1.0,
        max(0.0, judge.gain_in_kits(number, level + 1)) if up else None,
        _cents(judge.cost(number, level + 1)) if up else None,
        max(0.0, -judge.gain_in_kits(number, level - 1)) if down else None,
        _cents(-judge.cost(number, level - 1)) if down else None,
    )
