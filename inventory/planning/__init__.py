"""When to buy and how many, what can be promised for when, and how many kits the shelves give.

Pure: plain numbers in, plain numbers out; today is an argument. Callers import from this root.
"""

from .available import Arrival, Available, Taking, available, discrete, looked_back, safety_days
from .available_many import ManyAvailable, many_available
from .counts import Countable, Doubt, DueCount, classes_by_value, due_for_count
from .kit_bottlenecks import Bottleneck, bottlenecks
from .kit_programme import Unproven
from .kit_promise import KitPromise, PartPromise, Rush, Sooner, Supply, Swap, promise_day, sooner
from .kits_from_stock import KitPlan, missing_for, most_kits, most_of_each, most_together
from .ordering import PlanningError, daily_rate, lasts_until, order_by, order_quantity
from .slots import Filling, Slot, Template, pieces
from .work_days import WorkDays

__all__ = [
    "Arrival",
    "Available",
    "Bottleneck",
    "Countable",
    "Doubt",
    "DueCount",
    "Filling",
    "KitPlan",
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
    "Unproven",
    "WorkDays",
    "available",
    "bottlenecks",
    "classes_by_value",
    "daily_rate",
    "discrete",
    "due_for_count",
    "lasts_until",
    "looked_back",
    "many_available",
    "missing_for",
    "most_kits",
    "most_of_each",
    "most_together",
    "order_by",
    "order_quantity",
    "pieces",
    "promise_day",
    "safety_days",
    "sooner",
]
