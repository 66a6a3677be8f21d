"""What to order from whom: parts that are needed, put together into orders that suppliers take. PURE.

What is needed goes where it costs least in all: pieces at the price for so many, what is missed while a slow
delivery is awaited, and carriage once for each supplier. Then each line may grow to a price break, and each
order to what the supplier takes at least or brings for nothing, with what would be needed soonest anyway.
Common practice, no source; the tests hold it to brute force.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from .filling import fill_up, to_a_break
from .order_terms import NOTHING, House, Line, Plan, Planned, Terms, Wanted

__all__ = ["House", "Line", "Plan", "Planned", "Terms", "Wanted", "choose", "cost_of", "plan_orders"]


def plan_orders(wanted: Sequence[Wanted], houses: Iterable[House], plan: Plan | None = None) -> list[Planned]:
    """The orders for what is needed, by supplier. A part that nobody sells is in none."""
    plan, by_supplier = plan or Plan(), {house.supplier: house for house in houses}
    chosen = choose([one for one in wanted if one.needed > 0 and one.terms], by_supplier)
    orders: dict[int, dict[int, Line]] = {}
    of_part = {one.part: one for one in wanted}
    for part, terms in sorted(chosen.items()):
        orders.setdefault(terms.supplier, {})[part] = to_a_break(of_part[part], terms, plan)
    planned = []
    for supplier, lines in sorted(orders.items()):
        house = by_supplier[supplier]
        others = [one for one in wanted if one.part in lines or one.part not in chosen]
        filled = fill_up(lines, others, house, plan)
        goods = sum((line.value for line in filled.values()), NOTHING)
        rows = tuple(line for _, line in sorted(filled.items()))
        planned.append(Planned(supplier, rows, house.charge(goods)))
    return planned


def choose(wanted: Sequence[Wanted], houses: Mapping[int, House]) -> dict[int, Terms]:
    """By part the terms by which it is bought.

    Each part begins where it costs least by itself; then what saves most is done until nothing does: one part
    bought elsewhere, or a supplier left out by all who can. So with two suppliers whose carriage never ends,
    the outcome costs least of all, and with more no such step would save anything.
    """
    choice = _Choice(wanted, houses)
    while (best := min(choice.steps(), default=None, key=lambda one: one[0])) is not None and best[0] < 0:
        choice.take(best[1])
    return choice.chosen


class _Choice:
    """Where each part is bought, and what goes to each supplier by that."""

    def __init__(self, wanted: Sequence[Wanted], houses: Mapping[int, House]) -> None:
        self.wanted = {one.part: one for one in wanted}
        self.houses = houses
        self.costs = {
            (one.part, terms.supplier): (goods_of(one, terms), one.missed(terms))
            for one in wanted
            for terms in one.terms
        }
        self.chosen = {one.part: self.cheapest(one, one.terms) for one in wanted}
        self.goods: dict[int, Decimal] = {}
        self.parts: dict[int, set[int]] = {}
        for part, terms in self.chosen.items():
            self._put(part, terms)

    def cheapest(self, one: Wanted, terms: Iterable[Terms]) -> Terms:
        def cost(by: Terms) -> tuple[Decimal, int, int]:
            return sum(self.costs[one.part, by.supplier], NOTHING), by.days, by.supplier

        return min(terms, key=cost)

    def steps(self) -> Iterator[tuple[Decimal, dict[int, Terms]]]:
        """What each step costs more than now, below zero where it saves."""
        for part, one in self.wanted.items():
            for terms in one.terms:
                if terms.supplier != self.chosen[part].supplier:
                    yield self._more(step := {part: terms}), step
        for supplier, parts in self.parts.items():
            step = {}
            for part in parts:
                one = self.wanted[part]
                if elsewhere := [terms for terms in one.terms if terms.supplier != supplier]:
                    step[part] = self.cheapest(one, elsewhere)
            if step:
                yield self._more(step), step

    def take(self, step: Mapping[int, Terms]) -> None:
        for part, terms in step.items():
            before = self.chosen[part].supplier
            self.goods[before] -= self.costs[part, before][0]
            self.parts[before].remove(part)
            if not self.parts[before]:
                del self.parts[before], self.goods[before]
            self.chosen[part] = terms
            self._put(part, terms)

    def _put(self, part: int, terms: Terms) -> None:
        self.goods[terms.supplier] = (
            self.goods.get(terms.supplier, NOTHING) + self.costs[part, terms.supplier][0]
        )
        self.parts.setdefault(terms.supplier, set()).add(part)

    def _more(self, step: Mapping[int, Terms]) -> Decimal:
        goods: dict[int, Decimal] = {}
        moved: dict[int, int] = {}
        missed = NOTHING
        for part, terms in step.items():
            for supplier, sign in ((self.chosen[part].supplier, -1), (terms.supplier, 1)):
                value, lost = self.costs[part, supplier]
                goods[supplier] = goods.get(supplier, NOTHING) + sign * value
                moved[supplier] = moved.get(supplier, 0) + sign
                missed += sign * lost
        more = missed + sum(goods.values(), NOTHING)
        for supplier, change in goods.items():
            before, count = self.goods.get(supplier, NOTHING), len(self.parts.get(supplier, ()))
            house = self.houses[supplier]
            more -= house.charge(before) if count else NOTHING
            more += house.charge(before + change) if count + moved[supplier] else NOTHING
        return more


def cost_of(wanted: Iterable[Wanted], chosen: Mapping[int, Terms], houses: Mapping[int, House]) -> Decimal:
    """What all of it costs: pieces, what is missed, and carriage for each supplier."""
    goods: dict[int, Decimal] = {}
    missed = NOTHING
    for one in wanted:
        terms = chosen[one.part]
        goods[terms.supplier] = goods.get(terms.supplier, NOTHING) + goods_of(one, terms)
        missed += one.missed(terms)
    carriage = sum((houses[supplier].charge(value) for supplier, value in goods.items()), NOTHING)
    return sum(goods.values(), NOTHING) + carriage + missed


def goods_of(one: Wanted, terms: Terms) -> Decimal:
    """What the pieces cost that are needed, in whole packs."""
    return terms.cost(terms.whole(one.needed))
