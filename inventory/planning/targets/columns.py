"""What targets are reckoned from, and what they are, as columns with a row for each part."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

from inventory.planning.lead_times import LeadColumns
from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

NO_LIMIT = 1 << 40
MOST_LOT_DAYS = 730


@dataclass(frozen=True)
class PartColumns:
    """Figures of shape (parts,); `part_columns` makes them, with what is usual where nothing is said.

    mean, variance: of the demand of one period of `period_days`; variance below the mean is taken as Poisson.
    review_days: from one look at the stock to the next, at least 1.
    fill_rate, cycle_service: what is wanted, between 0 and 1; NaN in one of the two.
    cents: the price of a piece, (parts, breaks), NaN where there is no break; starts: from which quantity.
    order_cents: what an order costs; holding_rate: what a year on the shelf costs, of the price.
    pack, least: of the supplier; shelf_limit: the most pieces that fit; most_lot_days: no lot for longer.
    life_days: until nobody asks for it any more, NaN for a part that goes on.
    over_cents, under_cents: what a piece left over costs in the end, and one missing; NaN: by the service.
    """

    mean: Floats
    variance: Floats
    period_days: Floats
    leads: LeadColumns
    review_days: Floats
    fill_rate: Floats
    cycle_service: Floats
    starts: Whole
    cents: Floats
    order_cents: Floats
    holding_rate: Floats
    pack: Whole
    least: Whole
    shelf_limit: Whole
    most_lot_days: Floats
    life_days: Floats
    over_cents: Floats
    under_cents: Floats

    def __post_init__(self) -> None:
        import numpy as np

        _need((self.mean >= 0) & (self.variance >= 0) & (self.period_days > 0), "Demand is never below zero")
        _need(self.review_days >= 1, "The stock is looked at once a day at most: a review has at least 1 day")
        one = np.where(np.isnan(self.fill_rate), self.cycle_service, self.fill_rate)
        _need(np.isnan(self.fill_rate) != np.isnan(self.cycle_service), "Want a fill rate or a cycle service")
        _need((one > 0) & (one < 1), "A wanted service lies between 0 and 1: 0.95 for 95 of 100")
        _need((self.pack >= 1) & (self.least >= 1), "A pack and a least order hold at least one piece")
        _need((self.order_cents >= 0) & (self.holding_rate >= 0), "Ordering and holding cost nothing or more")
        _need(self.most_lot_days > 0, "A lot lasts for at least some days")
        _need(
            (self.starts[:, 0] <= 1) & (self.cents[:, 0] >= 0), "The first price is from the first piece on"
        )
        _need(self.shelf_limit >= 0, "A shelf holds nothing or more")
        _need(~(self.life_days < 0), "What remains of a part's life is not below zero")
        known = np.isnan(self.over_cents) == np.isnan(self.under_cents)
        _need(known, "What a piece left over costs, and one missing: both or neither")

    def __len__(self) -> int:
        return len(self.mean)

    def rows(self, chosen: Whole) -> PartColumns:
        """The same for some of the parts."""
        columns = {one.name: getattr(self, one.name) for one in fields(self) if one.name != "leads"}
        some = {name: column[chosen] for name, column in columns.items()}
        return replace(self, leads=self.leads.rows(chosen), **some)


def part_columns(
    *,
    mean: Floats,
    variance: ArrayLike,
    period_days: ArrayLike,
    leads: LeadColumns,
    starts: Whole | None = None,
    cents: ArrayLike = 0,
    **more: ArrayLike,
) -> PartColumns:
    """Columns from arrays, or from one figure for all parts.

    `cents` is (parts,), or (parts, breaks) with `starts`.

    Raises PlanningError for a name that is none of `PartColumns`, or a figure that nothing can have.
    """
    import numpy as np

    shape = np.shape(mean)
    usual: dict[str, ArrayLike] = {
        "review_days": 1, "fill_rate": np.nan, "cycle_service": np.nan, "order_cents": 0, "holding_rate": 0.2,
        "pack": 1, "least": 1, "shelf_limit": NO_LIMIT, "most_lot_days": MOST_LOT_DAYS, "life_days": np.nan,
        "over_cents": np.nan, "under_cents": np.nan,
    }  # fmt: skip
    if unknown := set(more) - set(usual):
        raise PlanningError(f"No column of targets: {', '.join(sorted(unknown))}.")
    if len(leads.days) != len(mean):
        raise PlanningError("Each part has its lead time.")
    given = {"mean": mean, "variance": variance, "period_days": period_days, **usual, **more}
    whole = {"pack", "least", "shelf_limit"}
    columns: dict[str, Any] = {
        name: np.broadcast_to(np.asarray(column, np.int64 if name in whole else np.float64), shape)
        for name, column in given.items()
    }
    prices = np.asarray(cents, np.float64)
    prices = prices if prices.ndim == 2 else np.broadcast_to(prices, shape)[:, None]
    starts = np.zeros(prices.shape, np.int64) if starts is None else starts
    return PartColumns(leads=leads, starts=starts, cents=prices, **columns)


@dataclass(frozen=True)
class ManyTargets:
    """Columns of shape (parts,): order when the position is at `reorder_at` or below, up to `up_to`.

    Whole packs, the fewest that reach `up_to`; `order_quantity` is what that comes to at the reorder point.
    `on_hand` is the mean number on the shelf and `money_cents` what they cost. `reached` is false where the
    shelf is too small for the wanted service. What has no demand, or no life left, has zeros throughout.
    """

    reorder_at: Whole
    up_to: Whole
    order_quantity: Whole
    fill_rate: Floats
    cycle_service: Floats
    on_hand: Floats
    unit_cents: Floats
    money_cents: Whole
    reached: NDArray[np.bool_]

    @classmethod
    def none(cls, count: int) -> ManyTargets:
        """Of parts that nobody asks for."""
        import numpy as np

        return cls(
            reorder_at=np.zeros(count, np.int64),
            up_to=np.zeros(count, np.int64),
            order_quantity=np.zeros(count, np.int64),
            fill_rate=np.ones(count),
            cycle_service=np.ones(count),
            on_hand=np.zeros(count),
            unit_cents=np.zeros(count),
            money_cents=np.zeros(count, np.int64),
            reached=np.ones(count, np.bool_),
        )

    def put(self, chosen: Whole, some: ManyTargets) -> None:
        """Writes the targets of some parts into their rows."""
        for one in fields(self):
            getattr(self, one.name)[chosen] = getattr(some, one.name)


def _need(holds: NDArray[np.bool_], sentence: str) -> None:
    if not holds.all():
        raise PlanningError(f"{sentence} (part {int(holds.argmin())} of {len(holds)}).")
