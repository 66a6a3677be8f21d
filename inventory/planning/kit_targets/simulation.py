"""A shop run for many years: orders arrive, parts come back after their lead times, kits wait until whole.

Each order is served in turn: what is there is set aside for it, it ships when its last part has come. Every
shelf orders by position: at or below level - pack it buys whole packs up to the level. What is reckoned
here comes from these events alone, not from any formula for the share.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.planning.figures import whole
from inventory.planning.ordering import DAYS_PER_YEAR, PlanningError

from .asking import KitDemand, KitPart, P, check, positive
from .clumps import mean_size

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .clumps import Floats

    Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Simulated:
    """What was seen: `share` and `shares` of kits shipped on arrival; `error` is the share's standard error.

    `on_hand_cents` is the mean worth of everything on the shelves, `free_cents` that of what was not set
    aside for a waiting kit; `wait_days` the mean over all kits that count, those complete at once as well.
    """

    orders: int
    share: float
    error: float
    shares: dict[str, float]
    on_hand_cents: float
    free_cents: float
    wait_days: float


@dataclass(frozen=True)
class Orders:
    """Every order by time: when (days), of which kit, and `taken[part]`: pieces by order."""

    times: Floats
    kits: Whole
    taken: list[Whole]


def simulate(
    parts: Sequence[KitPart[P]],
    kits: Sequence[KitDemand[P]],
    levels: Mapping[P, int],
    *,
    years: float,
    seed: int,
    warm_up_years: float = 1.0,
) -> Simulated:
    """Run the shop for so many years after a warm-up. The same seed gives the same orders at any levels.

    Raises PlanningError for a part with a `loose` distribution: loose sales are simulated as a kit of one
    part with weight 0.
    """
    import numpy as np

    check(parts, kits)
    whole(seed, "The seed")
    positive(years, "The years to simulate")
    positive(warm_up_years, "The years to warm up", zero=True)
    if any(len(one.loose) > 1 for one in parts):
        raise PlanningError("Give loose sales as a kit of one part with weight 0 to simulate them.")
    rng = np.random.default_rng(seed)
    start, end = warm_up_years * DAYS_PER_YEAR, (warm_up_years + years) * DAYS_PER_YEAR
    orders = _orders(parts, kits, end, rng)
    ready = np.zeros((len(parts), len(orders.times)))
    arrivals: list[tuple[Floats, Whole]] = []
    for number, one in enumerate(parts):
        arrivals.append(supplies(one, orders.times, orders.taken[number], rng))
        ready[number] = _ready(orders.times, orders.taken[number], levels[one.part], *arrivals[-1])
    shipped = np.maximum(ready.max(axis=0), orders.times)
    held = free = 0.0
    for number, one in enumerate(parts):
        taken, stock = orders.taken[number], levels[one.part]
        came = _area(*arrivals[number], start, end)
        held += one.cost_cents * (stock + (came - _area(shipped, taken, start, end)) / (end - start))
        free += one.cost_cents * (stock + (came - _area(ready[number], taken, start, end)) / (end - start))
    return _summed(kits, orders, shipped, start, held, free)


def supplies(part: KitPart[P], times: Floats, taken: Whole, rng: np.random.Generator) -> tuple[Floats, Whole]:
    """When the part comes in, and how much each time, after a start with the level on the shelf."""
    import numpy as np

    bought = np.cumsum(taken) // part.pack * part.pack
    pieces = np.diff(bought, prepend=0)
    days, chances = np.array(list(part.leads)), np.array(list(part.leads.values()))
    leads = rng.choice(days, size=len(times), p=chances / chances.sum())
    came = (times + leads)[pieces > 0]
    order = np.argsort(came, kind="stable")
    return came[order], pieces[pieces > 0][order]


def _ready(times: Floats, taken: Whole, level: int, came: Floats, pieces: Whole) -> Floats:
    """When each order has its pieces of this part: served in turn, from the level and then what comes in."""
    import numpy as np

    wanted = np.cumsum(taken)
    supplied = np.concatenate([[level], level + np.cumsum(pieces)])
    moments = np.append(np.concatenate([[0.0], came]), np.inf)
    ready = np.maximum(times, moments[np.searchsorted(supplied, wanted)])
    return np.where(taken > 0, ready, times)


def _area(times: Floats, pieces: Whole, start: float, end: float) -> float:
    """The integral from start to end of the pieces whose time has come."""
    import numpy as np

    return float(pieces @ np.clip(end - np.maximum(times, start), 0, None))


def _orders(
    parts: Sequence[KitPart[P]], kits: Sequence[KitDemand[P]], end: float, rng: np.random.Generator
) -> Orders:
    import numpy as np

    numbers = {one.part: number for number, one in enumerate(parts)}
    moments, kinds = [], []
    for number, kit in enumerate(kits):
        clumps = rng.poisson(kit.a_year * end / DAYS_PER_YEAR / mean_size(kit.variance_ratio))
        theta = 1 - 1 / kit.variance_ratio
        sizes = rng.logseries(theta, clumps) if theta > 0 else np.ones(clumps, np.int64)
        moments.append(np.repeat(rng.uniform(0, end, clumps), sizes))
        kinds.append(np.full(int(sizes.sum()), number))
    times, kind = np.concatenate(moments), np.concatenate(kinds)
    order = np.argsort(times, kind="stable")
    times, kind = times[order], kind[order]
    taken = [np.zeros(len(times), np.int64) for _ in parts]
    for number, kit in enumerate(kits):
        mine = np.flatnonzero(kind == number)
        for slot in kit.slots:
            edges = np.cumsum([option.take_rate for option in slot])
            chosen = np.searchsorted(edges, rng.uniform(size=len(mine)), side="right")
            for place, option in enumerate(slot):
                for part, quantity in option.parts.items():
                    taken[numbers[part]][mine[chosen == place]] += quantity
    return Orders(times, kind, taken)


def _summed(
    kits: Sequence[KitDemand[P]], orders: Orders, shipped: Floats, start: float, held: float, free: float
) -> Simulated:
    import numpy as np

    after = orders.times >= start
    complete, wait = (shipped <= orders.times)[after], (shipped - orders.times)[after]
    shares, variance, wait_days = {}, 0.0, 0.0
    total = sum(kit.counts_for for kit in kits)
    for number, kit in enumerate(kits):
        mine = orders.kits[after] == number
        share = float(complete[mine].mean()) if mine.any() else float("nan")
        shares[kit.name] = share
        if kit.counts_for > 0 and mine.any():
            # Orders close together fare alike: whole batches of them are compared, not single orders.
            batches = [batch.mean() for batch in np.array_split(complete[mine], 40) if len(batch)]
            variance += (kit.counts_for / total) ** 2 * float(np.var(batches, ddof=1)) / len(batches)
            wait_days += kit.counts_for / total * float(wait[mine].mean())
    share = sum(kit.counts_for / total * shares[kit.name] for kit in kits if kit.counts_for > 0)
    return Simulated(int(after.sum()), share, variance**0.5, shares, held, free, wait_days)
