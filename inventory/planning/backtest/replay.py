"""The shop, period by period: reviews, orders, deliveries and customers, all parts at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from .policy import Levels
    from .rules import Rules
    from .table import Sales

    Whole = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Replay:
    """What happened, shapes (periods, parts), in whole pieces. Nothing where a part's shelf is not kept yet.

    opened: put on the shelf as the part joins the replay, once. arrived: from deliveries, before customers.
    served: to customers of this period, at once. late: to those who waited, when a delivery came.
    on_hand, waiting: at the end of the period.
    """

    asked: Whole
    ordered: Whole
    opened: Whole
    arrived: Whole
    served: Whole
    late: Whole
    on_hand: Whole
    waiting: Whole

    @property
    def on_shelf(self) -> Whole:
        """As the customers of the period begin to come."""
        return self.on_hand + self.served


def replay(sales: Sales, levels: Mapping[int, Levels], rules: Rules) -> Replay:
    """`levels` holds the levels of all parts from each refresh on, by its period.

    A part that is no longer on sale is not ordered; what was ordered still comes.
    """
    import numpy as np

    parts, periods = sales.values.shape
    running, joins = sales.running(rules).T, sales.joins(rules)
    asked = np.where(running, np.nan_to_num(sales.values.T), 0).astype(np.int64)
    kept = Replay(asked, *(np.zeros((periods, parts), np.int64) for _ in range(7)))
    takes = lead_times(rules, (periods, parts))
    coming = np.zeros((periods + rules.longest, parts), np.int64)
    # Below zero: what customers wait for.
    net, underway = np.zeros(parts, np.int64), np.zeros(parts, np.int64)
    for now in range(rules.warm_up, periods):
        level = levels[now - (now - rules.warm_up) % rules.refresh]
        kept.opened[now] = np.where((joins == now) & running[now], level.up_to, 0)
        net += kept.opened[now]
        if (now - rules.warm_up) % rules.review == 0:
            position = net + underway
            low = running[now] & (position <= level.reorder_at)
            kept.ordered[now] = np.where(low, np.maximum(level.up_to - position, 0), 0)
            underway += kept.ordered[now]
            for length in range(len(rules.lead)):
                coming[now + length] += np.where(takes[now] == length, kept.ordered[now], 0)
        kept.arrived[now] = coming[now]
        underway -= coming[now]
        waited = np.maximum(-net, 0)
        net += coming[now]
        kept.late[now] = waited - np.maximum(-net, 0)
        kept.served[now] = np.minimum(asked[now], np.maximum(net, 0))
        net -= asked[now] if rules.waits else kept.served[now]
        kept.on_hand[now], kept.waiting[now] = np.maximum(net, 0), np.maximum(-net, 0)
    return kept


def lead_times(rules: Rules, shape: tuple[int, int]) -> Whole:
    """The periods that an order of each period and part takes, whether there is one or not."""
    import numpy as np

    if rules.longest == 0 or rules.lead[-1] == 1.0:
        return np.full(shape, rules.longest)
    drawn = np.random.default_rng(rules.seed).random(shape)
    return np.minimum(np.searchsorted(np.cumsum(rules.lead), drawn, side="right"), rules.longest)
