"""The table that every method reads: a row a part, a column a period, NaN before a part was on sale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Matrix = NDArray[np.float64]
    Mask = NDArray[np.bool_]


def checked(values: ArrayLike) -> Matrix:
    """`values` as float64 of shape (parts, periods); a single row may come flat.

    Raises PlanningError for a table of another shape, a demand below 0 or endless, and a hole: once a
    part is on sale each of its periods has a figure, 0 for none.
    """
    import numpy as np

    try:
        table = np.atleast_2d(np.asarray(values, np.float64))
    except (TypeError, ValueError):
        raise PlanningError("Demand: a table of numbers with as many periods in each row.") from None
    if table.ndim != 2:
        raise PlanningError(f"Demand: a table of parts by periods, not {table.ndim} dimensions.")
    known = ~np.isnan(table)
    hole = known[:, :-1] & ~known[:, 1:]
    if hole.any():
        row, column = np.argwhere(hole)[0]
        raise PlanningError(
            f"Row {row} has no demand for period {column + 1} after it was on sale: give 0 for none."
        )
    wrong = known & ~((table >= 0) & (table < np.inf))
    if wrong.any():
        row, column = np.argwhere(wrong)[0]
        raise PlanningError(
            f"Row {row}, period {column}: a demand of at least 0, not {table[row, column]:g}."
        )
    return table


def share(value: float, what: str) -> float:
    """`value` if it smooths: above 0 and at most 1."""
    if not 0 < value <= 1:
        raise PlanningError(f"{what}: above 0 and at most 1, not {value!r}.")
    return value


def at_least(value: int, what: str, least: int = 1) -> int:
    """`value` if it is a whole number of at least `least`."""
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        raise PlanningError(f"{what}: a whole number of at least {least}, not {value!r}.")
    return value
