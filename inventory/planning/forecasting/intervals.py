"""Intermittent demand as a size and an interval. Croston (1972), Syntetos and Boylan (2005), from memory."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .table import checked, share

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from .table import Matrix


def croston(values: ArrayLike, alpha: float = 0.1) -> Matrix:
    """Smoothed size of a demand over the smoothed interval between demands, both by `alpha`.

    Both move only in a period with demand. The first demand is the first size, and its position (counted
    from 1 where the part came on sale) the first interval; before it the forecast is 0.
    Shape (parts, periods + 1), as `moving_average` describes.
    """
    import numpy as np

    table = checked(values)
    share(alpha, "The smoothing constant")
    parts, periods = table.shape
    means = np.full((parts, periods + 1), np.nan)
    size, interval, waited = np.zeros(parts), np.ones(parts), np.zeros(parts)
    sold = np.zeros(parts, np.bool_)
    for period, demand in enumerate(table.T, 1):
        known, hit = ~np.isnan(demand), demand > 0
        waited += known
        # Before the first demand nothing is smoothed: it is taken whole.
        weight = np.where(sold, alpha, 1.0)
        size = np.where(hit, size + weight * (demand - size), size)
        interval = np.where(hit, interval + weight * (waited - interval), interval)
        waited[hit] = 0.0
        sold |= hit
        means[:, period] = np.where(known, size / interval, np.nan)
    return means


def sba(values: ArrayLike, alpha: float = 0.1) -> Matrix:
    """Croston's forecast less its bias: times (1 - alpha / 2)."""
    return croston(values, alpha) * (1.0 - alpha / 2.0)
