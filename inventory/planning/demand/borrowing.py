"""What a new part may expect: the kits that will be sold, times how often its slot is filled with it."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import TYPE_CHECKING, TypeVar

from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

P = TypeVar("P", bound=Hashable)


def borrowed_means(parts: Sequence[P], slots: Iterable[tuple[P, float, float, int]]) -> NDArray[np.float64]:
    """For each part what its slots ask for in one period, summed; NaN for a part of no slot.

    A slot is (part, kits of its template a period, share of them that take this part, pieces in a kit).
    The result is the `prior_mean` of `forecast_many`. Slots of other parts are passed over.
    """
    import numpy as np

    means: dict[P, float] = {}
    for part, kits, share, pieces in slots:
        if not (0 <= kits < float("inf") and 0 <= share <= 1 and pieces >= 1):
            raise PlanningError(
                f"A slot of part {part!r}: kits of at least 0, a share up to 1 and at least one piece, "
                f"not {kits!r}, {share!r}, {pieces!r}."
            )
        means[part] = means.get(part, 0.0) + kits * share * pieces
    return np.array([means.get(part, np.nan) for part in parts], np.float64)
