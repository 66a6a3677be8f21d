"""What another day of waiting costs, and from when it is felt. The rules are our own, and simple on purpose:

- Pieces not served: from the day a part is out, the day's demand is missed. A missed piece costs a share
  (`missed`) of what it carries: its price, or the kit that cannot go out without it. Waiting costs nothing
  yet while what is ordered today still comes before the part is out.
- Orders that wait, and quotes whose pieces come too late: a share a day (`waiting`) of what they are worth.
- What lies and is not asked for: the holding of a day, a year's share (`holding`) of its value over 365.
- More at once for less: what that saves, spread over the days that the larger lot lasts.

Money is Decimal in whole cents, rounded half up and never below zero.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import floor

from .ordering import DAYS_PER_YEAR, HORIZON_DAYS, PlanningError

CENT = Decimal("0.01")


@dataclass(frozen=True)
class Shares:
    """`missed` of what a piece carries, `waiting` of an order's worth a day, `holding` of a value a year."""

    missed: Fraction = Fraction(1, 5)
    waiting: Fraction = Fraction(1, 100)
    holding: Fraction = Fraction(1, 5)

    def __post_init__(self) -> None:
        if min(self.missed, self.waiting, self.holding) < 0:
            raise PlanningError("A share of what waits is never below zero.")


@dataclass(frozen=True)
class Saving:
    """What buying the larger lot saves in all, and the days that it lasts."""

    money: Decimal
    days: Fraction

    @property
    def a_day(self) -> Decimal:
        return _cents(Fraction(self.money) / self.days)


@dataclass(frozen=True)
class Lot:
    """So many pieces at once, and the price of each of them then."""

    pieces: int
    price: Decimal


def out_on(changes: Iterable[tuple[date, int]], rate: Fraction, today: date) -> date | None:
    """The first day on which less than nothing is left; None when that is beyond a year, or never.

    `changes` are what comes (above zero) and leaves by day, what is there today among them; a change of a
    day that is over counts today. At `rate` pieces a day more is asked for, from tomorrow on.
    """
    if rate < 0:
        raise PlanningError(f"Demand is never below zero: {rate} a day.")
    by_day: Counter[date] = Counter()
    for day, pieces in changes:
        by_day[max(day, today)] += pieces
    last = today + timedelta(days=HORIZON_DAYS)
    days = sorted({today, *(day for day in by_day if day <= last)})
    balance = 0
    for start, end in zip(days, [*days[1:], last + timedelta(days=1)], strict=True):
        balance += by_day[start]
        if balance < 0:
            return start
        if rate and (empty := balance // rate + 1) < (end - today).days:
            return max(start, today + timedelta(days=int(empty)))
    return None


def missed(
    rate: Fraction, carried: Decimal, out: date | None, here_again: date | None, by: Shares
) -> Decimal:
    """What it costs to order a day later, when the part is out on `out` and more is here on `here_again`.

    None for `here_again`: nobody knows when, so every day counts.
    """
    if out is None or (here_again is not None and here_again < out):
        return Decimal("0.00")
    return _cents(rate * Fraction(carried) * by.missed)


def waited_for(values: Iterable[Decimal], by: Shares) -> Decimal:
    """What another day costs while orders, or quotes, of these values wait."""
    return _cents(sum(map(Fraction, values), Fraction(0)) * by.waiting)


def lying(value: Decimal, by: Shares) -> Decimal:
    """What it costs that pieces of this value lie here for another day."""
    return _cents(Fraction(value) * by.holding / DAYS_PER_YEAR)


def saving(rate: Fraction, usual: Lot, larger: Lot, order_cost: Decimal, by: Shares) -> Saving | None:
    """What the larger lot saves over the days that it lasts; None if nothing, or if it lasts beyond a year.

    Compared is one large lot with as many usual ones as make up the same pieces: what the pieces cost, what
    the orders cost, and what is held meanwhile, on average half a lot.
    """
    if not 0 < usual.pieces < larger.pieces:
        raise PlanningError(f"A larger lot is above {usual.pieces} pieces, and that above none.")
    if rate <= 0 or larger.pieces > rate * HORIZON_DAYS:
        return None
    days = larger.pieces / rate
    orders = Fraction(larger.pieces, usual.pieces)
    dear = larger.pieces * Fraction(usual.price) + orders * Fraction(order_cost) + _held(usual, days, by)
    cheap = larger.pieces * Fraction(larger.price) + Fraction(order_cost) + _held(larger, days, by)
    money = _cents(dear - cheap)
    return Saving(money, days) if money > 0 else None


def best_saving(
    rate: Fraction, usual: Lot, breaks: Sequence[Lot], order_cost: Decimal, by: Shares
) -> tuple[Lot, Saving] | None:
    """The break that saves most a day, and what it saves; of equal ones the smaller lot."""
    savings = [
        (lot, one)
        for lot in breaks
        if lot.pieces > usual.pieces and (one := saving(rate, usual, lot, order_cost, by)) is not None
    ]
    if not savings:
        return None
    return max(savings, key=lambda both: (Fraction(both[1].money) / both[1].days, -both[0].pieces))


def _held(lot: Lot, days: Fraction, by: Shares) -> Fraction:
    return Fraction(lot.pieces, 2) * Fraction(lot.price) * by.holding * days / DAYS_PER_YEAR


def _cents(money: Fraction) -> Decimal:
    """Whole cents, rounded half up, exactly; never below zero."""
    return max(0, floor(money * 100 + Fraction(1, 2))) * CENT
