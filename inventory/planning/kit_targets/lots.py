"""From the level that a whole-kit target keeps to the two figures that buying goes by.

A level S is the position to keep: what is free or to come, less what is promised and not there. `kit_targets`
has the position run evenly through S - lot + 1 to S: at S - lot or below it is time to order, back to S. So

    order when the position is at S - lot or below, up to S - pack + 1,

where the fewest whole packs that reach `up_to` bring it to S - pack + 1 or more, and never above S. Bought
one at a time (lot = pack = 1) that is the plain base stock: at S - 1 order up to S.

The lot is the cheapest one (what an order costs, what the shelf costs, price breaks, packs and least orders),
chosen before the search as textbooks do, and told to it in the place of the pack. So the money that a large
lot ties up is in the budget, and the reorder point of a part that comes in large lots is lower, since it is
seldom near it. A level between 0 and the lot would mean to let customers wait for several pieces before any
are ordered; such a part is either kept (the level is the lot: order when none is left) or not kept at all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from .asking import KitPart, P
from .choosing import KitTargets


def levels_of(level: int, lot: int, pack: int) -> tuple[int, int]:
    """Reorder point and order-up-to for a level; both 0 for a part that is not kept."""
    if level == 0:
        return 0, 0
    reorder_at = max(0, level - lot)
    return reorder_at, max(level - pack, reorder_at) + 1


def level_of(reorder_at: int, up_to: int, pack: int) -> int:
    """The level that somebody keeps who orders so: the other way round."""
    return up_to + pack - 1 if up_to > reorder_at else 0


def ordered_so(
    parts: Sequence[KitPart[P]], orders: Mapping[P, tuple[int, int]], packs: Mapping[P, int]
) -> tuple[list[KitPart[P]], dict[P, int]]:
    """The parts as whoever orders at one figure up to the other buys them, and the level of each of these.

    The distance between the two is the lot, whatever lot would be cheapest: the position of a part that is
    ordered at 4 up to 8 never runs far below 4. Parts that are not in `orders` stay as they are.
    """
    levels = {part: level_of(*figures, packs.get(part, 1)) for part, figures in orders.items()}
    return [
        replace(one, pack=max(1, levels[one.part] - orders[one.part][0]), least=0, most=None)
        if one.part in orders
        else one
        for one in parts
    ], levels


def settled(parts: Sequence[KitPart[P]], found: KitTargets[P]) -> list[KitPart[P]] | None:
    """The parts with each level that is no way to buy ruled out; None where there is none.

    What is nearer to a whole lot has to be kept, the others are not.
    """
    between = {one.part for one in parts if 0 < found.levels[one.part] < one.pack}
    if not between:
        return None
    return [_kept_or_not(one, found.levels[one.part]) if one.part in between else one for one in parts]


def kept(parts: Sequence[KitPart[P]], found: KitTargets[P]) -> list[KitPart[P]]:
    """The same where what is wanted asks for all of them: each is kept."""
    return [replace(one, least=one.pack) if 0 < found.levels[one.part] < one.pack else one for one in parts]


def _kept_or_not(part: KitPart[P], level: int) -> KitPart[P]:
    if 2 * level >= part.pack:
        return replace(part, least=part.pack)
    return replace(part, least=0, most=0)
