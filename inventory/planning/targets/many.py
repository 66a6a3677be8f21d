"""Targets for very many parts at once, a table of like parts after the other."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from inventory.planning.lead_demand import Pace, folded, tables
from inventory.planning.lead_times import LeadColumns
from inventory.planning.ordering import DAYS_PER_YEAR

from .columns import ManyTargets, PartColumns
from .ends import last_buys
from .lots import Limits, unit_cents, whole_lots
from .reviewed import Reviewed
from .service import HAIR

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]


class Demands(Protocol):
    """Where the chances of demand come from, for a table of parts."""

    def a_day(self) -> Floats: ...
    def reach(self) -> Whole:
        """The pieces that are hardly ever exceeded, over lead time and review, or over the life."""

    def rows(self, chosen: Whole) -> Demands: ...
    def before(self, width: int) -> Floats:
        """The chances of 0 to `width` - 1 over the lead time; the last takes what is missing to 1."""

    def through(self, width: int) -> Floats:
        """Over lead time and review."""

    def window(self, width: int) -> Floats:
        """Over the review alone; what lies beyond `width` is cut off."""

    def life(self, width: int) -> Floats:
        """Over what remains of the parts' lives."""


class Counted:
    """Poisson and negative binomial demand, from means and variances."""

    def __init__(self, parts: PartColumns) -> None:
        import numpy as np

        self.parts = parts
        self.pace = Pace.of(parts.mean, parts.variance, parts.period_days)
        self.none = LeadColumns.fixed(np.zeros(len(parts)))

    def a_day(self) -> Floats:
        return self.pace.a_day

    def reach(self) -> Whole:
        import numpy as np

        ends = np.flatnonzero(~np.isnan(self.parts.life_days))
        reach = self.pace.reach(self.parts.leads, self.parts.review_days)
        reach[ends] = self.pace.rows(ends).reach(self.none.rows(ends), self.parts.life_days[ends])
        return reach

    def rows(self, chosen: Whole) -> Counted:
        return Counted(self.parts.rows(chosen))

    def before(self, width: int) -> Floats:
        return folded(self.pace.over(self.parts.leads, 0.0, width))

    def through(self, width: int) -> Floats:
        return folded(self.pace.over(self.parts.leads, self.parts.review_days, width))

    def window(self, width: int) -> Floats:
        return self.pace.over(self.none, self.parts.review_days, width)

    def life(self, width: int) -> Floats:
        return folded(self.pace.over(self.none, self.parts.life_days, width))


def many_targets(
    parts: PartColumns,
    *,
    nearest: bool = False,
    progress: Callable[[int, int], None] | None = None,
    demands: Demands | None = None,
) -> ManyTargets:
    """The least reorder point of each part that gives the wanted service with its best lot.

    `nearest`: the one whose fill rate is nearest to the wanted instead, above or below. A level is a whole
    number of pieces: if none may fall short, many parts together serve more than is wanted, and so they come
    to it. `progress` hears after each table how many parts are done, of how many. `demands` may bring chances
    of its own instead of those that follow from mean and variance.
    """
    import numpy as np

    demands = Counted(parts) if demands is None else demands
    a_day = demands.a_day()
    ends = ~np.isnan(parts.life_days)
    limits = Limits.of(parts.pack, parts.least, np.floor(a_day * parts.most_lot_days + 1e-9))
    lot = np.ones(len(parts), np.int64)
    goes = np.flatnonzero(a_day > 0)
    lot[goes] = _lots(parts.rows(goes), a_day[goes], limits.rows(goes))
    found = ManyTargets.none(len(parts))
    done = len(parts) - len(goes)
    for last in (False, True):
        group = goes[ends[goes] == last]
        reach = demands.reach()[group] + 1
        for at, _ in tables(reach if last else reach + lot[group]):
            rows, width = group[at], int(reach[at].max())
            some, chances = parts.rows(rows), demands.rows(rows)
            found.put(rows, last_buys(some, chances.life(width)) if last
                      else _table(some, chances, lot[rows], limits.rows(rows), width, nearest))  # fmt: skip
            done += len(rows)
            if progress is not None:
                progress(done, len(parts))
    return found


def _lots(parts: PartColumns, a_day: Floats, limits: Limits) -> Whole:
    return whole_lots(
        a_day * DAYS_PER_YEAR, parts.order_cents, parts.holding_rate, parts.starts, parts.cents, limits
    )


def _table(
    parts: PartColumns, demands: Demands, lot: Whole, limits: Limits, width: int, nearest: bool
) -> ManyTargets:
    import numpy as np

    shelf = Reviewed(
        demands.before(width), demands.through(width), demands.window(int(lot.max())), parts.pack
    )
    reorder_at = _reorder_points(parts, shelf, lot, nearest)
    full = np.flatnonzero(reorder_at + lot > parts.shelf_limit)
    roomy = np.full(len(parts), nearest)
    if len(full):
        lot = lot.copy()
        lot[full], reorder_at[full], lower = _that_fit(
            parts.rows(full), shelf.rows(full), lot[full], reorder_at[full], limits.low[full], nearest
        )
        roomy[full] &= ~lower
    standing = shelf.standing(reorder_at, lot)
    price = unit_cents(lot, parts.starts, parts.cents)
    by_fill = ~np.isnan(parts.fill_rate)
    reached = np.where(by_fill, standing.fill_rate, standing.cycle_service)
    wanted = np.where(by_fill, parts.fill_rate, parts.cycle_service)
    return ManyTargets(
        reorder_at, reorder_at + lot - parts.pack + 1, lot, standing.fill_rate, standing.cycle_service,
        standing.on_hand, price, np.rint(standing.on_hand * price).astype(np.int64),
        ((reached >= wanted - 2 * HAIR) | roomy) & (reorder_at + lot <= parts.shelf_limit),
    )  # fmt: skip


def _reorder_points(parts: PartColumns, shelf: Reviewed, lot: Whole, nearest: bool) -> Whole:
    import numpy as np

    by_fill = np.flatnonzero(~np.isnan(parts.fill_rate))
    by_cycle = np.flatnonzero(np.isnan(parts.fill_rate))
    found = np.zeros(len(parts), np.int64)
    if len(by_fill):
        some = shelf.rows(by_fill)
        found[by_fill] = some.reorder_for_fill(lot[by_fill], parts.fill_rate[by_fill], nearest)
    if len(by_cycle):
        found[by_cycle] = shelf.rows(by_cycle).reorder_for_cycle(parts.cycle_service[by_cycle])
    return found


def _that_fit(
    parts: PartColumns, shelf: Reviewed, lot: Whole, reorder_at: Whole, low: Whole, nearest: bool
) -> tuple[Whole, Whole, NDArray[np.bool_]]:
    """Lots and reorder points that never overfill the shelf: smaller lots first, less service last.

    And which reorder points are lower for it. Where not even the least lot fits, it is ordered when nothing
    is left.
    """
    import numpy as np

    room = (parts.shelf_limit - reorder_at) // parts.pack * parts.pack
    smaller = np.clip(room, low, lot)
    wanted = _reorder_points(parts, shelf, smaller, nearest)
    fits = np.clip(parts.shelf_limit - smaller, 0, wanted)
    return smaller, fits, fits < wanted
