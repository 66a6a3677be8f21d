"""How much of a part is asked for, and how lumpy it is: from all parts as well as from its own few sales.

How far demand lies from its forecast is known badly: of the dozen months in which a part sells, one lump
more or less decides. Held to the months that came after, parts that looked calm were lumpier than they had
looked, and parts that looked wild were calmer. So each part leans on the usual one: a shrunken estimate, as
James and Stein have it (common practice in statistics, from memory); the weight is our own, from the
back-test (docs/buying.md).

Bolts go by the dozen and pumps by ones, so no spread is usual for both: what is usual is the spread of parts
that go in like numbers, the nearer the more (a kernel's weighted mean, as Nadaraya and Watson have it, from
memory; how near is near is our own, and common practice has none).

Whether trade as a whole grows or falls off is known well, and a smoothed level follows late. So all means are
moved by what came of all parts together, in the periods that the methods were held to, over what had been
expected: the total is forecast from above, the parts in proportion (top-down forecasts, as in Hyndman &
Athanasopoulos, Forecasting: Principles and Practice, from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from .figures import whole

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .forecasting import Forecasts

    Figures = NDArray[np.float64]

LEANS = 24
# A part that goes in numbers three times as large weighs 0.6 of a like one, nine times as large 0.14.
LIKE = math.log(3)
STEP = LIKE / 4
# How far a year's trade is from the last one's, before looking: a tenth. Our own; common practice has none.
DRIFT = 0.1


def steadied(forecasts: Forecasts, *, leans: int = LEANS) -> Forecasts:
    """The same forecasts in step with all parts together, in mean and in variance.

    All means are moved by the same share, `drift`; what a mean has borrowed is left alone. The variance for
    each piece of the mean is drawn towards the `usual`: a part that was asked for in n periods keeps the
    share n / (n + `leans`) of its own figure. What is drawn from past periods (`Forecast.sample`) stays.
    PlanningError for a weight below 0.
    """
    import numpy as np

    whole(leans, "The periods that the usual part weighs")
    moved = 1 + (1 - forecasts.prior_share) * (drift(forecasts) - 1)
    mean, variance = moved * forecasts.mean, moved * forecasts.variance
    sold = (forecasts.values > 0).sum(axis=1)
    own = np.divide(sold, sold + leans, out=np.zeros(len(sold)), where=sold + leans > 0)
    return replace(forecasts, mean=mean, variance=own * variance + (1 - own) * usual(forecasts) * mean)


def usual(forecasts: Forecasts) -> Figures:
    """For each part the variance for each piece of the mean that parts have which go in like numbers.

    A part goes in the pieces of a period in which it is asked for at all, on average; one that never was is
    taken to go as parts do: in the geometric mean of theirs, by periods. Numbers are told apart by STEP.
    """
    import numpy as np

    asked = forecasts.values > 0
    sold = asked.sum(axis=1)
    pieces = np.where(asked, forecasts.values, 0.0).sum(axis=1)
    size = np.log(np.divide(pieces, sold, out=np.ones(len(sold)), where=sold > 0))
    size[sold == 0] = (size * sold).sum() / max(1, sold.sum())
    steps = np.rint(size / STEP).astype(np.int64)
    steps -= steps.min(initial=0)
    apart = STEP * np.arange(steps.max(initial=0) + 1)
    near = np.exp(-(((apart[:, None] - apart) / LIKE) ** 2) / 2)
    spread = near @ np.bincount(steps, forecasts.variance, len(apart))
    pace = near @ np.bincount(steps, forecasts.mean, len(apart))
    found: Figures = np.divide(spread, pace, out=np.ones(len(apart)), where=pace > 0)[steps]
    return found


def drift(forecasts: Forecasts) -> float:
    """What came of all parts together over what had been expected, as far as it can be told from chance.

    By the variances of the parts so many pieces are off by chance alone; the share that is left of the
    difference is that of DRIFT in both together (the best linear guess of its true size).
    """
    expected = float(forecasts.expected.sum())
    if expected <= 0:
        return 1.0
    periods = expected / max(float(forecasts.mean.sum()), 1e-300)
    chance = float(forecasts.variance.sum()) * periods / expected**2
    told = DRIFT**2 / (DRIFT**2 + chance)
    return 1 + told * (float(forecasts.came.sum()) / expected - 1)
