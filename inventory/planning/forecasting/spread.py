"""How far demand lies from its forecast: the variance of one period, from the errors made so far.

Not from a fitted compound: the errors also hold what the method gets wrong, they need no assumption on how
demands cluster, and one formula serves every method.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .table import Matrix

FORGETTING = 0.03
PRIOR_PERIODS = 2.0


def spread(table: Matrix, means: Matrix, level: Matrix | None = None) -> Matrix:
    """The variance of the demand of one period, as known before it: shape of `means`, (parts, periods + 1).

    A mean of squared one-step errors in which each period weighs FORGETTING less than the next, together with
    PRIOR_PERIODS in which the variance was the mean, as for Poisson demand: a part with few errors so far is
    taken for a plain one. `level` is the mean of an average period, where `means` have seasons in them.
    """
    import numpy as np

    plain = means if level is None else level
    variances = np.full_like(means, np.nan)
    total, weight = np.zeros(len(table)), np.zeros(len(table))
    for period in range(means.shape[1]):
        variances[:, period] = (total + PRIOR_PERIODS * plain[:, period]) / (weight + PRIOR_PERIODS)
        if period < table.shape[1]:
            error = (table[:, period] - means[:, period]) ** 2
            known = ~np.isnan(error)
            total = np.where(known, (1.0 - FORGETTING) * total + np.where(known, error, 0.0), total)
            weight = np.where(known, (1.0 - FORGETTING) * weight + 1.0, weight)
    return variances
