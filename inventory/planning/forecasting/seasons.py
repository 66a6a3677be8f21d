"""Seasons as an index to each month of the year, where at least two full years show them.

Ratio to the yearly average, common practice, no source; drawn towards 1 as one more even year would do it,
because a few pieces a month look seasonal by chance.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .averages import moving_average
from .table import at_least, checked

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from .table import Matrix

SEASON = 12
YEARS = 2
EVEN_YEARS = 1.0


def seasonal(values: ArrayLike, season: int = SEASON) -> Matrix:
    """The mean of the last year times the index of the period to come; NaN before two full years.

    Shape (parts, periods + 1), as `moving_average` describes. A whole year's mean holds every month once,
    so that the level itself has no season in it.
    """
    import numpy as np

    table = checked(values)
    at_least(season, "Periods in a year", 2)
    level = moving_average(table, season)
    means = np.full_like(level, np.nan)
    for period in range(YEARS * season, table.shape[1] + 1):
        means[:, period] = level[:, period] * indices(table, period, season)[:, 0]
    return means


def indices(table: Matrix, origin: int, season: int = SEASON) -> Matrix:
    """The indices of the `season` periods from `origin` on, from the full years before it; their mean is 1.

    Shape (parts, season); NaN for a part with fewer than two full years, ones where nothing was sold.
    """
    import numpy as np

    years = origin // season
    if years < YEARS:
        return np.full((table.shape[0], season), np.nan)
    shaped = table[:, origin - years * season : origin].reshape(-1, years, season)
    full = ~np.isnan(shaped[:, :, 0])
    count = full.sum(axis=1).astype(np.float64)[:, None]
    by_month = np.where(full[:, :, None], shaped, 0.0).sum(axis=1)
    yearly = by_month.mean(axis=1, keepdims=True)
    ratio = np.divide(by_month, yearly, out=np.ones_like(by_month), where=yearly > 0)
    shrunk = (count * ratio + EVEN_YEARS) / (count + EVEN_YEARS)
    return np.where(count >= YEARS, shrunk, np.nan)
