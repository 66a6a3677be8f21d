"""The targets of the parts that kits need: all levels together, where the money completes the most kits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from inventory.models import Target, TargetRun
from inventory.planning.kit_targets import (
    KitDemand,
    KitPart,
    KitTargets,
    kit_shares,
    kit_targets,
    tied_up,
    together,
)
from inventory.planning.lead_demand import demand_over
from inventory.planning.ordering import PlanningError
from inventory.planning.targets import ManyTargets, many_targets
from inventory.planning.targets.lots import unit_cents

from .alone import columns_of, recommend
from .asked import MONTH_DAYS
from .kit_telling import KitTelling
from .kits_wanted import Wanted
from .levels import kept, level_of, settled
from .plan import Plan
from .recommended import Recommended, money, share
from .telling import Tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# What sells by itself in at least this share keeps what those customers want, whatever the kits say.
LOOSE_COUNTS = 0.25
SEARCHES = 3
# Nobody wants to hear what fewer complete kits than this would cost.
WORTH_SHOWING = 0.2


@dataclass(frozen=True)
class KitsFound:
    """The targets of the kits' parts, and what they come to, all shares between 0 and 1.

    `reached` and `tied_up` are as the shop will be: with the levels that are kept by hand. `frontier` says
    what could be had for which money.
    """

    targets: list[Recommended]
    reached: float
    tied_up: Decimal
    frontier: list[tuple[str, float]]
    note: str


def for_kits(run: TargetRun, plan: Plan, wanted: Wanted, tell: Tell) -> KitsFound | None:
    """The whole-kit targets of a run; None where no kit is sold.

    Raises PlanningError where the wanted share, or the budget, cannot be kept.
    """
    if not wanted.parts:
        return None
    parts, lots = kit_parts(wanted, plan)
    found = _search(run, parts, wanted.kits, tell)
    by_hand = _by_hand(wanted, plan)
    at_hand = {one.part: by_hand.get(one.part, found.levels[one.part]) for one in parts}
    reached, cents = found.share, found.money_cents
    if by_hand:
        reached = together(kit_shares(parts, wanted.kits, at_hand), wanted.kits).estimate
        cents = sum(tied_up(parts, wanted.kits, at_hand).values())
    alone = {one.part_id: one for one in recommend([plan.parts[part] for part in wanted.parts], plan)}
    telling = KitTelling(plan, wanted.kits, found, lots, tied_up(parts, wanted.kits, found.levels))
    return KitsFound(
        [telling.of(alone[part]) for part in wanted.parts],
        reached,
        Decimal(cents).scaleb(-2),
        [(money(cents), share(reach)) for cents, reach in found.frontier if reach >= WORTH_SHOWING],
        _note(by_hand, found, reached, plan),
    )


def kit_parts(wanted: Wanted, plan: Plan) -> tuple[list[KitPart[int]], dict[int, int]]:
    """The parts as the search takes them, and the lot of each."""
    import numpy as np

    bought = [plan.parts[part] for part in wanted.parts]
    over = np.array([plan.over[part.part_id] for part in bought])
    columns = columns_of(bought, plan, over[:, 0], over[:, 1])
    found = many_targets(columns)
    loose = np.array([wanted.loose[part.part_id] for part in bought])
    alone = many_targets(columns_of(bought, plan, over[:, 0] * loose, over[:, 1] * loose))
    lots = np.where(found.order_quantity > 0, found.order_quantity, _least_lots(columns.pack, columns.least))
    cents = unit_cents(lots, columns.starts, columns.cents)
    parts = []
    for row, part in enumerate(bought):
        assert part.terms is not None, "Only what somebody offers goes into the search."
        lead, lot = plan.lead(part), int(lots[row])
        days, chances = lead.spread
        mean, variance = float(over[row, 0] * loose[row]), float(over[row, 1] * loose[row])
        outside = demand_over(mean, variance, MONTH_DAYS, lead, part.terms.review_days)
        parts.append(
            KitPart(
                part.part_id,
                round(float(cents[row])),
                {day + part.terms.review_days: chance for day, chance in zip(days, chances, strict=True)},
                tuple(outside.tolist()),
                pack=lot,
                least=_least(alone, row, lot, loose[row], part.most),
                most=None if part.most is None else max(part.most, lot),
            )
        )
    return parts, {part.part_id: int(lot) for part, lot in zip(bought, lots, strict=True)}


def _least_lots(pack: NDArray[np.int64], least: NDArray[np.int64]) -> NDArray[np.int64]:
    lots: NDArray[np.int64] = -(-least // pack) * pack
    return lots


def _least(alone: ManyTargets, row: int, lot: int, loose: float, most: int | None) -> int:
    """What the customers who buy the part by itself ask to be kept."""
    if loose < LOOSE_COUNTS or not alone.up_to[row]:
        return 0
    least = int(alone.reorder_at[row]) + lot
    return least if most is None else min(least, max(most, lot))


def _search(
    run: TargetRun, parts: list[KitPart[int]], kits: Sequence[KitDemand[int]], tell: Tell
) -> KitTargets[int]:
    """The levels; searched again, with less to choose from, as long as some are no way to buy."""

    def once(some: list[KitPart[int]]) -> KitTargets[int]:
        return kit_targets(
            some,
            kits,
            wanted_share=float(run.wanted) if run.budget is None else None,
            budget_cents=None if run.budget is None else int(run.budget * 100),
            progress=lambda done, total: tell(done, total, "kits"),
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


def _by_hand(wanted: Wanted, plan: Plan) -> dict[int, int]:
    """The levels that people keep by hand."""
    targets = Target.objects.filter(part__in=wanted.parts, set_by=Target.SetBy.HAND).order_by("part_id")
    found = {}
    for part, reorder_at, up_to in targets.values_list("part", "reorder_at", "up_to"):
        terms = plan.parts[part].terms
        found[part] = level_of(reorder_at, up_to, terms.pack if terms else 1)
    return found


def _note(by_hand: Mapping[int, int], found: KitTargets[int], reached: float, plan: Plan) -> str:
    """What hand-set levels cost, where they do."""
    lower = [part for part, level in by_hand.items() if level < found.levels[part]]
    if not lower or found.share - reached < 0.001:
        return ""
    named = ", ".join(plan.parts[part].number for part in lower[:5])
    more = f" and {len(lower) - 5} more" if len(lower) > 5 else ""
    return (
        f"Levels kept by hand hold it at {reached:.1%}, where {found.share:.1%} could be: {named}{more}. "
        "Leave them to the runs, or raise them."
    )[:300]
