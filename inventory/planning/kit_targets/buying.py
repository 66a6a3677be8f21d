"""Whole-kit targets of parts as a shop buys them: in cheapest lots, with sales of their own besides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from inventory.planning.lead_demand import demand_over
from inventory.planning.lead_times import LeadTime
from inventory.planning.ordering import PlanningError
from inventory.planning.targets import ManyTargets, PartColumns, many_targets
from inventory.planning.targets.lots import unit_cents

from .asking import KitDemand, KitPart, P
from .choosing import KitTargets, Progress, kit_targets
from .lots import kept, settled

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

# What sells by itself in at least this share keeps what those customers want, whatever the kits say.
LOOSE_COUNTS = 0.25
SEARCHES = 3


def bought_parts(
    names: Sequence[P], columns: PartColumns, leads: Sequence[LeadTime], loose: Floats
) -> list[KitPart[P]]:
    """The parts as the search takes them, the pack of each its lot. Columns and `leads` are by part.

    `columns` has the whole demand of each part, `loose` the share of it that no kit takes.
    """
    import numpy as np

    found = many_targets(columns)
    alone = many_targets(replace(columns, mean=columns.mean * loose, variance=columns.variance * loose))
    least_lots = -(-columns.least // columns.pack) * columns.pack
    lots = np.where(found.order_quantity > 0, found.order_quantity, least_lots)
    cents = unit_cents(lots, columns.starts, columns.cents)
    parts = []
    for row, (name, lead) in enumerate(zip(names, leads, strict=True)):
        lot, review = int(lots[row]), float(columns.review_days[row])
        most = max(int(columns.shelf_limit[row]), lot)
        mean, variance = float(columns.mean[row] * loose[row]), float(columns.variance[row] * loose[row])
        outside = demand_over(mean, variance, float(columns.period_days[row]), lead, review)
        days, chances = lead.spread
        parts.append(
            KitPart(
                name,
                round(float(cents[row])),
                {day + review: chance for day, chance in zip(days, chances, strict=True)},
                tuple(outside.tolist()),
                pack=lot,
                least=min(_least(alone, row, lot, float(loose[row])), most),
                most=most,
            )
        )
    return parts


def _least(alone: ManyTargets, row: int, lot: int, loose: float) -> int:
    """What the customers who buy the part by itself ask to be kept."""
    if loose < LOOSE_COUNTS or not alone.up_to[row]:
        return 0
    return int(alone.reorder_at[row]) + lot


def bought_targets(
    parts: Sequence[KitPart[P]],
    kits: Sequence[KitDemand[P]],
    *,
    wanted_share: float | None = None,
    budget_cents: int | None = None,
    progress: Progress | None = None,
) -> KitTargets[P]:
    """`kit_targets`, searched again with less to choose from as long as some levels are no way to buy.

    See `lots`: a level between 0 and the lot is none.
    """

    def once(some: Sequence[KitPart[P]]) -> KitTargets[P]:
        return kit_targets(
            some, kits, wanted_share=wanted_share, budget_cents=budget_cents, progress=progress
        )

    found = once(parts)
    for _ in range(SEARCHES):
        narrower = settled(parts, found)
        if narrower is None:
            break
        try:
            found = once(narrower)
        except PlanningError:
            narrower = kept(parts, found)
            found = once(narrower)
        parts = narrower
    return found
