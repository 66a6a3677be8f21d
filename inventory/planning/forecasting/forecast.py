"""A forecast is a distribution: what is asked for over so many periods, and how likely each number is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.planning.ordering import PlanningError

from .counts import count_pmf, quantiles, sample_pmf
from .methods import BOOTSTRAP, times_over
from .resampling import windows
from .table import at_least

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Figures = NDArray[np.float64]

UNKNOWN = "none"
PRIOR = "prior"


@dataclass(frozen=True)
class Forecast:
    """One part. `method`, `mean`, `variance` and `indices` are plain values, to be kept as they are.

    `mean` and `variance` are of one average period. `indices`, where there are seasons, are those of the
    periods to come, over and over. `sample`, where the bootstrap was chosen, is what is drawn from.
    """

    method: str
    mean: float
    variance: float
    indices: tuple[float, ...] | None = None
    sample: tuple[float, ...] | None = None

    @property
    def dispersion(self) -> float:
        """The variance for each piece of the mean: 1 for Poisson demand, more where it comes in lumps."""
        return self.variance / self.mean if self.mean else 1.0

    def pmf(self, periods: float = 1) -> Figures:
        """The probabilities that 0, 1, 2, ... pieces are asked for over the next `periods` periods."""
        return self._pmf(0, periods)

    def fan(
        self, periods_ahead: int, levels: Sequence[float] = (0.1, 0.5, 0.9), *, cumulative: bool = False
    ) -> NDArray[np.int64]:
        """Quantiles of each period to come, or of all from now to its end: (levels, periods_ahead)."""
        import numpy as np

        at_least(periods_ahead, "Periods ahead")
        if cumulative:
            spans = [(0, ahead + 1) for ahead in range(periods_ahead)]
        else:
            spans = [(ahead % len(self.indices or (1,)), 1) for ahead in range(periods_ahead)]
        found = {span: quantiles(self._pmf(*span), levels) for span in dict.fromkeys(spans)}
        return np.stack([found[span] for span in spans], axis=1)

    def _pmf(self, after: int, periods: float) -> Figures:
        import numpy as np

        if not 0 <= periods < np.inf:
            raise PlanningError(f"Periods ahead: at least 0, not {periods!r}.")
        if self.sample is not None:
            return sample_pmf(self.sample, periods)
        times = float(periods)
        if self.indices is not None:
            coming = np.roll(np.array(self.indices, np.float64), -after)
            times = float(times_over(coming[None, :], periods)[0])
        return count_pmf(self.mean * times, self.variance * times)


@dataclass(frozen=True, eq=False)
class Forecasts:
    """All parts, a row each. `method` holds names; `mean` and `variance` are of one average period.

    `scores` (parts, methods) are the mean ranked probability scores that the choice was made by, in the
    order of `methods`, NaN where there was nothing to score. `prior_share` is the weight of the borrowed
    mean. `indices` (parts, season) are those of the periods to come, ones where there are no seasons.
    `expected` is what the chosen method expected from all the origins that it was scored at, and `came` what
    was then asked for.
    """

    methods: tuple[str, ...]
    method: NDArray[np.str_]
    mean: Figures
    variance: Figures
    scores: Figures
    prior_share: Figures
    indices: Figures | None
    values: Figures
    expected: Figures
    came: Figures

    def __len__(self) -> int:
        return len(self.mean)

    @property
    def dispersion(self) -> Figures:
        """The variance for each piece of the mean; 1 where nothing is expected."""
        import numpy as np

        return np.divide(self.variance, self.mean, out=np.ones_like(self.mean), where=self.mean > 0)

    def over(self, periods: ArrayLike) -> tuple[Figures, Figures]:
        """Mean and variance of the demand over the next `periods` periods, one number or one a part.

        Seasons are in it, which `mean` times periods would miss.
        """
        import numpy as np

        length = np.broadcast_to(np.asarray(periods, np.float64), len(self))
        if not ((length >= 0) & (length < np.inf)).all():
            raise PlanningError("Periods ahead: at least 0 for each part.")
        times = length if self.indices is None else times_over(self.indices, length)
        return self.mean * times, self.variance * times

    def one(self, row: int) -> Forecast:
        """The forecast of the part in `row`."""
        import numpy as np

        method = str(self.method[row])
        indices = sample = None
        if self.indices is not None and (self.indices[row] != 1).any():
            indices = tuple(self.indices[row].tolist())
        if method == BOOTSTRAP and self.prior_share[row] == 0:
            last = windows(self.values[row : row + 1], [self.values.shape[1]])[0, 0]
            sample = tuple(last[~np.isnan(last)].tolist())
        return Forecast(method, float(self.mean[row]), float(self.variance[row]), indices, sample)
