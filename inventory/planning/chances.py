"""The chances of so many pieces: Poisson, and negative binomial where the variance is above the mean.

Negative binomial demand is what comes of customers who arrive at random and take several pieces each (Poisson
arrivals of log-series sizes; Feller, An Introduction to Probability Theory I, XII.2, from memory). Both are
one formula by the ratio of neighbours, p[n] / p[n-1] = (mean * share + (n - 1) * (1 - share)) / n, where
`share` is mean / variance, 1 for Poisson.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# What is less likely than this counts for nothing.
TAIL = 1e-9
# Above this the least likely figures are too small for a product of ratios, and logarithms are taken.
SMALLEST_LOG = -600.0
# So near to Poisson the two cannot be told apart, nor their ratios be reckoned.
NEAR = 1e-9


def chances(mean: Floats, share: Floats, width: int) -> Floats:
    """The chances of 0 to `width` - 1 pieces, of shape (parts, width)."""
    import numpy as np

    rest = 1 - share
    # -log(share) / (1 - share), which is 1 where they meet.
    bend = np.where(rest > 0, -np.log1p(-rest) / np.where(rest > 0, rest, 1), 1.0)
    first = -mean * share * bend
    n = np.arange(1, width)
    table = np.empty((len(mean), width))
    table[:, 1:] = ((mean * share)[:, None] + (n - 1) * rest[:, None]) / n
    far = first < SMALLEST_LOG
    table[:, 0] = np.exp(first)
    near = ~far
    table[near] = np.multiply.accumulate(table[near], axis=1)
    if far.any():
        logs = np.log(table[far, 1:])
        table[far, 1:] = np.exp(first[far, None] + np.cumsum(logs, axis=1))
    return table


def reach(mean: Floats, share: Floats) -> Floats:
    """So many pieces that more are less likely than TAIL, of shape (parts,)."""
    import numpy as np
    from scipy import stats

    poisson = share > 1 - NEAR
    most = np.zeros(mean.shape)
    chosen = poisson & (mean > 0)
    most[chosen] = stats.poisson.isf(TAIL, mean[chosen])
    chosen = ~poisson & (mean > 0)
    some = share[chosen]
    most[chosen] = stats.nbinom.isf(TAIL, mean[chosen] * some / (1 - some), some)
    return most
