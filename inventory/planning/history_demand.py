"""The demand over a time, drawn from what was asked for in past periods and from no formula.

Whole periods are drawn independently from the history. Of a period that is cut, either each piece falls into
the part with its share of the time (smooth parts), or all of it does with that chance (lumpy parts: one
order on one day); the two are mixed so that the variance grows in proportion to the time, as far as a
mixture can. That rule is ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from .figures import whole
from .ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Waves = NDArray[np.complex128]

MOST_FIGURES = 1 << 22


def from_history(history: Sequence[int], periods: Sequence[float], weights: Sequence[float]) -> Floats:
    """`[n]` is the chance of n pieces, for a time of each number of periods with its weight.

    Through the characteristic function: a mixture of convolutions is a mixture of its powers.
    """
    import numpy as np

    if not len(history):
        raise PlanningError("A history has at least one period, the empty ones too.")
    values = [whole(int(value), "A period's demand") for value in history]
    size = max(values) * (int(max(periods)) + 1) + 1
    if size > MOST_FIGURES:
        raise PlanningError(
            f"Over {MOST_FIGURES:,} pieces of one part at once: correct its demand, or count it in packs."
        )
    turn = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    sizes, counts = np.unique(values, return_counts=True)
    shares = counts / len(values)
    period = _waves(turn, sizes, shares)
    total = np.zeros_like(turn)
    for time, weight in zip(periods, weights, strict=True):
        count, part = int(time), time - int(time)
        total += weight * period**count * _cut(turn, sizes, shares, period, part)
    return np.maximum(np.fft.irfft(total, size), 0.0)


def _waves(turn: Waves, sizes: NDArray[np.int64], shares: Floats) -> Waves:
    total = turn * 0
    for pieces, share in zip(sizes.tolist(), shares.tolist(), strict=True):
        total += share * turn**pieces
    return total


def _cut(turn: Waves, sizes: NDArray[np.int64], shares: Floats, period: Waves, part: float) -> Waves:
    """The characteristic function of a part of a period."""
    if not part:
        return turn * 0 + 1
    mean = float(shares @ sizes)
    above = float(shares @ (sizes - mean) ** 2) - mean
    lumpy = above / (above + mean * mean) if above > 0 else 0.0
    mixed: Waves = lumpy * (1 - part + part * period)
    mixed += (1 - lumpy) * _waves(1 - part + part * turn, sizes, shares)
    return mixed
