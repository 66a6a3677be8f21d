"""Targets for whole kits: the levels of all parts together that complete the most kits for the money.

Pure: plain numbers in, plain numbers out; a simulation's seed is an argument. Callers import from this root.
"""

from .asking import KitDemand, KitPart, Money, Need, Option
from .buying import bought_parts, bought_targets
from .choosing import KitTargets, Why, kit_targets
from .explaining import explain
from .from_sales import KitSale, kit_demands
from .lots import level_of, levels_of, ordered_so
from .service import Share, exact_share, kit_shares, tied_up, together
from .simulation import Simulated, simulate

__all__ = [
    "KitDemand",
    "KitPart",
    "KitSale",
    "KitTargets",
    "Money",
    "Need",
    "Option",
    "Share",
    "Simulated",
    "Why",
    "bought_parts",
    "bought_targets",
    "exact_share",
    "explain",
    "kit_demands",
    "kit_shares",
    "kit_targets",
    "level_of",
    "levels_of",
    "ordered_so",
    "simulate",
    "tied_up",
    "together",
]
