"""The last buy: one purchase for all that will still be asked for, of a part that runs out or is replaced."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

from .columns import ManyTargets, PartColumns
from .lots import unit_cents
from .newsvendor import ratio
from .service import HAIR, losses

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]


def last_buy(
    pmf: Floats, *, over: float | None = None, under: float | None = None, fill_rate: float | None = None,
    pack: int = 1,
) -> int:  # fmt: skip
    """How many to have for the rest of a part's life, in whole packs; `pmf` is of the demand over that life.

    The newsvendor's quantity where a piece left over costs `over` and one missing `under`; else the least
    that serves `fill_rate` of the remaining demand. What is on hand already is to be taken off.
    """
    import numpy as np

    if over is not None and under is not None:
        enough = np.cumsum(pmf) >= ratio(over, under) - HAIR
    elif fill_rate is not None:
        short = losses(pmf[None])[0]
        enough = short <= (1 - fill_rate + HAIR) * short[0]
    else:
        raise PlanningError("A last buy is for a wanted fill rate, or by the costs of too many and too few.")
    return -(-int(np.argmax(enough)) // pack) * pack


def last_buys(parts: PartColumns, life: Floats) -> ManyTargets:
    """The last buys of a table of parts; `life` has the chances of the demand over the rest of their lives.

    Ordered once, whenever the position is below `up_to`. The supplier's least order is not enforced here:
    whether a few pieces are worth it is seen when they are ordered.
    """
    import numpy as np

    enough, short = np.cumsum(life, axis=1), losses(life)
    by_cost = ~np.isnan(parts.over_cents)
    over, under = np.where(by_cost, parts.over_cents, 1), np.where(by_cost, parts.under_cents, 1)
    if not np.all((over > 0) & (under > 0)):
        raise PlanningError("What is left over and what is missing both cost something.")
    chance = np.where(by_cost, under / (over + under), parts.cycle_service)
    by_chance = by_cost | np.isnan(parts.fill_rate)
    first = np.where(
        by_chance,
        np.argmax(enough >= np.where(by_chance, chance, 0)[:, None] - HAIR, axis=1),
        np.argmax(
            short <= (1 - np.where(by_chance, 0, parts.fill_rate) + HAIR)[:, None] * short[:, :1], axis=1
        ),
    )
    packs = -(-first // parts.pack) * parts.pack
    quantity = np.minimum(packs, parts.shelf_limit // parts.pack * parts.pack)
    at = np.minimum(quantity, life.shape[1] - 1)[:, None]
    lacking, lasts = (np.take_along_axis(table, at, axis=1)[:, 0] for table in (short, enough))
    with np.errstate(invalid="ignore", divide="ignore"):
        served = np.where(short[:, 0] > 0, 1 - lacking / short[:, 0], 1.0)
    price = unit_cents(quantity, parts.starts, parts.cents)
    # All of it comes at once, and what is left at the end was on the shelf all the time.
    on_hand = (quantity + quantity - short[:, 0] + lacking) / 2
    return ManyTargets(
        np.maximum(quantity - 1, 0), quantity, quantity, served, np.minimum(lasts, 1), on_hand, price,
        np.rint(quantity * price).astype(np.int64), quantity == packs,
    )  # fmt: skip
