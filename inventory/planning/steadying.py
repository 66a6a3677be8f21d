"""How lumpy a part is, from what is usual among all parts as well as from its own few sales.

How far demand lies from its forecast is known badly: of the dozen months in which a part sells, one lump
more or less decides. Held to the months that came after, parts that looked calm were lumpier than they had
looked, and parts that looked wild were calmer. So each part leans on the usual one: a shrunken estimate, as
James and Stein have it (common practice in statistics, from memory); the weight is our own, from the
back-test (docs/buying.md).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from .figures import whole

if TYPE_CHECKING:
    from .forecasting import Forecasts

LEANS = 24


def steadied(forecasts: Forecasts, *, leans: int = LEANS) -> Forecasts:
    """The same forecasts, their variance for each piece of the mean drawn towards that of all parts together.

    A part that was asked for in n periods keeps the share n / (n + `leans`) of its own figure. Means stay,
    and what is drawn from past periods (`Forecast.sample`) too. PlanningError for a weight below 0.
    """
    import numpy as np

    whole(leans, "The periods that the usual part weighs")
    expected = forecasts.mean.sum()
    usual = forecasts.variance.sum() / expected if expected > 0 else 1.0
    sold = (forecasts.values > 0).sum(axis=1)
    own = np.divide(sold, sold + leans, out=np.zeros(len(sold)), where=sold + leans > 0)
    return replace(forecasts, variance=own * forecasts.variance + (1 - own) * usual * forecasts.mean)
