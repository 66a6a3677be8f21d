"""When to buy and how many. Pure: plain numbers in, plain numbers out; today is an argument.

Callers import from this root.
"""

from .ordering import PlanningError, daily_rate, lasts_until, order_by, order_quantity

__all__ = ["PlanningError", "daily_rate", "lasts_until", "order_by", "order_quantity"]
