"""Order quantities in whole packs, and the day by which to order.

The method is that of a reorder level with an order-up-to level, and a projection at a steady rate:
common practice, no source.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction

DAYS_PER_YEAR = 365
# Nothing is projected further than this: a part that hardly sells is in no hurry, and dates end.
HORIZON_DAYS = 365


class PlanningError(ValueError):
    """A figure that no shelf or supplier can have."""


def order_quantity(position: int, up_to: int, pack: int = 1, least: int = 1) -> int:
    """How many to order so that `position` (free and to come) reaches `up_to`: 0 when it has.

    Whole packs, and not fewer than `least`. The position may be below zero.
    """
    if pack < 1 or least < 1:
        raise PlanningError(f"A pack and a least order hold at least one piece, not {pack} and {least}.")
    if up_to < 0:
        raise PlanningError(f"One cannot order up to {up_to} pieces.")
    if position >= up_to:
        return 0
    packs = -(-max(up_to - position, least) // pack)
    return packs * pack


def daily_rate(monthly: Sequence[int]) -> Fraction:
    """Pieces a day, from the quantities of consecutive whole months, all of them, empty ones too.

    Exact: a twelfth of 365 days to the month. No months, no demand.
    """
    if any(quantity < 0 for quantity in monthly):
        raise PlanningError(f"A month's demand is never below zero: {list(monthly)}.")
    if not monthly:
        return Fraction(0)
    return Fraction(sum(monthly) * 12, len(monthly) * DAYS_PER_YEAR)


def lasts_until(position: int, rate: Fraction, today: date) -> date | None:
    """The day on which `position` pieces, used at `rate` a day, come to zero.

    None when that is beyond the horizon of a year, or never.
    """
    if rate < 0:
        raise PlanningError(f"Demand is never below zero: {rate} a day.")
    if position <= 0:
        return today
    if rate * HORIZON_DAYS < position:
        return None
    return today + timedelta(days=int(position / rate))


def order_by(position: int, rate: Fraction, lead_days: int, today: date) -> date:
    """The last day to order so that the delivery comes as the stock does to zero; never before today.

    What lasts beyond the horizon is treated as if it ended there.
    """
    if lead_days < 0:
        raise PlanningError(f"A delivery does not come before it is ordered: {lead_days} days.")
    end = lasts_until(position, rate, today) or today + timedelta(days=HORIZON_DAYS)
    return max(today, end - timedelta(days=lead_days))
