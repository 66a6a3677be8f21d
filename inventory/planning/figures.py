"""What every planner asks of the figures that it is given, and the one sentence that refuses them."""

from datetime import date

from .ordering import PlanningError


def whole(value: int, what: str, least: int = 0) -> int:
    """`value` if it is a plain whole number of at least `least`; a float or a truth value is none."""
    if type(value) is not int or value < least:
        raise PlanningError(f"{what}: a whole number of at least {least}, not {value!r}.")
    return value


def plain_day(value: date, what: str) -> date:
    """`value` if it is a day without a time of day."""
    if type(value) is not date:
        raise PlanningError(f"{what}: a day without a time of day, not {value!r}.")
    return value
