"""Intermittent demand as a size and a probability, so that a part that dies out is let go.

Teunter, Syntetos and Babai (2011), from memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .table import checked, share

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from .table import Matrix


def tsb(values: ArrayLike, alpha_size: float = 0.1, alpha_probability: float = 0.1) -> Matrix:
    """Smoothed size of a demand times the smoothed probability that a period has one.

    The probability moves in every period, from 1 or 0 in the first; the size only with a demand, from the
    first one. Shape (parts, periods + 1), as `moving_average` describes.
    """
    import numpy as np

    table = checked(values)
    share(alpha_size, "The smoothing constant of the size")
    share(alpha_probability, "The smoothing constant of the probability")
    parts, periods = table.shape
    means = np.full((parts, periods + 1), np.nan)
    size, probability = np.zeros(parts), np.full(parts, np.nan)
    sold = np.zeros(parts, np.bool_)
    for period, demand in enumerate(table.T, 1):
        hit = demand > 0
        happened = np.where(np.isnan(demand), np.nan, hit.astype(np.float64))
        probability = np.where(
            np.isnan(probability), happened, probability + alpha_probability * (happened - probability)
        )
        size = np.where(hit, size + np.where(sold, alpha_size, 1.0) * (demand - size), size)
        sold |= hit
        means[:, period] = size * probability
    return means
