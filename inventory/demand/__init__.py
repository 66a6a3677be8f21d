"""What was asked of the shop, part by part: written down by acts as it happens, and read for planning."""

from .kits import KitSold, borrowed, kits_sold
from .one_offs import mark_one_off
from .rates import daily_rates
from .reading import known_demand, monthly
from .recording import Asked, came_back, made_up, missed, shipped, taken_apart
from .told_apart import PeriodOfDemand, told_apart

__all__ = [
    "Asked",
    "KitSold",
    "PeriodOfDemand",
    "borrowed",
    "came_back",
    "daily_rates",
    "kits_sold",
    "known_demand",
    "made_up",
    "mark_one_off",
    "missed",
    "monthly",
    "shipped",
    "taken_apart",
    "told_apart",
]
