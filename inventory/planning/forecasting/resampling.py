"""The empirical bootstrap: the periods to come are drawn from the periods that were.

Willemain, Smart and Schwarz (2004) started it for parts; theirs also keeps runs and jitters sizes, ours is
the plain one. Where single periods are asked for nothing is drawn: the distribution that endless drawing
would give is known exactly (see `sample_pmf` in `counts`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .averages import moving_average
from .table import at_least

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from .table import Matrix

WINDOW = 24
DRAWS = 64


def bootstrap(values: ArrayLike, window: int = WINDOW) -> Matrix:
    """The mean of what is drawn from: of the last `window` known periods.

    Shape (parts, periods + 1), as `moving_average` describes.
    """
    return moving_average(values, window)


def windows(table: Matrix, origins: Sequence[int], window: int = WINDOW) -> Matrix:
    """What is known of the `window` periods before each origin: (parts, origins, window), NaN elsewhere."""
    import numpy as np

    at_least(window, "Periods to draw from")
    padded = np.concatenate([np.full((table.shape[0], window), np.nan), table], axis=1)
    views = np.lib.stride_tricks.sliding_window_view(padded, window, axis=1)
    return views[:, list(origins)]


def drawn_sums(samples: Matrix, steps: int, seed: int, draws: int = DRAWS) -> Matrix:
    """Sums of `steps` periods drawn from each of `samples` (..., window): (..., draws). Same seed, same sums.

    All rows share the draws, so that no row depends on its neighbours.
    """
    import numpy as np

    at_least(steps, "Periods ahead")
    known = (~np.isnan(samples)).sum(axis=-1)
    # Uneven runs are no matter: what is known stands at the end.
    where = np.random.default_rng(seed).random((steps, draws))
    sums = np.zeros((*samples.shape[:-1], draws))
    for step in where:
        back = 1 + np.floor(step * known[..., None]).astype(np.int64)
        sums += np.take_along_axis(samples, samples.shape[-1] - np.minimum(back, samples.shape[-1]), axis=-1)
    return sums
