"""What shops reckon with by hand or in a spreadsheet: a mean, a standard deviation and the normal curve.

The reorder point is the mean demand over lead time and review and k standard deviations of it, with
sd * G(k) = (1 - wanted) * lot, where G is the unit normal loss and the lot is what is ordered on average
(Silver, Pyke & Thomas, Inventory and Production Management in Supply Chains, from memory). It is rounded up
to whole pieces. The lot is the economic order quantity, no more than two years' demand.
"""

from __future__ import annotations

from functools import cache, partial
from typing import TYPE_CHECKING

from inventory.planning.forecasting import croston
from inventory.planning.targets.columns import MOST_LOT_DAYS

from .policy import Levels, Policy, Seen
from .rules import PERIOD_DAYS, Rules

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Figures = NDArray[np.float64]

YEAR = 12
MOST_PERIODS = MOST_LOT_DAYS / PERIOD_DAYS
WIDEST = 8.0


def look_back(known: Figures, cents: Figures, rules: Rules, *, last: int | None = None) -> Seen:  # noqa: ARG001
    """Mean and variance of the past, or of its `last` periods."""
    import numpy as np

    recent = known if last is None else known[:, -last:]
    count = (~np.isnan(recent)).sum(axis=1)
    mean = np.nansum(recent, axis=1) / np.maximum(count, 1)
    squares = np.nansum((recent - mean[:, None]) ** 2, axis=1)
    return Seen(mean, squares / np.maximum(count - 1, 1), cents)


def look_by_croston(known: Figures, cents: Figures, rules: Rules) -> Seen:  # noqa: ARG001
    """Croston's mean, and the mean of the squares of the errors that it made so far."""
    import numpy as np

    means = croston(known)
    errors = (known - means[:, :-1]) ** 2
    count = (~np.isnan(errors)).sum(axis=1)
    return Seen(means[:, -1], np.nansum(errors, axis=1) / np.maximum(count, 1), cents)


def levels(seen: Seen, wanted: float, rules: Rules) -> Levels:
    """Min and max by the textbook, for this fill rate of each part."""
    import numpy as np

    spread, lot = _spread(seen, rules), _lots(seen, rules)
    short = (1 - wanted) * np.maximum(lot, seen.mean * rules.review)
    certain = spread <= 0
    return _whole(seen, rules, _factors(np.where(certain, 1.0, short / np.where(certain, 1.0, spread))), lot)


def levels_by_factor(seen: Seen, wanted: float, rules: Rules) -> Levels:
    """The rule of thumb: one safety factor for all parts, that of a cycle service of `wanted`."""
    from scipy import stats

    return _whole(seen, rules, float(stats.norm.ppf(wanted)), _lots(seen, rules))


def _whole(seen: Seen, rules: Rules, factor: Figures | float, lot: NDArray[np.int64]) -> Levels:
    """Min and max in whole pieces, so many standard deviations above the mean, and nothing below 0."""
    import numpy as np

    level = np.maximum(seen.mean * rules.covered + factor * _spread(seen, rules), 0)
    # Next to a whole number the last digits of a float buy no further piece.
    reorder_at = np.ceil(level - 1e-9).astype(np.int64) - 1
    return Levels(reorder_at, reorder_at + lot)


def _spread(seen: Seen, rules: Rules) -> Figures:
    """The standard deviation of the demand over lead time and review."""
    import numpy as np

    return np.sqrt(seen.variance * rules.covered + seen.mean**2 * rules.lead_variance)


def _lots(seen: Seen, rules: Rules) -> NDArray[np.int64]:
    import numpy as np

    holding = rules.holding_rate * seen.cents
    free = np.sqrt(
        2 * seen.mean * YEAR * rules.order_cents / np.where(holding > 0, holding, np.inf)
    )  # Where holding is free there is no best lot: piece by piece.
    return np.maximum(np.rint(np.minimum(free, seen.mean * MOST_PERIODS)), 1).astype(np.int64)


def _factors(losses: Figures) -> Figures:
    """The k at which the unit normal loss is so much, to six digits, from -WIDEST to WIDEST."""
    import numpy as np

    falling, k = _losses()
    found: Figures = np.interp(losses, falling, k)
    return found


@cache
def _losses() -> tuple[Figures, Figures]:
    import numpy as np
    from scipy import stats

    k = np.linspace(WIDEST, -WIDEST, 1 << 15)
    return stats.norm.pdf(k) - k * stats.norm.sf(k), k


NORMAL = Policy("normal", look_back, levels)
NORMAL_YEAR = Policy("normal, last year", partial(look_back, last=YEAR), levels)
FACTOR_YEAR = Policy("one safety factor, last year", NORMAL_YEAR.look, levels_by_factor)
CROSTON_NORMAL = Policy("Croston and normal", look_by_croston, levels)
