"""What is known before orders are put together: parts that are wanted, and how suppliers sell them. PURE."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from .ordering import DAYS_PER_YEAR, PlanningError, order_quantity

NOTHING = Decimal(0)
FOR_EVER = Fraction(10**9)  # Days: what does not sell lasts so long.


@dataclass(frozen=True)
class Terms:
    """By which a supplier sells a part. `breaks` are (from how many, price each); `days` until it is here."""

    supplier: int
    price: Decimal
    pack: int = 1
    least: int = 1
    breaks: tuple[tuple[int, Decimal], ...] = ()
    days: int = 0

    def __post_init__(self) -> None:
        if self.days < 0 or self.price < 0 or any(at < 2 or price < 0 for at, price in self.breaks):
            raise PlanningError(f"No supplier sells by such terms: {self}.")

    def whole(self, needed: int) -> int:
        """The least that they sell, to have at least `needed`."""
        return order_quantity(0, max(needed, 0), self.pack, self.least)

    def each(self, quantity: int) -> Decimal:
        reached = [(at, price) for at, price in self.breaks if at <= quantity]
        return max(reached)[1] if reached else self.price

    def cost(self, quantity: int) -> Decimal:
        return quantity * self.each(quantity)


@dataclass(frozen=True)
class House:
    """A supplier: the least order, what they charge to bring one, and from which value on they do not.

    `already` is the value of what is in a draft to them beside the lines here.
    """

    supplier: int
    least_value: Decimal = NOTHING
    carriage: Decimal = NOTHING
    free_from: Decimal | None = None
    already: Decimal = NOTHING

    def charge(self, goods: Decimal) -> Decimal:
        """For an order of goods of that value, with what is in the draft already."""
        total = goods + self.already
        return NOTHING if self.free_from is not None and total >= self.free_from else self.carriage


@dataclass(frozen=True)
class Wanted:
    """A part: so many of it are needed now, 0 where it could only fill an order up.

    `position` is what is free and to come, `reorder_at` where it will be ordered again, `rate` the pieces a
    day, `most` what the shelf takes. `loss` is what a piece costs that is asked for and not there.
    """

    part: int
    terms: tuple[Terms, ...]
    needed: int = 0
    position: int = 0
    reorder_at: int = 0
    rate: Fraction = Fraction(0)
    most: int | None = None
    loss: Decimal = NOTHING

    def from_(self, supplier: int) -> Terms | None:
        return next((one for one in self.terms if one.supplier == supplier), None)

    def missed(self, terms: Terms) -> Decimal:
        """What is lost while these take longer than what is here lasts."""
        lasts = Fraction(max(self.position, 0)) / self.rate if self.rate else FOR_EVER
        pieces = self.rate * max(Fraction(0), terms.days - lasts)
        return self.loss * pieces.numerator / pieces.denominator

    def room(self, horizon_days: int) -> int:
        """So many more can be ordered: they sell within the horizon and have a place on the shelf."""
        sells = int(self.rate * horizon_days) - self.position
        return max(0, sells if self.most is None else min(sells, self.most - self.position))

    def soon(self, ordered: int) -> Fraction:
        """In how many days it is ordered again, if so many are ordered now."""
        above = max(0, self.position + ordered - self.reorder_at)
        return above / self.rate if self.rate else FOR_EVER


@dataclass(frozen=True)
class Line:
    """Order so many: `needed` now, and more `for_break`, which `saves` so much, and `to_fill` up."""

    part: int
    quantity: int
    price: Decimal
    needed: int
    for_break: int = 0
    to_fill: int = 0
    saves: Decimal = NOTHING

    @property
    def value(self) -> Decimal:
        return self.quantity * self.price


@dataclass(frozen=True)
class Planned:
    """One order to one supplier."""

    supplier: int
    lines: tuple[Line, ...]
    carriage: Decimal

    @property
    def goods(self) -> Decimal:
        return sum((line.value for line in self.lines), NOTHING)


@dataclass(frozen=True)
class Plan:
    """How orders are reckoned: up to how many days ahead, and what it costs to hold a value for a year."""

    horizon_days: int = 180
    holding_rate: Decimal = Decimal("0.2")

    def holding(self, value: Decimal, days: Fraction) -> Decimal:
        """What it costs that so much lies here for so many days."""
        return value * self.holding_rate * days.numerator / (days.denominator * DAYS_PER_YEAR)
