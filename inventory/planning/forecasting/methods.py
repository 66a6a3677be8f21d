"""The methods by name, the simplest first: what each says at every period, so that any of them can be held to
what came."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

from .averages import moving_average
from .intervals import croston, sba
from .probabilities import tsb
from .resampling import bootstrap, drawn_sums, windows
from .scores import count_score, sample_score
from .seasons import YEARS, indices, seasonal
from .smoothing import ses
from .spread import spread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .table import Matrix

METHODS = ("ses", "moving_average", "sba", "croston", "tsb", "bootstrap", "seasonal")
BOOTSTRAP, SEASONAL = "bootstrap", "seasonal"


@dataclass(frozen=True)
class Said:
    """One method on one block. `means` are of an average period, where there are seasons as well."""

    table: Matrix
    means: Matrix
    variances: Matrix
    season: int | None = None

    def at_end(self) -> tuple[Matrix, Matrix]:
        return self.means[:, -1], self.variances[:, -1]

    def scores(self, origins: Sequence[int], steps: int, came: Matrix) -> Matrix:
        """The score of the demand of `steps` periods from each origin: (parts, origins)."""
        times = self._times(origins, steps)
        at = list(origins)
        return count_score(self.means[:, at] * times, self.variances[:, at] * times, came)

    def expected(self, origins: Sequence[int], steps: int) -> Matrix:
        """The mean of the demand of `steps` periods from each origin: (parts, origins)."""
        return self.means[:, list(origins)] * self._times(origins, steps)

    def _times(self, origins: Sequence[int], steps: int) -> Matrix:
        import numpy as np

        if self.season is None:
            return np.full((len(self.table), len(origins)), float(steps))
        return np.stack(
            [times_over(indices(self.table, origin, self.season), steps) for origin in origins], axis=1
        )


@dataclass(frozen=True)
class Drawn(Said):
    """The bootstrap: what it draws from is the distribution itself."""

    seed: int = 0

    def scores(self, origins: Sequence[int], steps: int, came: Matrix) -> Matrix:
        samples = windows(self.table, origins)
        if steps == 1:
            return sample_score(samples, came)
        return sample_score(drawn_sums(samples, steps, self.seed), came, drawn=True)


def say(name: str, table: Matrix, season: int | None, seed: int) -> Said | None:
    """What method `name` says of a checked table; None where it has nothing to say of any part."""
    if name == BOOTSTRAP:
        return _drawn(table, seed)
    if name == SEASONAL:
        return None if season is None or table.shape[1] < YEARS * season else _seasonal(table, season)
    if name not in PLAIN:
        raise PlanningError(f"No method is called {name!r}: choose from {', '.join(METHODS)}.")
    means = PLAIN[name](table)
    return Said(table, means, spread(table, means))


def times_over(index: Matrix, periods: Matrix | float) -> Matrix:
    """How many average periods the next `periods` are worth, by the indices (parts, season) of a year."""
    import numpy as np

    season = index.shape[1]
    length = np.broadcast_to(np.asarray(periods, np.float64), len(index))
    years, rest = np.divmod(length, season)
    sums = np.concatenate([np.zeros((len(index), 1)), np.cumsum(index, axis=1)], axis=1)
    whole = np.floor(rest).astype(np.int64)
    rows = np.arange(len(index))
    return np.asarray(
        years * sums[:, -1] + sums[rows, whole] + (rest - whole) * index[rows, np.minimum(whole, season - 1)]
    )


def _drawn(table: Matrix, seed: int) -> Said:
    import numpy as np

    means = bootstrap(table)
    variances = np.full_like(means, np.nan)
    last = windows(table, [table.shape[1]])[:, 0]
    known = ~np.isnan(last)
    count = known.sum(axis=1)
    squares = np.where(known, (last - means[:, -1:]) ** 2, 0.0).sum(axis=1)
    variances[:, -1] = np.where(count > 0, squares / np.maximum(count, 1), np.nan)
    return Drawn(table, means, variances, seed=seed)


def _seasonal(table: Matrix, season: int) -> Said:
    import numpy as np

    means = seasonal(table, season)
    level = np.where(np.isnan(means), np.nan, moving_average(table, season))
    return Said(table, level, spread(table, means, level), season)


PLAIN: dict[str, Callable[[Matrix], Matrix]] = {
    "moving_average": moving_average,
    "ses": ses,
    "croston": croston,
    "sba": sba,
    "tsb": tsb,
}
