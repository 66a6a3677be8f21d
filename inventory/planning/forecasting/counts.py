"""Distributions of a demand as arrays: the probability of 0, 1, 2, ... pieces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.planning.chances import TAIL, chances, reach
from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    Pmf = NDArray[np.float64]

LONGEST = 1 << 22


def count_pmf(mean: float, variance: float) -> Pmf:
    """Poisson demand, or where the variance is above the mean negative binomial demand, of that mean.

    Raises PlanningError for figures that no demand has, and for one spread over millions of pieces.
    """
    import numpy as np

    if not (0 <= mean < np.inf and 0 <= variance < np.inf):
        raise PlanningError(f"A mean and a variance of at least 0, not {mean!r} and {variance!r}.")
    if mean <= TAIL:  # A single piece is less likely than its mean.
        return np.ones(1)
    means, shares = np.array([mean]), np.array([mean / max(mean, variance)])
    most = float(reach(means, shares)[0])
    if not most < LONGEST:
        raise PlanningError(
            f"A demand of mean {mean:g} and variance {variance:g} is too wide to lay out in pieces."
        )
    return cut(chances(means, shares, int(most) + 2)[0])


def sample_pmf(sample: Sequence[float] | Pmf, periods: float) -> Pmf:
    """The demand of `periods` periods, each drawn from `sample` anew: exactly what endless drawing gives.

    The sample counts in whole pieces. A part of a period: so many whole ones with the fitting odds.
    """
    import numpy as np

    pieces = np.rint(np.asarray(sample, np.float64)).astype(np.int64)
    if pieces.size == 0 or pieces.min() < 0:
        raise PlanningError("A sample to draw from: at least one period, of at least 0 pieces each.")
    one = np.bincount(pieces) / pieces.size
    whole = int(periods)
    part = periods - whole
    if len(one) * (whole + 1) > LONGEST:
        raise PlanningError(f"{periods:g} periods of up to {pieces.max()} pieces are too many to lay out.")
    fewer = _power(one, whole)
    if part == 0:
        return cut(fewer)
    more = _power(one, whole + 1) * part
    more[: len(fewer)] += fewer * (1.0 - part)
    return cut(more)


def quantiles(pmf: Pmf, levels: Sequence[float]) -> NDArray[np.int64]:
    """The least number of pieces that is enough with at least each of these probabilities."""
    import numpy as np

    if not all(0 < level < 1 for level in levels):
        raise PlanningError(f"Levels lie between 0 and 1, not {list(levels)}.")
    enough = np.cumsum(pmf)
    # A level that is met exactly is not missed by the last bit.
    return np.minimum(np.searchsorted(enough, np.asarray(levels) - 1e-12), len(pmf) - 1).astype(np.int64)


def cut(pmf: Pmf) -> Pmf:
    """Without the tail that is less likely than TAIL, and of sum 1."""
    import numpy as np

    beyond = np.cumsum(pmf[::-1])[::-1]
    kept = pmf[: max(1, int((beyond >= TAIL).sum()))]
    return np.asarray(kept / kept.sum())


def _power(pmf: Pmf, times: int) -> Pmf:
    """The distribution of the sum of so many independent demands."""
    import numpy as np

    length = (len(pmf) - 1) * times + 1
    if times < 2:
        return np.ones(1) if times == 0 else pmf.copy()
    size = 1 << (length - 1).bit_length()
    return np.maximum(np.fft.irfft(np.fft.rfft(pmf, size) ** times, size)[:length], 0.0)
