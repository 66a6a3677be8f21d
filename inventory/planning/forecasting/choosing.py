"""For each part the method that would have forecast it best, held to its last periods as if unknown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from inventory.planning.ordering import PlanningError

from .forecast import PRIOR, UNKNOWN, Forecasts
from .methods import METHODS, SEASONAL, Said, say
from .seasons import SEASON, indices
from .table import at_least, checked

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    from .table import Matrix

ORIGINS = 12
GAIN = 0.2
YOUNG = 12
BLOCK = 4096


def forecast_many(
    values: ArrayLike,
    *,
    methods: Sequence[str] = METHODS,
    season: int | None = SEASON,
    origins: int = ORIGINS,
    steps: int = 1,
    gain: float = GAIN,
    prior_mean: ArrayLike | None = None,
    young: int = YOUNG,
    seed: int = 0,
    block: int = BLOCK,
    progress: Callable[[int, int], None] | None = None,
) -> Forecasts:
    """Forecast every row of `values` (parts, periods) by the one of `methods` that served it best.

    The demand of `steps` periods is forecast from each of the last `origins` points from which it is known,
    out of what was known there, and held to what came by the ranked probability score. The earliest of
    `methods` (the simplest first) stands unless another lowers the mean score by more than the share `gain`
    of it. Seasons (of `season` periods, None for none) come into it only where each of those points had two
    full years behind it; and of two methods the one that expects nothing of a part is not chosen.

    Why a `gain`: a dozen figures are few, and the luckiest of seven methods is seldom the best. On real
    monthly sales of car parts the choice by the bare least score forecast worse than the first method for
    all, and so did six origins; a fifth costs next to nothing where there is nothing to gain, and still
    lets marked seasons and parts that die out through.

    A part with fewer than `young` known periods leans on `prior_mean` (one a part, NaN for none; such as
    the kits a period times the take rate of its slot): with k periods known the prior weighs 1 - k / young,
    as a mixture of the forecast and Poisson demand of that mean. Nothing known and no prior is a forecast
    of nothing by method "none". `seed` is for the draws that score the bootstrap where `steps` is above 1.

    Rows do not depend on each other: `block` of them are worked on at once, which bounds the memory, and
    `progress(done, total)` is told after each. Raises PlanningError for a bad table or bad figures.
    """
    table = checked(values)
    rules = Rules(tuple(methods), season, origins, steps, gain, seed)
    at_least(young, "Young")
    at_least(block, "Rows in a block")
    prior = _prior(prior_mean, len(table))
    blocks: list[Forecasts] = []
    for start in range(0, max(len(table), 1), block):
        rows = slice(start, start + block)
        blocks.append(_leaning(_best(table[rows], rules), prior[rows], young))
        if progress is not None:
            progress(min(start + block, len(table)), len(table))
    return _joined(blocks, table)


@dataclass(frozen=True)
class Rules:
    """What a choice is made by: the arguments of `forecast_many` by these names."""

    methods: tuple[str, ...]
    season: int | None
    origins: int
    steps: int
    gain: float
    seed: int

    def __post_init__(self) -> None:
        names = self.methods
        if not names or len(set(names)) < len(names) or not set(names) <= set(METHODS):
            raise PlanningError(f"Methods: some of {', '.join(METHODS)}, each once, not {', '.join(names)}.")
        at_least(self.origins, "Origins")
        at_least(self.steps, "Steps")
        if self.season is not None:
            at_least(self.season, "Periods in a year", 2)
        if not 0 <= self.gain < 1:
            raise PlanningError(
                f"The gain that another method must bring: a share below 1, not {self.gain!r}."
            )

    def points(self, periods: int) -> list[int]:
        """The origins: the first of the periods to be forecast from each."""
        last = periods - self.steps
        return list(range(max(1, last - self.origins + 1), last + 1))


def _best(table: Matrix, rules: Rules) -> Forecasts:
    """The choice for one block, before anything is borrowed."""
    import numpy as np

    parts, names = len(table), rules.methods
    scores = np.full((parts, len(names)), np.nan)
    ends = np.full((2, parts, len(names)), np.nan)
    lately = np.zeros((2, parts, len(names)))
    points = rules.points(table.shape[1])
    came = _came(table, points, rules.steps)
    for column, name in enumerate(names):
        said = say(name, table, rules.season, rules.seed)
        if said is not None:
            ends[:, :, column] = said.at_end()
            scores[:, column] = _mean_scores(said, points, rules.steps, came)
            lately[:, :, column] = _lately(said, points, rules.steps, came)
    best = _choose(scores, ends[0], rules.gain)
    known = ~np.isnan(table).all(axis=1)
    chosen = np.arange(parts), best
    mean, variance = np.where(known, ends[:, *chosen], 0.0)
    method = np.where(known, np.array(names)[best], UNKNOWN)
    index = _indices(table, method, rules)
    return Forecasts(
        names, method, mean, variance, scores, np.zeros(parts), index, table, *lately[:, *chosen]
    )


def _indices(table: Matrix, method: NDArray[np.str_], rules: Rules) -> Matrix | None:
    """The indices of the periods to come, ones for all parts but those forecast by seasons."""
    import numpy as np

    if rules.season is None or SEASONAL not in rules.methods:
        return None
    index = np.ones((len(table), rules.season))
    by_season = method == SEASONAL
    index[by_season] = indices(table[by_season], table.shape[1], rules.season)
    return index


def _came(table: Matrix, origins: list[int], steps: int) -> Matrix:
    """What came in the `steps` periods from each origin: (parts, origins)."""
    import numpy as np

    if not origins:
        return np.empty((len(table), 0))
    return np.stack([table[:, origin : origin + steps].sum(axis=1) for origin in origins], axis=1)


def _mean_scores(said: Said, origins: list[int], steps: int, came: Matrix) -> Matrix:
    """The mean over the origins from which the part was known; NaN where a method was mute at one of them."""
    import numpy as np

    if not origins:
        return np.full(len(came), np.nan)
    scores = said.scores(origins, steps, came)
    there = ~np.isnan(said.table[:, [origin - 1 for origin in origins]])
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(there, scores, 0.0).sum(axis=1) / there.sum(axis=1))


def _lately(said: Said, origins: list[int], steps: int, came: Matrix) -> tuple[Matrix, Matrix]:
    """What a method expected of each part from all the origins where it spoke, and what came."""
    import numpy as np

    if not origins:
        return np.zeros(len(came)), np.zeros(len(came))
    expected = said.expected(origins, steps)
    spoke = ~np.isnan(expected) & ~np.isnan(came)
    return np.where(spoke, expected, 0.0).sum(axis=1), np.where(spoke, came, 0.0).sum(axis=1)


def _choose(scores: Matrix, means: Matrix, gain: float) -> NDArray[np.int64]:
    """The first column whose score is not beaten by more than `gain`; without scores that has a mean."""
    import numpy as np

    rated = np.where(np.isnan(scores) | np.isnan(means), np.inf, scores)
    # Some months without a demand make a forecast of nothing look perfect, and the shelf stay empty.
    some = np.nan_to_num(means) > 0
    rated[~some & some.any(axis=1, keepdims=True)] = np.inf
    least = rated.min(axis=1, keepdims=True)
    # Equal but for rounding is equal: the simpler one stands.
    best = (rated * (1.0 - gain) <= least * (1 + 1e-9) + 1e-12).argmax(axis=1)
    unscored = np.isinf(least[:, 0])
    able = ~np.isnan(means[unscored])
    best[unscored] = (able & (some[unscored] | ~some[unscored].any(axis=1, keepdims=True))).argmax(axis=1)
    return np.asarray(best, np.int64)


def _prior(prior_mean: ArrayLike | None, parts: int) -> Matrix:
    import numpy as np

    if prior_mean is None:
        return np.full(parts, np.nan)
    prior = np.asarray(prior_mean, np.float64)
    if prior.ndim == 0:
        prior = np.full(parts, float(prior))
    if prior.shape != (parts,) or (prior < 0).any() or np.isinf(prior).any():
        raise PlanningError(f"Prior means: one of at least 0 for each of {parts} parts, NaN for none.")
    return prior


def _leaning(own: Forecasts, prior: Matrix, young: int) -> Forecasts:
    """The same block with young parts leaning on their priors."""
    import numpy as np

    known = (~np.isnan(own.values)).sum(axis=1)
    weight = np.where(np.isnan(prior), 0.0, np.maximum(0.0, 1.0 - known / young))
    borrowed = np.where(np.isnan(prior), 0.0, prior)
    mean = weight * borrowed + (1.0 - weight) * own.mean
    # The variance of a mixture: what both have on average, and how far their means are apart.
    variance = (
        weight * borrowed
        + (1.0 - weight) * own.variance
        + weight * (1.0 - weight) * (borrowed - own.mean) ** 2
    )
    method = np.where((known == 0) & ~np.isnan(prior), PRIOR, own.method)
    return replace(own, method=method, mean=mean, variance=variance, prior_share=weight)


def _joined(parts: list[Forecasts], table: Matrix) -> Forecasts:
    import numpy as np

    first = parts[0]
    columns: dict[str, Any] = {
        name: np.concatenate([getattr(one, name) for one in parts])
        for name in ("method", "mean", "variance", "scores", "prior_share", "expected", "came")
    }
    indices = [one.indices for one in parts if one.indices is not None]
    return replace(first, **columns, indices=np.concatenate(indices) if indices else None, values=table)
