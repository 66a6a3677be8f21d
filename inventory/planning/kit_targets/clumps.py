"""Orders that come in clumps, as generating functions: sums of demand become products.

Kit orders with a ratio of variance to mean above 1 are a Poisson stream of clumps whose sizes are
logarithmic, which makes their number over any time negative binomial (Quenouille 1949, from memory).
A generating function is kept as its values on the unit circle, the discrete Fourier transform.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Waves = NDArray[np.complex128]


def mean_size(ratio: float) -> float:
    """Orders in a clump on average."""
    theta = 1 - 1 / ratio
    return 1.0 if theta == 0 else theta / ((1 - theta) * -math.log1p(-theta))


def sizes(wave: Waves, ratio: float) -> Waves:
    """Generating function of what the orders of one clump take together; `wave` is that of one order."""
    import numpy as np

    theta = 1 - 1 / ratio
    if theta == 0:
        return wave
    return np.asarray(np.log(1 - theta * wave) / math.log1p(-theta), np.complex128)


def ahead(wave: Waves, ratio: float) -> Waves:
    """Generating function of what the orders before a given one in its clump take.

    The number of them, J, has P(J = j) = P(size > j) / mean size.
    """
    import numpy as np

    if ratio == 1:
        return np.ones_like(wave)
    beyond = np.abs(1 - wave) > 1e-9
    safe = np.where(beyond, wave, 0)
    reckoned = (1 - sizes(safe, ratio)) / (mean_size(ratio) * (1 - safe))
    return np.where(beyond, reckoned, 1)


def cumulative(wave: Waves, size: int) -> Floats:
    """The distribution function on 0..size-1 (last axis) whose generating function is `wave`."""
    import numpy as np

    chances = np.clip(np.fft.irfft(wave, size), 0, None)
    return np.minimum(np.cumsum(chances, axis=-1), 1.0)


def waves(chances: Floats, size: int) -> Waves:
    """Generating function of the distribution `chances` on 0, 1, 2..."""
    import numpy as np

    return np.asarray(np.fft.rfft(chances, size))


def orders(mean: float, ratio: float, size: int) -> Floats:
    """Probabilities of 0..size-1 orders in a time with so many on average: negative binomial, or Poisson."""
    import numpy as np
    from scipy.special import gammaln, xlogy

    counts = np.arange(size)
    if ratio == 1 or mean == 0:
        return np.asarray(np.exp(xlogy(counts, mean) - mean - gammaln(counts + 1)))
    shape, theta = mean / (ratio - 1), 1 - 1 / ratio
    ways = gammaln(counts + shape) - gammaln(shape) - gammaln(counts + 1)
    return np.asarray(np.exp(ways + counts * math.log(theta) - shape * math.log(ratio)))


def orders_ahead(ratio: float, size: int) -> Floats:
    """Probabilities of 0..size-1 orders before a given one in its clump: see `ahead`."""
    import numpy as np

    if ratio == 1:
        return np.asarray(np.eye(1, size)[0])
    theta = 1 - 1 / ratio
    within = np.array([theta**y / y for y in range(1, size + 1)]) / -math.log1p(-theta)
    beyond: Floats = np.clip(1 - np.concatenate([[0.0], np.cumsum(within)[:-1]]), 0, None)
    return np.asarray(beyond / mean_size(ratio))


def split(share: float, mean: float, ratio: float, size: int) -> Floats:
    """[n, m]: the probability that m of n orders fall into this share of the time: for m, n < size.

    Binomial for Poisson orders, beta-binomial for negative binomial ones. `mean` is that of the whole time.
    """
    import numpy as np

    part = orders(share * mean, ratio, size)
    rest = orders((1 - share) * mean, ratio, size)
    both: Floats = np.array([part * _reversed(rest, n) for n in range(size)])
    return np.asarray(both / np.maximum(both.sum(axis=1, keepdims=True), 1e-300))


def _reversed(rest: Floats, n: int) -> Floats:
    """rest[n - m] for m = 0, 1, 2..., and 0 where that is below 0."""
    import numpy as np

    return np.concatenate([rest[n::-1], np.zeros(len(rest) - n - 1)])


def enough(mean: float, ratio: float = 1.0) -> int:
    """So many orders that more in one stretch of time are less likely than one in ten million."""
    return int(mean + 5.5 * math.sqrt(ratio * mean) + 10 + 25 * (ratio - 1))
