"""How long a supplier takes for a part: from what came, and from the offer while little has come.

The rule is our own and simple: as long as fewer than FULL deliveries have come, the offer's figure stands in
for those that are missing. So one late first delivery does not rule a part, and five of them do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .figures import whole
from .ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FULL = 5
MOST_DAYS = 3650  # Ten years: a longer delivery is a slip of the pen.


@dataclass(frozen=True)
class LeadTime:
    """`pmf[d]` is the chance that a delivery takes d days; None where it always takes `mean_days`.

    `late_share` is the share of `receipts` that came after the day agreed, 0.0 where there are none.
    """

    mean_days: float
    sd_days: float
    pmf: Floats | None
    late_share: float
    receipts: int
    source: str

    def __post_init__(self) -> None:
        if self.pmf is None and self.sd_days:
            raise PlanningError("A lead time that varies is told as a distribution over days.")
        if not 0 <= self.mean_days <= MOST_DAYS:
            raise PlanningError(f"A delivery takes from 0 to {MOST_DAYS} days, not {self.mean_days}.")

    @property
    def spread(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The days that occur, and the chance of each."""
        if self.pmf is None:
            return (self.mean_days,), (1.0,)
        days = self.pmf.nonzero()[0]
        return tuple(map(float, days)), tuple(self.pmf[days].tolist())


def fixed(days: float, source: str = "as stated") -> LeadTime:
    """A delivery that always takes so many days."""
    return LeadTime(days, 0.0, None, 0.0, 0, source)


def lead_time(days_taken: Sequence[int], days_late: Sequence[int], offered_days: int | None) -> LeadTime:
    """The lead time of a part from one supplier, from its past receipts, one figure of each for each.

    `days_taken` from the order to the receipt, `days_late` after the day agreed (early is below zero).
    Raises PlanningError where there are neither receipts nor an offer.
    """
    import numpy as np

    if len(days_taken) != len(days_late):
        raise PlanningError("Each receipt has the days that it took and the days that it was late.")
    for days in days_taken:
        _days(days, "The days that a delivery took")
    count = len(days_taken)
    missing = max(0, FULL - count) if offered_days is not None else 0
    if not count and not missing:
        raise PlanningError(
            "No delivery came yet, and the offer names no lead time: ask the supplier for one."
        )
    seen = [
        *days_taken,
        *([_days(offered_days, "The offer's days")] * missing if offered_days is not None else []),
    ]
    pmf = np.bincount(seen) / len(seen)
    mean, sd = float(np.mean(seen)), float(np.std(seen))
    late = sum(days > 0 for days in days_late) / count if count else 0.0
    return LeadTime(mean, sd, pmf if sd else None, late, count, _source(count, missing))


def _days(days: int, what: str) -> int:
    if whole(days, what) > MOST_DAYS:
        raise PlanningError(f"{what}: no more than {MOST_DAYS}, not {days}.")
    return days


def _source(count: int, missing: int) -> str:
    if not count:
        return "the offer's figure: no delivery yet"
    deliveries = "1 delivery" if count == 1 else f"{count} deliveries"
    return f"{deliveries} and the offer's figure" if missing else deliveries


@dataclass(frozen=True)
class LeadColumns:
    """The lead times of many parts: `days` and `weights` are of shape (parts, most days that occur).

    A part with fewer has days of weight 0.
    """

    days: Floats
    weights: Floats

    @classmethod
    def of(cls, leads: Sequence[LeadTime]) -> LeadColumns:
        import numpy as np

        spreads = {id(lead): lead.spread for lead in leads}
        most = max((len(days) for days, _ in spreads.values()), default=1)
        padded = {key: [(*row, *(0.0,) * (most - len(row))) for row in two] for key, two in spreads.items()}
        rows = [padded[id(lead)] for lead in leads]
        shape = (len(leads), most)
        return cls(
            np.array([days for days, _ in rows], np.float64).reshape(shape),
            np.array([weights for _, weights in rows], np.float64).reshape(shape),
        )

    @classmethod
    def fixed(cls, days: Floats) -> LeadColumns:
        """One fixed lead time for each part."""
        import numpy as np

        column = np.asarray(days, np.float64)[:, None]
        return cls(column, np.ones_like(column))

    def __post_init__(self) -> None:
        import numpy as np

        if self.days.shape != self.weights.shape or self.days.ndim != 2:
            raise PlanningError("Days and weights of lead times: two tables of one shape, a row for a part.")
        if not np.all((self.days >= 0) & (self.days <= MOST_DAYS)):
            raise PlanningError(f"A delivery takes from 0 to {MOST_DAYS} days.")
        if not np.all(self.weights >= 0) or not np.allclose(self.weights.sum(axis=1), 1):
            raise PlanningError("The chances of a part's lead times make one whole.")

    def rows(self, chosen: NDArray[np.int64]) -> LeadColumns:
        return LeadColumns(self.days[chosen], self.weights[chosen])

    @property
    def mean(self) -> Floats:
        mean: Floats = (self.days * self.weights).sum(axis=1)
        return mean
