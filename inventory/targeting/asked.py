"""What will be asked for of every part: one forecast of all of them at once, steadied by what is usual."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from inventory.demand import borrowed, known_demand
from inventory.planning.demand import Series, borrowed_means, classify
from inventory.planning.forecasting import Forecasts, forecast_many
from inventory.planning.ordering import DAYS_PER_YEAR
from inventory.planning.steadying import steadied

from .telling import Tell, silent

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MONTH_DAYS = DAYS_PER_YEAR / 12
# A part that was on sale for fewer months leans on what it may borrow.
YOUNG = 12


@dataclass(frozen=True, eq=False)
class Asked:
    """Past and future of the parts' demand, a row each; `row_of` names them. Periods are months."""

    series: Series[int]
    row_of: dict[int, int]
    forecasts: Forecasts
    kinds: NDArray[np.str_]

    @property
    def months_known(self) -> NDArray[np.int64]:
        """For each row the months for which the part was on sale."""
        import numpy as np

        known: NDArray[np.int64] = (~np.isnan(self.series.values)).sum(axis=1)
        return known

    def over(self, days: dict[int, float]) -> dict[int, tuple[float, float]]:
        """By part, mean and variance of one month, as they are over the coming `days` of each of them."""
        import numpy as np

        months = np.ones(len(self.forecasts))
        for part, some in days.items():
            months[self.row_of[part]] = max(some / MONTH_DAYS, 1e-6)
        mean, variance = self.forecasts.over(months)
        rows = {part: self.row_of[part] for part in days}
        return {
            part: (float(mean[row] / months[row]), float(variance[row] / months[row]))
            for part, row in rows.items()
        }


def asked(until: date, tell: Tell = silent, *, part_ids: Collection[int] | None = None) -> Asked:
    """The demand of all parts in the whole months before `until`, and the forecast from there on.

    Large orders that will not come again are left out; what was asked for and not had is not. What is new in
    the shop leans on the kits that it may go into.
    """
    series = known_demand(until, part_ids=part_ids, one_offs=False)
    forecasts = forecast_many(
        series.values,
        prior_mean=_priors(series, until),
        young=YOUNG,
        progress=lambda done, total: tell(done, total, "forecast"),
    )
    rows = {part: row for row, part in enumerate(series.parts)}
    return Asked(series, rows, steadied(forecasts), classify(series.values).kind)


def _priors(series: Series[int], until: date) -> Floats:
    """For each row what it may borrow, NaN for what is old, or was never here: a catalogue is no custom."""
    import numpy as np

    months = (~np.isnan(series.values)).sum(axis=1)
    new = [part for part, known in zip(series.parts, months.tolist(), strict=True) if 0 < known < YOUNG]
    return borrowed_means(series.parts, borrowed(new, until) if new else [])
