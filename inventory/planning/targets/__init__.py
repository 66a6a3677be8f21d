"""Which level a part should have: reorder points, lots and last buys, and why.

`target` for one part with its reasons, `many_targets` for very many at once; the rest as textbooks have it.
Pure: plain numbers and arrays in and out. Callers import from this root.
"""

from .columns import ManyTargets, PartColumns, part_columns
from .ends import last_buy
from .lots import Lot, LotWithBackorders, eoq, eoq_with_backorders, eoq_with_breaks, yearly_cost
from .many import many_targets
from .newsvendor import Purchase, newsvendor, newsvendor_normal, newsvendor_poisson
from .normal import (
    lead_demand_sd,
    loss_of_normal,
    normal_cycle_service,
    normal_fill_rate,
    normal_holds,
    normal_reorder_for_cost,
    normal_reorder_for_fill,
    safety_stock,
)
from .part import Demand, LastBuy, PartTarget, Terms, target
from .positions import positions
from .reviewed import Reviewed, Standing
from .saying import Why, sentence, why_lot
from .service import (
    cycle_service_of,
    expected_short,
    fill_rate_of,
    reorder_for_cost,
    reorder_for_cycle,
    reorder_for_fill,
)
from .standing import months, standings

__all__ = [
    "Demand",
    "LastBuy",
    "Lot",
    "LotWithBackorders",
    "ManyTargets",
    "PartColumns",
    "PartTarget",
    "Purchase",
    "Reviewed",
    "Standing",
    "Terms",
    "Why",
    "cycle_service_of",
    "eoq",
    "eoq_with_backorders",
    "eoq_with_breaks",
    "expected_short",
    "fill_rate_of",
    "last_buy",
    "lead_demand_sd",
    "loss_of_normal",
    "many_targets",
    "months",
    "newsvendor",
    "newsvendor_normal",
    "newsvendor_poisson",
    "normal_cycle_service",
    "normal_fill_rate",
    "normal_holds",
    "normal_reorder_for_cost",
    "normal_reorder_for_fill",
    "part_columns",
    "positions",
    "reorder_for_cost",
    "reorder_for_cycle",
    "reorder_for_fill",
    "safety_stock",
    "sentence",
    "standings",
    "target",
    "why_lot",
    "yearly_cost",
]
