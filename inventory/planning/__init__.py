"""When to buy how many, and what can be promised for when.

Pure: plain numbers in, plain numbers out; today is an argument. Callers import from this root.
"""

from .available import Arrival, Available, Taking, available, discrete, looked_back, safety_days
from .available_many import ManyAvailable, many_available
from .kit_promise import KitPromise, PartPromise, Rush, Sooner, Supply, Swap, promise_day, sooner
from .ordering import PlanningError, daily_rate, lasts_until, order_by, order_quantity
from .slots import Filling, Slot, Template, pieces
from .work_days import WorkDays

__all__ = [
    "Arrival",
    "Available",
    "Filling",
    "KitPromise",
    "ManyAvailable",
    "PartPromise",
    "PlanningError",
    "Rush",
    "Slot",
    "Sooner",
    "Supply",
    "Swap",
    "Taking",
    "Template",
    "WorkDays",
    "available",
    "daily_rate",
    "discrete",
    "lasts_until",
    "looked_back",
    "many_available",
    "order_by",
    "order_quantity",
    "pieces",
    "promise_day",
    "safety_days",
    "sooner",
]
