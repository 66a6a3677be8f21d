"""How many pieces are asked for while a delivery is on its way: a distribution, never one number.

Demand has independent increments: in twice the time twice the mean and twice the variance. Then the number
of pieces in a time is Poisson where the variance is no more than the mean, and negative binomial above, its
mean/variance the same for every length of time (see `chances`). A lead time that varies is mixed in exactly:
each length has its own distribution. What is less likely than TAIL is folded into the last figure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .chances import TAIL, chances, reach
from .history_demand import from_history
from .lead_times import LeadColumns, LeadTime, fixed
from .ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

MOST_PIECES = 1 << 21
CELLS = 1 << 17  # figures worked on at once: 1 MB a table, which stays near the processor


def demand_over(
    mean: float,
    variance: float,
    period_days: float,
    lead: LeadTime,
    review_days: float,
    *,
    history: Sequence[int] | None = None,
) -> Floats:
    """`[n]` is the chance that n pieces are asked for in the lead time and `review_days` more.

    `mean` and `variance` are of one period of `period_days`; with a `history` of whole periods, all of them
    and the empty ones too, it speaks instead of them (see `history_demand`). The figures sum to 1.
    """
    import numpy as np

    if history is not None:
        days, chances = lead.spread
        return trimmed(from_history(history, [(day + review_days) / period_days for day in days], chances))
    pace = Pace.of(np.array([mean]), np.array([variance]), period_days)
    leads = LeadColumns.of([lead])
    width = int(pace.reach(leads, review_days)[0]) + 1
    return trimmed(pace.over(leads, review_days, width)[0])


def demand_in(
    mean: float, variance: float, period_days: float, days: float, *, history: Sequence[int] | None = None
) -> Floats:
    """The same for a time of so many days, without any chance in it."""
    return demand_over(mean, variance, period_days, fixed(0), days, history=history)


def many(
    mean: Floats,
    variance: Floats,
    period_days: Floats | float,
    leads: LeadColumns,
    review_days: Floats | float,
) -> Iterator[tuple[Whole, Floats]]:
    """`demand_over` of very many parts, a table at a time: the parts' numbers, and a row for each.

    Exact as for one part, no moments are matched. Parts of like reach come together, so memory is bounded.
    """
    import numpy as np

    pace = Pace.of(mean, variance, period_days)
    review = np.broadcast_to(np.asarray(review_days, np.float64), pace.a_day.shape)
    for rows, width in tables(pace.reach(leads, review) + 1):
        yield rows, folded(pace.rows(rows).over(leads.rows(rows), review[rows], width))


@dataclass(frozen=True)
class Pace:
    """The demand of many parts: `a_day` its mean, `share` mean/variance, 1 for Poisson. Shapes (parts,)."""

    a_day: Floats
    share: Floats

    @classmethod
    def of(cls, mean: Floats, variance: Floats, period_days: Floats | float) -> Pace:
        import numpy as np

        mean, variance, days = np.broadcast_arrays(
            *(np.asarray(a, float) for a in (mean, variance, period_days))
        )
        if not (np.all(np.isfinite(mean) & np.isfinite(variance)) and np.all((mean >= 0) & (variance >= 0))):
            raise PlanningError("A mean and a variance of demand: numbers of at least 0, for each part.")
        if not np.all(days > 0):
            raise PlanningError("A period has at least a day.")
        share = np.ones(mean.shape)
        over = variance > mean
        share[over] = mean[over] / variance[over]
        if np.any((mean == 0) & over):
            raise PlanningError("Demand that varies has a mean above 0.")
        return cls(mean / days, share)

    def rows(self, chosen: Whole) -> Pace:
        return Pace(self.a_day[chosen], self.share[chosen])

    def reach(self, leads: LeadColumns, more_days: Floats | float) -> Whole:
        """For each part so many pieces that more are less likely than TAIL, in its longest lead time."""
        import numpy as np

        mean = self.a_day * (leads.days.max(axis=1, where=leads.weights > 0, initial=0) + more_days)
        most = reach(mean, self.share)
        if not np.all(most < MOST_PIECES):
            raise PlanningError(
                f"Over {MOST_PIECES:,} pieces of one part at once: correct its demand, or count it in packs."
            )
        return most.astype(np.int64)

    def over(self, leads: LeadColumns, more_days: Floats | float, width: int) -> Floats:
        """The chances of 0 to `width` - 1 pieces, of shape (parts, width), over lead time and more days."""
        import numpy as np

        table = np.zeros((len(self.a_day), width))
        for number in range(leads.days.shape[1]):
            weights = leads.weights[:, number]
            chosen = np.flatnonzero(weights)
            mean = self.a_day[chosen] * (leads.days[:, number] + more_days)[chosen]
            table[chosen] += weights[chosen, None] * chances(mean, self.share[chosen], width)
        return table


def tables(widths: Whole) -> Iterator[tuple[Whole, int]]:
    """The parts in tables of like width, none with more than CELLS figures unless one part alone has them."""
    import numpy as np

    order = np.argsort(widths, kind="stable")
    start = 0
    while start < len(order):
        narrow = int(widths[order[start]])
        # A table wastes no more than a quarter of its figures on its narrower parts.
        end = int(np.searchsorted(widths[order], max(narrow + 8, narrow * 5 // 4), side="right"))
        end = min(end, start + max(1, CELLS // int(widths[order[end - 1]])))
        yield order[start:end], int(widths[order[end - 1]])
        start = end


def folded(table: Floats) -> Floats:
    """The same with all that is missing to 1 put into each row's last figure."""
    table[:, -1] += 1 - table.sum(axis=1)
    return table


def trimmed(pmf: Floats) -> Floats:
    """One distribution without what is less likely than TAIL at its end, which its last figure takes."""
    import numpy as np

    end = int(np.searchsorted(np.cumsum(pmf), 1 - TAIL)) + 1
    row: Floats = folded(pmf[None, : min(end, len(pmf))].copy())[0]
    return row
