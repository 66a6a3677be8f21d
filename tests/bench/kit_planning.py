"""Targets of whole kits: many templates that share parts, beside equal service for each part for as much.

Both sets of levels are then run through the same simulated years, in which nothing is reckoned.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from inventory.planning.kit_targets import KitDemand, KitPart, Money, Need, Simulated, kit_targets, simulate
from inventory.planning.kit_targets.book import Book

from .alone import Spent, alone, say
from .table import Row

TEMPLATES: Final = 200
PARTS: Final = 3000
SLOTS: Final = 24
WANTED: Final = 0.9
YEARS: Final = 3.0
SEED: Final = 1

Shop = tuple[list[KitPart[int]], list[KitDemand[int]]]


@dataclass(frozen=True)
class Planned:
    """What a set of levels ties up, in cents, and the share of kits that it is said to complete."""

    levels: dict[int, int]
    cents: float
    share: float


def run() -> list[Row]:
    what = f"{TEMPLATES} templates of {SLOTS} parts share {PARTS:,}"
    whole = alone(whole_kits)
    equal = alone(part_by_part, whole.result.cents)
    seen = [alone(simulated, one.result.levels).result for one in (whole, equal)]
    return [
        _row(f"{what}: whole-kit targets, {WANTED:.0%} wanted", whole, seen[0], ""),
        _row(
            f"{what}: the same service for each part, for the same money",
            equal,
            seen[1],
            f"{(seen[0].share - seen[1].share) * 100:.1f} points fewer kits",
        ),
    ]


def _row(what: str, spent: Spent[Planned], seen: Simulated, ratio: str) -> Row:
    money = spent.result.cents / 100
    share = f"{seen.share:.1%} of kits complete in simulation (± {seen.error:.1%}), {money:,.0f} on hand"
    return Row(what, spent.told, share, ratio)


def shop() -> Shop:
    """Each part in one kit at least, the popular ones in many; few are dear, many cheap, some in packs."""
    chance = np.random.default_rng(SEED)
    cost = np.maximum(5, np.rint(np.exp(chance.normal(7.0, 1.6, PARTS)))).astype(int).tolist()
    lead = chance.choice([7.0, 10.0, 14.0, 21.0, 30.0, 45.0, 60.0], PARTS).tolist()
    popular = chance.pareto(1.2, PARTS) + 0.2
    popular /= popular.sum()
    parts = [KitPart(n, cost[n], lead[n], pack=10 if cost[n] < 60 else 1) for n in range(PARTS)]
    dealt = chance.permutation(PARTS)
    kits = []
    for number in range(TEMPLATES):
        own = set(dealt[number::TEMPLATES].tolist())
        while len(own) < SLOTS:
            own.add(int(chance.choice(PARTS, p=popular)))
        needs = {
            part: Need(
                int(chance.choice([4, 6, 8])) if cost[part] < 300 else 1,
                float(chance.choice([1, 1, 1, 0.5, 0.2])),
            )
            for part in sorted(own)
        }
        a_year, ratio = float(np.exp(chance.normal(2.5, 0.9))), float(chance.choice([1, 1, 1.5]))
        kits.append(KitDemand(f"kit {number}", a_year, needs, variance_ratio=ratio))
    return parts, kits


def whole_kits() -> Planned:
    found = kit_targets(*shop(), wanted_share=WANTED, progress=partial(say, "kit targets"))
    return Planned(found.levels, found.money_cents, found.share)


def part_by_part(budget: float) -> Planned:
    """The levels with the same least availability for every part, as high as the budget pays."""
    parts, kits = shop()
    book = Book(parts, kits, Money.ON_HAND)
    there = [_availability(book, number) for number in range(len(parts))]
    low, high = 0.0, 1.0
    best: list[int] = [row.least for row in book.rows]
    for _ in range(30):
        middle = (low + high) / 2
        levels = [min(int(np.searchsorted(one, middle)), len(one) - 1) for one in there]
        if _cents(book, levels) <= budget:
            low, best = middle, levels
        else:
            high = middle
    return Planned({one.part: level for one, level in zip(parts, best, strict=True)}, _cents(book, best), low)


def _availability(book: Book[int], number: int) -> NDArray[np.float64]:
    """At each level the least share, among the kits that take the part, of those that find it there."""
    pairs = [book.pairs[pair] for pair in book.rows[number].users]
    shares = np.min([1 - (1 - pair.there) / pair.taken for pair in pairs], axis=0)
    return np.maximum.accumulate(shares)


def _cents(book: Book[int], levels: list[int]) -> float:
    return float(sum(row.money[level] for row, level in zip(book.rows, levels, strict=True)))


def simulated(levels: dict[int, int]) -> Simulated:
    return simulate(*shop(), levels, years=YEARS, seed=SEED)
