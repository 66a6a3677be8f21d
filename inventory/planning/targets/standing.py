"""What levels that are given would do, and what a usual month is like, for very many parts at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inventory.planning.lead_demand import many, tables
from inventory.planning.lead_times import LeadColumns
from inventory.planning.ordering import DAYS_PER_YEAR

from .columns import PartColumns
from .lots import unit_cents
from .many import Counted
from .reviewed import Reviewed
from .saying import BUSY

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

MONTH_DAYS = DAYS_PER_YEAR / 12


def standings(
    parts: PartColumns, reorder_points: Sequence[Whole], lot: Whole
) -> tuple[list[Floats], list[Floats]]:
    """Fill rates and the mean worth of the shelf in cents, for each of the columns of reorder points.

    `lot` is ordered at each of them. The chances of demand are reckoned once for all. NaN for a part that
    nobody asks for or whose life ends, and where the reorder point is below 0.
    """
    import numpy as np

    fills = [np.full(len(parts), np.nan) for _ in reorder_points]
    worths = [np.full(len(parts), np.nan) for _ in reorder_points]
    demands = Counted(parts)
    goes = np.flatnonzero((demands.a_day() > 0) & np.isnan(parts.life_days) & (lot > 0))
    reach = demands.reach()[goes] + 1
    for at, width in tables(reach + lot[goes]):
        rows = goes[at]
        some, chances = parts.rows(rows), demands.rows(rows)
        longest = int(lot[rows].max())
        shelf = Reviewed(chances.before(width), chances.through(width), chances.window(longest), some.pack)
        price = unit_cents(lot[rows], some.starts, some.cents)
        for points, fill, worth in zip(reorder_points, fills, worths, strict=True):
            found = shelf.standing(np.maximum(points[rows], 0), lot[rows])
            there = points[rows] >= 0
            fill[rows] = np.where(there, found.fill_rate, np.nan)
            worth[rows] = np.where(there, found.on_hand * price, np.nan)
    return fills, worths


def months(parts: PartColumns) -> tuple[Floats, Whole]:
    """Of a twelfth of a year the chance that nobody asks, and the pieces that one in twenty exceeds."""
    import numpy as np

    empty, busy = np.ones(len(parts)), np.zeros(len(parts), np.int64)
    none = LeadColumns.fixed(np.zeros(len(parts)))
    for rows, table in many(parts.mean, parts.variance, parts.period_days, none, MONTH_DAYS):
        empty[rows] = table[:, 0]
        busy[rows] = np.argmax(np.cumsum(table, axis=1) >= BUSY, axis=1)
    return empty, busy
