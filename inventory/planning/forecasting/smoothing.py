"""Simple exponential smoothing. Brown (1959), from memory."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .table import checked, share

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from .table import Matrix


def ses(values: ArrayLike, alpha: float = 0.1) -> Matrix:
    """Each period moves the level by `alpha` of the error; the first known demand is the first level.

    Shape (parts, periods + 1), as `moving_average` describes.
    """
    import numpy as np

    table = checked(values)
    share(alpha, "The smoothing constant")
    means = np.full((table.shape[0], table.shape[1] + 1), np.nan)
    level = means[:, 0]
    for period, demand in enumerate(table.T, 1):
        level = np.where(np.isnan(level), demand, level + alpha * (demand - level))
        means[:, period] = level
    return means
