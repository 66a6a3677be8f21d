"""A way to set targets: what it makes of the past, and the levels that it keeps for a wanted service."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .rules import Rules

    Figures = NDArray[np.float64]
    Whole = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Seen:
    """What a policy expects of one period, shapes (parts,). `cents` is the price of a piece."""

    mean: Figures
    variance: Figures
    cents: Figures


@dataclass(frozen=True, eq=False)
class Levels:
    """For each part: order when the position is at `reorder_at` or below, up to `up_to`. Whole pieces."""

    reorder_at: Whole
    up_to: Whole


@dataclass(frozen=True)
class Policy:
    """`look` sees a table (parts, periods so far), NaN before a part was on sale, and the prices.

    It is called at each refresh; `levels` with what it saw and a wanted service, as often as it takes.
    """

    name: str
    look: Callable[[Figures, Figures, Rules], Seen]
    levels: Callable[[Seen, float, Rules], Levels]
