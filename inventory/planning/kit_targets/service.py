"""The share of kits that ship complete from stock at given levels: bounds, a good estimate, exactly if small.

A kit that arrives takes all its parts at once and in turn (what is there is set aside for it, the rest
comes from its own replenishments), so it is complete from stock where of each part the demand in its lead
time, with the kit's own need, does not exceed the level (Song 1998; Song & Zipkin 2003; from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import factorial, fsum, prod
from typing import TYPE_CHECKING, Generic

from inventory.planning.ordering import DAYS_PER_YEAR, PlanningError

from .asking import KitDemand, KitPart, Money, Option, P, check
from .book import Book
from .clumps import ahead, cumulative, enough, mean_size, sizes, waves
from .kit_needs import tied_slots
from .own_orders import OwnOrders

if TYPE_CHECKING:
    from .clumps import Floats

MOST_TERMS = 2_000_000


@dataclass(frozen=True)
class Share:
    """Of one kit, or of all: the estimate, and what the true share is never below and never above."""

    least: float
    estimate: float
    most: float


def kit_shares(
    parts: Sequence[KitPart[P]], kits: Sequence[KitDemand[P]], levels: Mapping[P, int]
) -> dict[str, Share]:
    """By kit the share complete from stock at these levels.

    `least` is the product of the availabilities, `most` the smallest of them, `estimate` minds the orders
    of the same kit shortly before; it lies between the two, and not above the truth where all packs are 1.
    """
    book = Book(parts, kits)
    at = book.levels(levels)
    return {book.kits[kit].name: _share(book, kit, at) for kit in range(len(kits))}


def together(shares: Mapping[str, Share], kits: Sequence[KitDemand[P]]) -> Share:
    """The shares of several kits, each by its weight."""
    total = sum(kit.counts_for for kit in kits)
    parts = [(kit.counts_for / total, shares[kit.name]) for kit in kits]
    return Share(
        sum(weight * share.least for weight, share in parts),
        sum(weight * share.estimate for weight, share in parts),
        sum(weight * share.most for weight, share in parts),
    )


def tied_up(
    parts: Sequence[KitPart[P]],
    kits: Sequence[KitDemand[P]],
    levels: Mapping[P, int],
    *,
    money: Money = Money.ON_HAND,
) -> dict[P, int]:
    """By part the cents that these levels tie up, as `money` has it.

    A piece above a level that is as good as endless never leaves the shelf.
    """
    book = Book(parts, kits, money)
    found = {}
    for one, row in zip(book.parts, book.rows, strict=True):
        level = levels[one.part]
        idle = max(0, level - row.top) * one.cost_cents
        found[one.part] = round(float(row.money[min(level, row.top)])) + idle
    return found


def _share(book: Book[P], kit: int, levels: list[int]) -> Share:
    there = {
        pair.part: float(pair.there[levels[pair.part]])
        for pair in (book.pairs[number] for number in book.pairs_of[kit])
    }
    least = prod(max(0.0, 1 - sum(1 - there[part] for part in group)) for group in book.groups[kit])
    estimate = OwnOrders(book, kit, levels).share
    return Share(least, max(least, estimate), max(least, estimate, min(there.values())))


def exact_share(parts: Sequence[KitPart[P]], kit: KitDemand[P], levels: Mapping[P, int]) -> float:
    """The share of the only kit exactly, by going through all that its earlier orders can have taken.

    All lead times must be one and the same, all packs 1. Raises PlanningError otherwise, and where the
    cases are too many.
    """
    check(parts, [kit])
    by_name = {one.part: one for one in parts}
    used = [by_name[part] for slot in kit.slots for option in slot for part in option.parts]
    leads = {days for one in used for days in one.leads}
    if len(leads) > 1 or any(one.pack > 1 for one in used):
        raise PlanningError("The exact share wants one lead time for all parts, and packs of 1.")
    orders = _orders_found(kit, leads.pop())
    loose = {one.part: one.loose for one in used}
    tied = [_Tied(slots, loose, levels) for slots in tied_slots(kit)]
    if sum(one.terms(len(orders)) for one in tied) > MOST_TERMS:
        raise PlanningError("So many cases cannot be gone through: use kit_shares or simulate.")
    return fsum(
        chance * prod(one.served(count) for one in tied)
        for count, chance in enumerate(orders.tolist())
        if chance > 0
    )


def _orders_found(kit: KitDemand[P], days: float) -> Floats:
    """Chances of 0, 1, 2... earlier orders in the lead time and, before this one, in the same clump."""
    import numpy as np

    mean = kit.a_year * days / DAYS_PER_YEAR
    size = 1 << (3 * enough(mean * kit.variance_ratio) + int(30 * (kit.variance_ratio - 1))).bit_length()
    one = waves(np.array([0.0, 1.0]), size)
    flow = mean / mean_size(kit.variance_ratio) * (sizes(one, kit.variance_ratio) - 1)
    below = cumulative(np.exp(flow) * ahead(one, kit.variance_ratio), size)
    chances = np.diff(below, prepend=0.0)
    return chances[: int((below < 1 - 1e-12).sum()) + 1]


class _Tied(Generic[P]):
    """Slots that share parts: the chance that this order finds all it wants of them after so many others."""

    def __init__(
        self,
        slots: list[list[Option[P]]],
        loose: Mapping[P, Sequence[float]],
        levels: Mapping[P, int],
    ) -> None:
        self.outcomes = [outcome for outcome in _outcomes(slots) if outcome[0] > 0]
        self.below = {
            part: [sum(chances[: n + 1]) for n in range(len(chances))] for part, chances in loose.items()
        }
        self.levels = levels

    def terms(self, orders: int) -> int:
        kinds = len(self.outcomes)
        return orders * prod(range(orders, orders + kinds - 1)) // factorial(kinds - 1) * kinds

    def served(self, count: int) -> float:
        rates = [rate for rate, _ in self.outcomes]
        return sum(
            _multinomial(split, rates)
            * sum(rate * self._found(wanted, split) for rate, wanted in self.outcomes)
            for split in _splits(count, len(rates))
        )

    def _found(self, wanted: Mapping[P, int], split: Sequence[int]) -> float:
        chance = 1.0
        for part, quantity in wanted.items():
            taken = sum(n * other.get(part, 0) for n, (_, other) in zip(split, self.outcomes, strict=True))
            left, below = self.levels[part] - quantity - taken, self.below[part]
            chance *= 0.0 if left < 0 else below[min(left, len(below) - 1)]
        return chance


def _outcomes(slots: list[list[Option[P]]]) -> Iterator[tuple[float, dict[P, int]]]:
    """What one order can take of the slots, with its chance."""
    filled = [[*slot, Option(max(0.0, 1 - sum(one.take_rate for one in slot)), {})] for slot in slots]
    for chosen in product(*filled):
        wanted: dict[P, int] = {}
        for option in chosen:
            for part, quantity in option.parts.items():
                wanted[part] = wanted.get(part, 0) + quantity
        yield prod(option.take_rate for option in chosen), wanted


def _splits(count: int, kinds: int) -> Iterator[tuple[int, ...]]:
    if kinds == 1:
        yield (count,)
        return
    for first in range(count + 1):
        for rest in _splits(count - first, kinds - 1):
            yield (first, *rest)


def _multinomial(split: Sequence[int], rates: Sequence[float]) -> float:
    ways = factorial(sum(split)) // prod(factorial(n) for n in split)
    return ways * prod(rate**n for rate, n in zip(rates, split, strict=True))
