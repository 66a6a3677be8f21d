"""The shop's own kit sales, for a back-test: what was sold day by day, and how its parts are bought."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from inventory.demand import kits_sold
from inventory.demand.reading import superseded
from inventory.lead_times import lead_times
from inventory.models import Demand
from inventory.planning.backtest import PastKits
from inventory.planning.demand import last_successors

from .alone import bought_columns
from .bought import Bought, Fate, bought
from .kits_wanted import sale_of, same_place
from .plan import Rates

LOOSE = (Demand.Kind.LOOSE, Demand.Kind.WORK)


def past_kits(today: date, months: int) -> PastKits[int]:
    """What was sold in the last whole months: kits, one-offs left out, and what went out by itself."""
    import numpy as np

    parts = [part for part in bought(today).values() if part.terms and part.fate is Fate.GOES_ON]
    going_on = {part.part_id for part in parts}
    ends = last_successors(superseded(today))
    until = today.replace(day=1)
    sold = [one for one in kits_sold(until, months) if not one.one_off]
    leads = lead_times((part.terms.supplier_id, part.part_id) for part in parts if part.terms)
    of_parts = [leads[part.terms.supplier_id, part.part_id] for part in parts if part.terms]
    none = np.zeros(len(parts))
    columns = bought_columns(parts, of_parts, Rates.of_the_shop(), none, none)
    sales = [sale_of(one, ends, going_on) for one in sold]
    since = min((sale.day for sale in sales), default=until)
    return PastKits(
        [part.part_id for part in parts],
        columns,
        of_parts,
        sales,
        _loose(parts, ends, since, until),
        same_place(ends),
    )


def _loose(
    parts: Sequence[Bought], ends: dict[int, int], since: date, until: date
) -> list[tuple[int, date, int]]:
    known = {part.part_id for part in parts}
    rows = Demand.objects.filter(kind__in=LOOSE, day__gte=since, day__lt=until, one_off=False)
    found = rows.order_by("day", "pk").values_list("part", "day", "quantity")
    named = ((ends.get(part, part), day, quantity) for part, day, quantity in found)
    return [one for one in named if one[0] in known]
