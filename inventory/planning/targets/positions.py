"""Where the position stands after a review that orders whole packs up to a level.

At each review, when the position has fallen to the reorder point or below, the fewest packs are ordered that
bring it to the order-up-to level. The stock is reviewed for ever, so what counts is the share of reviews
after which the position is so far above the reorder point.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

FADE = 1e-10  # what is left of a term that the transform wraps around


def positions(window: Floats, lot: Whole, pack: Whole) -> Floats:
    """`[part, j]`: the share of reviews that leave the position at the reorder point + 1 + j.

    `window` holds the chances of the demand between reviews, (parts, at least the largest lot); `lot` the
    distance from the reorder point to the highest position, in whole packs. The order-up-to level is
    reorder point + lot - pack + 1.

    Exact, by renewal theory (Snyder & Shen, chapter 4, after Zheng & Federgruen 1991, for packs of one). A
    lot of one pack makes every position as frequent as every other.
    """
    import numpy as np
    from scipy.fft import irfft, next_fast_len, rfft

    most = int(lot.max())
    size = next_fast_len(2 * most, real=True)
    # Series in powers of z are divided on a circle inside the unit circle, where 1 - window(z) is not 0.
    shrink = (FADE ** (np.arange(size) / size))[:most]
    below = np.arange(most)  # pieces below the highest position
    here = below < lot[:, None]
    renewal = 1 / (1 - rfft(window[:, :most] * shrink, size))
    visits = np.where(here, irfft(renewal, size)[:, :most] / shrink, 0)
    starts = np.zeros_like(visits)
    starts[:, 0] = 1 / visits.sum(axis=1)
    for row in np.flatnonzero((pack > 1) & (pack < lot)):
        starts[row, : pack[row]] = _starts(visits[row, : lot[row]], int(pack[row]))
    shares = irfft(rfft(starts * shrink, size) * renewal, size)[:, :most] / shrink
    shares = np.where(here, np.maximum(shares, 0), 0)
    shares = np.where((pack == lot)[:, None] & here, 1 / lot[:, None], shares)
    # From the reorder point upwards.
    upwards = lot[:, None] - 1 - below
    return np.where(upwards >= 0, np.take_along_axis(shares, np.maximum(upwards, 0), axis=1), 0)


def _starts(visits: Floats, pack: int) -> Floats:
    """How often an order leaves the position so far below the highest, less than a pack, in all reviews.

    An order of whole packs keeps the remainder of the position by packs; demand alone moves it, as a walk
    around a ring does, so that every remainder is as frequent as every other. `visits` are those of a start
    at the top. That is one equation for each remainder, the same along each diagonal.
    """
    import numpy as np
    from scipy.linalg import solve_toeplitz

    by_remainder = visits.reshape(-1, pack).sum(axis=0)
    row = np.append(by_remainder[:1], (by_remainder - visits[-pack:])[:0:-1])
    starts: Floats = solve_toeplitz((by_remainder, row), np.full(pack, 1 / pack))
    return starts
