"""Rows of demand to break: one that is right, and the ways in which it could be wrong."""

from collections.abc import Callable
from datetime import date
from typing import Any

from inventory.models import Demand, Part
from tests.inventory.builders import a_part


def demand(part: Part | None = None, **values: Any) -> Demand:
    """One piece, sold loose."""
    given: dict[str, Any] = {"day": date(2031, 3, 17), "quantity": 1, "kind": Demand.Kind.LOOSE}
    return Demand.objects.create(part=part or a_part(), **given | values)


def for_itself() -> None:
    part = a_part()
    demand(part, first_choice=part)


DEMAND_BREAKS: dict[str, Callable[[], Any]] = {
    "demand_asks_for_something": lambda: demand(quantity=0),
    "demand_of_a_kit_counts_kits": lambda: demand(kit="belt-front", kits=0),
    "demand_in_a_kit_names_the_kit": lambda: demand(kind=Demand.Kind.KIT),
    "demand_stands_in_for_another": for_itself,
}
