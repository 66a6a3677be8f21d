"""Service under a reorder point and a lot, from the distribution of demand until a delivery is on the shelf.

The position (on hand and to come, less what customers wait for) is looked at after each piece; when it is at
the reorder point a lot is ordered, so that it goes evenly through reorder point + 1 up to reorder point + lot
(Zipkin, Foundations of Inventory Management, chapter 6; from memory). A shop that looks once in a while, and
orders up to a level, is in `reviewed`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# A wanted service counts as reached when the last digits of a float are all that it lacks.
HAIR = 1e-9


def losses(table: Floats) -> Floats:
    """The expected pieces beyond 0, 1, 2..., of each row of chances of so many (first-order loss)."""
    import numpy as np

    beyond = np.maximum(1 - np.cumsum(table, axis=1), 0)
    summed: Floats = np.cumsum(beyond[:, ::-1], axis=1)[:, ::-1]
    return summed


def expected_short(pmf: Floats, stock: int) -> float:
    """The pieces that `stock` lacks on average: what customers wait for when the delivery comes."""
    if stock < 0:
        raise PlanningError(f"A shelf does not hold {stock} pieces.")
    return float(losses(pmf[None])[0, stock]) if stock < len(pmf) else 0.0


def cycle_service_of(pmf: Floats, reorder_at: int) -> float:
    """The chance that what is there when ordering lasts until the delivery."""
    return min(1.0, float(pmf[: reorder_at + 1].sum()))


def fill_rate_of(pmf: Floats, reorder_at: int, lot: int) -> float:
    """The share of pieces served from the shelf at once.

    What waits at a position y is short(y - 1) - short(y) of a piece asked for, averaged over the lot.
    Exact for pieces asked for one at a time; a customer who wants several at once is served in part.
    """
    if lot < 1:
        raise PlanningError(f"A lot has at least one piece, not {lot}.")
    return 1 - (expected_short(pmf, reorder_at) - expected_short(pmf, reorder_at + lot)) / lot


def reorder_for_fill(pmf: Floats, lot: int, wanted: float) -> int:
    """The smallest reorder point with this fill rate."""
    import numpy as np

    _share(wanted)
    short = np.append(losses(pmf[None])[0], np.zeros(lot))
    rates = 1 - (short[:-lot] - short[lot:]) / lot
    return int(np.argmax(rates >= wanted - HAIR))


def reorder_for_cycle(pmf: Floats, wanted: float) -> int:
    """The smallest reorder point with this cycle service."""
    import numpy as np

    _share(wanted)
    return int(np.argmax(np.cumsum(pmf) >= min(wanted, 1 - HAIR) - HAIR))


def reorder_for_cost(pmf: Floats, lot: int, holding: float, waiting: float) -> int:
    """The reorder point of the least cost for a lot: a piece held, or waited for, costs so much in a time.

    The smallest r at which the chance of enough, averaged over the positions r + 1 to r + lot, is at least
    waiting / (waiting + holding).
    """
    import numpy as np

    enough = np.append(np.cumsum(pmf), np.ones(lot))
    summed = np.cumsum(np.append(np.zeros(1 + lot), enough))  # from position -lot on
    means = (summed[lot:] - summed[:-lot]) / lot
    # The first mean is of the positions -lot to -1, so of the reorder point -lot - 1.
    return int(np.argmax(means >= waiting / (waiting + holding) - 1e-12)) - lot - 1


def _share(wanted: float) -> None:
    if not 0 < wanted < 1:
        raise PlanningError(f"A wanted service lies between 0 and 1: 0.95 for 95 of 100, not {wanted}.")
