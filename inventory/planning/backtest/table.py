"""The table that is replayed: when each part was on sale, and from when its replay runs and counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    from .rules import Rules

    Figures = NDArray[np.float64]
    Mask = NDArray[np.bool_]
    Whole = NDArray[np.int64]

MOST_PIECES = 1_000_000


@dataclass(frozen=True, eq=False)
class Sales:
    """`values` (parts, periods), NaN where a part was not on sale: before it came, and after it went."""

    values: Figures

    @property
    def on_sale(self) -> Mask:
        import numpy as np

        return ~np.isnan(self.values)

    @property
    def first(self) -> Whole:
        """The period in which each part came on sale; the number of periods for one that never did."""
        import numpy as np

        known = self.on_sale
        found: Whole = np.where(known.any(axis=1), known.argmax(axis=1), known.shape[1])
        return found

    def joins(self, rules: Rules) -> Whole:
        """The first refresh at which each part has enough behind it: from there its shelf is kept.

        That is `warm_up` periods on sale, and `least_sales` periods in which it was asked for.
        """
        import numpy as np

        periods = self.values.shape[1]
        ready = np.maximum(self.first + rules.warm_up, rules.warm_up)
        if rules.least_sales:
            sold = np.cumsum(np.nan_to_num(self.values) > 0, axis=1) >= rules.least_sales
            ready = np.maximum(ready, np.where(sold.any(axis=1), sold.argmax(axis=1) + 1, periods))
        found: Whole = rules.warm_up + -(-(ready - rules.warm_up) // rules.refresh) * rules.refresh
        return found

    def running(self, rules: Rules) -> Mask:
        """(parts, periods): where a part is on sale and its shelf is kept."""
        import numpy as np

        return self.on_sale & (np.arange(self.values.shape[1]) >= self.joins(rules)[:, None])

    def counted(self, rules: Rules) -> Mask:
        """The same without the first lead time and review of each part: its full shelf is nobody's merit."""
        import numpy as np

        settled = self.joins(rules) + rules.longest + rules.review
        return self.on_sale & (np.arange(self.values.shape[1]) >= settled[:, None])


class BadFigure(PlanningError):
    """A figure of a table that cannot be: of which part and period, counted from 0, and what to do."""

    def __init__(self, part: int, period: int, sentence: str) -> None:
        super().__init__(f"Part {part + 1}, period {period + 1}: {sentence}")
        self.part, self.period, self.sentence = part, period, sentence


def sales(table: ArrayLike) -> Sales:
    """From a table of (periods, parts). PlanningError for a bad one; BadFigure where one figure is."""
    import numpy as np

    try:
        values = np.array(table, np.float64)
    except (TypeError, ValueError):
        raise PlanningError("Demand: a table of numbers with as many parts in each period.") from None
    if values.ndim != 2 or 0 in values.shape:
        raise PlanningError("Demand: a table with a row for each period and a column for each part.")
    values = np.ascontiguousarray(values.T)
    known = ~np.isnan(values)
    wrong = known & ~((values >= 0) & (values <= MOST_PIECES) & (values == np.floor(values)))
    if wrong.any():
        part, period = map(int, np.argwhere(wrong)[0])
        raise BadFigure(part, period, f"whole pieces from 0 to {MOST_PIECES}, not {values[part, period]:g}.")
    came = np.maximum.accumulate(known, axis=1)
    goes_on = np.maximum.accumulate(known[:, ::-1], axis=1)[:, ::-1]
    gap = ~known & came & goes_on
    if gap.any():
        part, period = map(int, np.argwhere(gap)[0])
        raise BadFigure(
            part, period, "no figure between two that there are: give 0 where nobody asked for it."
        )
    return Sales(values)
