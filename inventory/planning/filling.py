"""Orders that grow: to a price break, to what the supplier takes at least, or brings for nothing. PURE.

Nothing grows beyond what sells within the horizon, or beyond what the shelf takes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from heapq import heapify, heappop, heappush

from .order_terms import NOTHING, House, Line, Plan, Terms, Wanted


def to_a_break(one: Wanted, terms: Terms, plan: Plan) -> Line:
    """What is needed, or as many as a price break asks for where that costs less.

    Bought only as needed now, the rest would be bought when this much is used up; bought at once it lies here
    for those days longer.
    """
    base = terms.whole(one.needed)
    price = terms.each(base)
    best, gain = base, NOTHING
    for at_least, _ in terms.breaks:
        quantity = terms.whole(at_least)
        more = quantity - base
        if more <= 0 or quantity > max(base, one.room(plan.horizon_days)) or not one.rate:
            continue
        each = terms.each(quantity)
        saves = quantity * (price - each) - plan.holding(more * each, Fraction(base) / one.rate)
        if saves > gain:
            best, gain = quantity, saves
    return Line(one.part, best, terms.each(best), one.needed, for_break=best - base, saves=gain)


def fill_up(lines: Mapping[int, Line], wanted: Iterable[Wanted], house: House, plan: Plan) -> dict[int, Line]:
    """The lines, raised and joined by others until the supplier takes the order, or brings it for nothing.

    With what is ordered again soonest, pack by pack. For free carriage only where that costs less than the
    carriage; what can never reach it is left as it is. To the least value it goes as far as it can.
    """
    filling = Filling(dict(lines), {one.part: one for one in wanted}, house, plan)
    if filling.goods < house.least_value:
        filling.reach(house.least_value)
    if house.free_from is not None and house.carriage and filling.goods < house.free_from:
        further = replace(filling, lines=dict(filling.lines), held=NOTHING)
        if further.reach(house.free_from) and further.held < house.carriage:
            filling = further
    return filling.lines


@dataclass
class Filling:
    """An order that is filled up; `held` is what it costs that what it adds lies here until it is needed."""

    lines: dict[int, Line]
    wanted: Mapping[int, Wanted]
    house: House
    plan: Plan
    held: Decimal = field(default=NOTHING)

    @property
    def goods(self) -> Decimal:
        return sum((line.value for line in self.lines.values()), self.house.already)

    def reach(self, value: Decimal) -> bool:
        """Add what is needed soonest until the goods are worth so much. Returns whether they are."""
        goods = self.goods
        # What is added changes the next step of its own part alone.
        steps = [step for one in self.wanted.values() if (step := self._step(one)) is not None]
        heapify(steps)
        while goods < value and steps:
            _, part, quantity = heappop(steps)
            goods += self._add(self.wanted[part], quantity)
            if (step := self._step(self.wanted[part])) is not None:
                heappush(steps, step)
        return goods >= value

    def _step(self, one: Wanted) -> tuple[Fraction, int, int] | None:
        """When the part is ordered again, and the next quantity of it that is sold and has room."""
        terms = one.from_(self.house.supplier)
        if terms is None or not one.rate:
            return None
        line = self.lines.get(one.part)
        now = line.quantity if line else 0
        quantity = terms.whole(now + 1)
        if quantity > one.room(self.plan.horizon_days) or terms.cost(quantity) <= terms.cost(now):
            return None
        return one.soon(now), one.part, quantity

    def _add(self, one: Wanted, quantity: int) -> Decimal:
        """Order so many of it; returns what the goods are worth more."""
        terms = one.from_(self.house.supplier)
        assert terms is not None  # Or it were no step.
        line = self.lines.get(one.part) or Line(one.part, 0, terms.price, 0)
        more, each = quantity - line.quantity, terms.each(quantity)
        self.held += self.plan.holding(more * each, one.soon(line.quantity))
        raised = replace(line, quantity=quantity, price=each, to_fill=line.to_fill + more)
        self.lines[one.part] = raised
        return raised.value - line.value
