"""Which kits are asked for, with which parts, and how much of a part's demand comes from outside of kits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from inventory.demand import KitSold, kits_sold
from inventory.demand.reading import superseded
from inventory.models import Demand
from inventory.planning.demand import last_successors
from inventory.planning.kit_targets import KitDemand, KitSale, kit_demands

from .bought import Fate
from .plan import Plan

MONTHS = 24


@dataclass(frozen=True)
class Wanted:
    """The kits, and by part the share of its pieces that does not go into them."""

    kits: list[KitDemand[int]]
    loose: dict[int, float]

    @property
    def parts(self) -> list[int]:
        return sorted(self.loose)


def kits_wanted(plan: Plan) -> Wanted:
    """What was sold in kits in the last whole months, large orders that will not come again left out.

    A superseded part counts as the last of its line. What is not bought, or runs out, is left out of the
    kits: no target for others can bring it.
    """
    ends = last_successors(superseded(plan.today))
    until = plan.today.replace(day=1)
    sold = [one for one in kits_sold(until, MONTHS) if not one.one_off]
    going_on = {part.part_id for part in plan.parts.values() if part.terms and part.fate is Fate.GOES_ON}
    sales = [sale_of(one, ends, going_on) for one in sold]
    kits = kit_demands(sales, until, same_place=same_place(ends))
    needed = {part for kit in kits for slot in kit.slots for option in slot for part in option.parts}
    return Wanted(kits, _loose(needed, sales, plan))


def sale_of(sold: KitSold, ends: Mapping[int, int], going_on: Collection[int]) -> KitSale[int]:
    """A sale as planning has it: of parts that go on, superseded ones as the last of their line."""
    pieces: Counter[int] = Counter()
    for part, quantity in sold.parts.items():
        last = ends.get(part, part)
        if last in going_on:
            pieces[last] += quantity
    return KitSale(sold.kit, sold.day, sold.kits, pieces, sold.lost)


def same_place(ends: Mapping[int, int]) -> list[tuple[int, int]]:
    """Each part that went in another's place, with that one."""
    pairs = Demand.objects.exclude(kit="").exclude(first_choice=None).order_by()
    found = pairs.values_list("part", "first_choice").distinct()
    return [(ends.get(part, part), ends.get(first, first)) for part, first in found]


def _loose(parts: set[int], sales: list[KitSale[int]], plan: Plan) -> dict[int, float]:
    """By part the share of its demand that no kit took, in the months since kits are on record."""
    import numpy as np

    in_kits: Counter[int] = Counter()
    for sale in sales:
        in_kits.update(sale.parts)
    since = _first_month(sales, plan.today)
    months = np.array([month >= since for month in plan.asked.series.periods], np.bool_)
    found = {}
    for part in parts:
        row = plan.asked.series.values[plan.asked.row_of[part]]
        total = float(np.nansum(row[months])) if len(row) else 0.0
        found[part] = max(0.0, 1 - in_kits[part] / total) if total else 0.0
    return found


def _first_month(sales: list[KitSale[int]], today: date) -> date:
    return min((sale.day for sale in sales), default=today).replace(day=1)
