"""The targets of the parts that kits need: all levels together, where the money completes the most kits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Target, TargetRun
from inventory.planning.kit_targets import (
    KitPart,
    KitTargets,
    bought_parts,
    bought_targets,
    kit_shares,
    ordered_so,
    tied_up,
    together,
)

from .alone import columns_of, recommend
from .kit_telling import KitTelling
from .kits_wanted import Wanted
from .plan import Plan
from .recommended import Recommended, money, share
from .telling import Tell

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
    parts = as_bought(wanted, plan)
    found = bought_targets(
        parts,
        wanted.kits,
        wanted_share=float(run.wanted) if run.budget is None else None,
        budget_cents=None if run.budget is None else int(run.budget * 100),
        progress=lambda done, total: tell(done, total, "kits"),
    )
    held, by_hand = ordered_so(parts, _by_hand(wanted), plan.packs)
    at_hand = found.levels | by_hand
    reached, cents = found.share, found.money_cents
    if by_hand:
        reached = together(kit_shares(held, wanted.kits, at_hand), wanted.kits).estimate
        cents = sum(tied_up(held, wanted.kits, at_hand).values())
    alone = {one.part_id: one for one in recommend([plan.parts[part] for part in wanted.parts], plan)}
    lots, worths = {one.part: one.pack for one in parts}, tied_up(parts, wanted.kits, found.levels)
    telling = KitTelling(plan, wanted.kits, found, lots, worths)
    return KitsFound(
        [telling.of(alone[part]) for part in wanted.parts],
        reached,
        Decimal(cents).scaleb(-2),
        [(money(cents), share(reach)) for cents, reach in found.frontier if reach >= WORTH_SHOWING],
        _note(by_hand, found, reached, plan),
    )


def as_bought(wanted: Wanted, plan: Plan) -> list[KitPart[int]]:
    """The parts as the search takes them; the pack of each is its lot."""
    import numpy as np

    bought = [plan.parts[part] for part in wanted.parts]
    over = np.array([plan.over[part.part_id] for part in bought])
    columns = columns_of(bought, plan, over[:, 0], over[:, 1])
    loose = np.array([wanted.loose[part] for part in wanted.parts])
    return bought_parts(wanted.parts, columns, [plan.lead(part) for part in bought], loose)


def _by_hand(wanted: Wanted) -> dict[int, tuple[int, int]]:
    """When to order and up to how many of the parts whose target people keep."""
    targets = Target.objects.filter(part__in=wanted.parts, set_by=Target.SetBy.HAND)
    return {
        part: (reorder_at, up_to)
        for part, reorder_at, up_to in targets.values_list("part", "reorder_at", "up_to")
    }


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
