"""Service where the stock is reviewed every so many days and ordered up to a level, for a table of parts.

A review that leaves the position at y rules the stock from one lead time later to a review and a lead time
later. What customers come to wait for in between is short(y) over lead time and review less short(y) over
the lead time alone, where short is the first-order loss of the demand. So the fall below the reorder point
before a review sees it (the undershoot) is in the positions, and nothing is approximated for a fixed lead
time. For one that varies the chances of its lengths are mixed: exact where each order's stands for itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .positions import positions
from .service import HAIR, losses

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Standing:
    """What levels give, for each part: services, and the mean pieces on hand and waited for.

    The two means are taken halfway between a review's delivery and the next one's.
    """

    fill_rate: Floats
    cycle_service: Floats
    on_hand: Floats
    waiting: Floats


class Reviewed:
    """`before` and `through` are the chances of demand over the lead time, and over lead time and review.

    `window` has those over the review alone. Shapes (parts, pieces); the rows of the first two sum to 1.
    """

    def __init__(self, before: Floats, through: Floats, window: Floats, pack: Whole) -> None:
        import numpy as np

        self.enough = np.cumsum(through, axis=1)
        self.short_before, self.short_through = losses(before), losses(through)
        self.window, self.pack = window, pack

    def rows(self, chosen: Whole) -> Reviewed:
        """The same for some of the parts."""
        import copy

        some = copy.copy(self)
        for name in ("enough", "short_before", "short_through", "window", "pack"):
            setattr(some, name, getattr(self, name)[chosen])
        return some

    def reorder_for_fill(self, lot: Whole, wanted: Floats, nearest: bool = False) -> Whole:
        """The smallest reorder points of at least 0 with these fill rates, or those nearest to them."""
        import numpy as np
        from scipy.fft import irfft, next_fast_len, rfft

        arising = self.short_through - self.short_before
        shares = positions(self.window, lot, self.pack)
        size = next_fast_len(arising.shape[1] + shares.shape[1], real=True)
        # The mean over the positions above every reorder point at once: a correlation.
        means = irfft(rfft(arising, size) * np.conj(rfft(shares, size)), size)
        short = means[:, 1 : arising.shape[1] + 1]
        first: Whole = np.argmax(short <= (1 - wanted[:, None] + HAIR) * arising[:, :1], axis=1)
        if nearest:
            rows, allowed = np.arange(len(first)), (1 - wanted) * arising[:, 0]
            below = np.maximum(first - 1, 0)
            first = np.where(short[rows, below] - allowed < allowed - short[rows, first], below, first)
        return first

    def reorder_for_cycle(self, wanted: Floats) -> Whole:
        """The smallest reorder points at which what is there lasts over lead time and review so often."""
        import numpy as np

        first: Whole = np.argmax(self.enough >= np.minimum(wanted[:, None], 1 - HAIR) - HAIR, axis=1)
        return first

    def standing(self, reorder_at: Whole, lot: Whole) -> Standing:
        """What these reorder points and lots give."""
        import numpy as np

        shares = positions(self.window, lot, self.pack)
        heights = reorder_at[:, None] + 1 + np.arange(shares.shape[1])
        # At the last figure of a table nothing is short any more.
        at = np.minimum(heights, self.enough.shape[1] - 1)
        before = (shares * np.take_along_axis(self.short_before, at, axis=1)).sum(axis=1)
        through = (shares * np.take_along_axis(self.short_through, at, axis=1)).sum(axis=1)
        asked = self.short_through[:, 0] - self.short_before[:, 0]
        waiting = (before + through) / 2
        underway = (self.short_through[:, 0] + self.short_before[:, 0]) / 2
        on_hand = (shares * heights).sum(axis=1) - underway + waiting
        reach = np.minimum(reorder_at, self.enough.shape[1] - 1)
        cycle = np.take_along_axis(self.enough, reach[:, None], axis=1)[:, 0]
        return Standing(
            np.clip(1 - (through - before) / asked, 0, 1),
            np.minimum(cycle, 1),
            np.maximum(on_hand, 0),
            waiting,
        )
