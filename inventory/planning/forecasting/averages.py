"""The mean of the last periods: the simplest method, and the level under the bootstrap and the seasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .table import at_least, checked

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from .table import Matrix

WINDOW = 12


def moving_average(values: ArrayLike, window: int = WINDOW) -> Matrix:
    """The mean of the last `window` periods that are known, of fewer while there are fewer.

    Shape (parts, periods + 1), as with every method: column t is forecast from the columns before t, NaN
    where none of them is known, so that the last column is the forecast of the period to come.
    """
    import numpy as np

    table = checked(values)
    at_least(window, "Periods in an average")
    known = ~np.isnan(table)
    total = _sums_of_last(np.where(known, table, 0.0), window)
    count = _sums_of_last(known.astype(np.float64), window)
    # Cumulative sums of fractions may end a hair below nothing.
    return np.divide(np.maximum(total, 0.0), count, out=np.full_like(total, np.nan), where=count > 0)


def _sums_of_last(table: Matrix, window: int) -> Matrix:
    import numpy as np

    sums = np.zeros((table.shape[0], table.shape[1] + 1))
    np.cumsum(table, axis=1, out=sums[:, 1:])
    last = sums.copy()
    last[:, window + 1 :] -= sums[:, 1 : -window or None][:, : max(0, sums.shape[1] - window - 1)]
    return last
