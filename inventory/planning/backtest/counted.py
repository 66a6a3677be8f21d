"""Our own way: the forecast that served each part best, and targets on discrete demand."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from inventory.planning.forecasting import forecast_many
from inventory.planning.lead_times import LeadColumns
from inventory.planning.steadying import steadied
from inventory.planning.targets import many_targets, part_columns

from .policy import Levels, Policy, Seen
from .rules import PERIOD_DAYS, Rules

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Figures = NDArray[np.float64]


def look(known: Figures, cents: Figures, rules: Rules, *, alone: bool = False) -> Seen:
    """What the forecasts say of the time that an order of today has to last for, to the period.

    `alone`: each part's spread is from its own past only, not steadied by what is usual.
    """
    forecasts = forecast_many(known)
    mean, variance = (forecasts if alone else steadied(forecasts)).over(rules.covered)
    return Seen(mean / rules.covered, variance / rules.covered, cents)


def levels(seen: Seen, wanted: float, rules: Rules) -> Levels:
    """The levels nearest to this fill rate, by the distribution of what is asked for meanwhile."""
    import numpy as np

    shape = (len(seen.mean), len(rules.lead))
    found = many_targets(
        part_columns(
            mean=seen.mean,
            variance=seen.variance,
            period_days=PERIOD_DAYS,
            leads=LeadColumns(
                np.broadcast_to(np.arange(shape[1]) * PERIOD_DAYS, shape), np.broadcast_to(rules.lead, shape)
            ),
            review_days=rules.review * PERIOD_DAYS,
            fill_rate=wanted,
            cents=seen.cents,
            order_cents=rules.order_cents,
            holding_rate=rules.holding_rate,
        ),
        nearest=True,
    )
    return Levels(found.reorder_at, found.up_to)


OURS = Policy("ours", look, levels)
OURS_ALONE = Policy("ours, each part alone", partial(look, alone=True), levels)
