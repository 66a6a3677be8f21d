"""The ranked probability score of a distribution of counts, against what then was asked for. Less is better.

The sum over all counts k of (P(demand <= k) - [what came <= k])^2: Epstein (1969); for counts Czado, Gneiting
and Held (2009), both from memory. It is proper: nobody gains by forecasting what he does not believe. It is
in pieces, and falls back to the absolute error for a forecast without spread. Percentage errors have no
meaning where most periods have no demand; squared and absolute errors of the mean alone do not see the spread
that the stock has to cover, and the absolute error favours a forecast of nothing.

The closed forms follow from E|X - y| - E|X - X'| / 2 (Gneiting and Raftery 2007; for the negative binomial
Wei and Held 2014; from memory). The tests sum the definition.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Figures = NDArray[np.float64]

# Nearer to Poisson than this, demand is Poisson.
EVEN = 1.0 + 1e-6
# Up to so many "failures" SciPy's series holds; beyond, it fails here and there.
FEW = 20.0
# Up to this variance NODES points of the integral are exact to the last digits.
NARROW, NODES = 100.0, 64


def count_score(mean: Figures, variance: Figures, came: Figures) -> Figures:
    """The score of Poisson demand, or where the variance is above the mean of negative binomial demand.

    Arrays of one shape; NaN in, NaN out. A mean of 0 is the forecast that nothing comes.
    """
    import numpy as np

    score = np.full(mean.shape, np.nan)
    known = ~(np.isnan(mean) | np.isnan(variance) | np.isnan(came))
    even = known & ~(variance > mean * EVEN)
    nothing = known & (mean <= 0)
    wide = known & ~even & ~nothing
    even &= ~nothing
    score[nothing] = came[nothing]
    score[even] = _poisson(mean[even], came[even])
    score[wide] = _negative_binomial(mean[wide], variance[wide], came[wide])
    return score


def sample_score(samples: Figures, came: Figures, *, drawn: bool = False) -> Figures:
    """The score of the distribution that `samples` (..., n) make up, of `came` (...). NaN stands for nobody.

    With `drawn` they are draws from a distribution, and the score is that of the distribution itself on
    average (the fair score of Ferro 2014, from memory): pairs of a draw with itself do not count.
    """
    import numpy as np

    ordered = np.sort(samples, axis=-1)
    count = (~np.isnan(samples)).sum(axis=-1).astype(np.float64)
    off = np.nansum(np.abs(ordered - came[..., None]), axis=-1)
    ranks = 2.0 * np.arange(1, samples.shape[-1] + 1) - count[..., None] - 1.0
    # Half the sum of |x - x'| over all ordered pairs.
    apart = np.nansum(ranks * ordered, axis=-1)
    pairs = count * (count - 1.0 if drawn else count)
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = np.where(pairs > 0, apart / pairs, np.where(count > 0, 0.0, np.nan))
        return np.asarray(np.where(np.isnan(came), np.nan, off / count - spread))


def _poisson(mean: Figures, came: Figures) -> Figures:
    import numpy as np
    from scipy.special import gammaincc, i0e, i1e

    whole = np.floor(came)
    at_most = gammaincc(whole + 1.0, mean)
    below = np.where(whole > 0, gammaincc(np.maximum(whole, 1.0), mean), 0.0)
    apart = mean * (i0e(2.0 * mean) + i1e(2.0 * mean))
    return np.asarray(came * (2.0 * at_most - 1.0) - mean * (2.0 * below - 1.0) - apart)


def _negative_binomial(mean: Figures, variance: Figures, came: Figures) -> Figures:
    import numpy as np
    from scipy.special import betainc

    chance = mean / variance
    failures = mean * chance / (1.0 - chance)
    whole = np.floor(came)
    at_most = betainc(failures, whole + 1.0, chance)
    below = np.where(whole > 0, betainc(failures + 1.0, np.maximum(whole, 1.0), chance), 0.0)
    score = came * (2.0 * at_most - 1.0) - mean * (2.0 * below - 1.0) - _apart(failures, chance, variance)
    return np.asarray(score)


def _apart(failures: Figures, chance: Figures, variance: Figures) -> Figures:
    """Half of how far two independent negative binomial demands lie apart on average.

    The closed form where its series holds; else the integral of the characteristic function, or for a wide
    demand the normal value with its first corrections, for kurtosis and for whole pieces, right to a
    ten-thousandth.
    """
    import numpy as np

    step = (1.0 - chance) / chance**2
    apart = np.sqrt(variance / np.pi) * (1.0 - (6.0 / failures + 3.0 / variance) / 48.0)
    few = failures <= FEW
    apart[few] = variance[few] * _series(failures[few], -4.0 * step[few])
    narrow = ~few & (variance <= NARROW)
    turn = 1.0 - np.cos((np.arange(NODES) + 0.5) * np.pi / NODES)
    squared = -failures[narrow, None] * np.log1p(2.0 * step[narrow, None] * turn)
    apart[narrow] = -0.5 * (np.expm1(squared) / turn).mean(axis=-1)
    return np.asarray(apart)


def _series(failures: Figures, argument: Figures) -> Figures:
    """The hypergeometric series 2F1(failures + 1, 1/2; 2; argument).

    Next to whole and half numbers SciPy loses digits, or fails; there the same is taken by Pfaff's
    transformation, which is right everywhere and takes several times as long.
    """
    import numpy as np
    from scipy.special import hyp2f1

    awkward = np.abs(2.0 * failures - np.rint(2.0 * failures)) < 1e-3
    found = np.empty_like(failures)
    there, z = failures[~awkward], argument[~awkward]
    found[~awkward] = hyp2f1(there + 1.0, 0.5, 2.0, z)
    there, z = failures[awkward], argument[awkward]
    found[awkward] = hyp2f1(1.0 - there, 0.5, 2.0, z / (z - 1.0)) / np.sqrt(1.0 - z)
    return found
