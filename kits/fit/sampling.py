"""Monte Carlo of a chain: assemblies drawn by chance, and how many of them are inside the limits.

Every draw is a whole number of 10 nm inside its band, and the draws are added in whole numbers, so
that no simulated gap ever leaves the worst case. Floats appear only in the shape of the draws and
in the statistics. NumPy is imported where it is used, to keep `import kits.fit` quick.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor, lcm, sqrt
from typing import TYPE_CHECKING, Final, Literal, get_args

from kits.fit.errors import FitError, expect
from kits.fit.length import UNITS_PER_MM, Length

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from kits.fit.chain import Link

    Whole = NDArray[np.int64]

Distribution = Literal["normal", "uniform"]

MOST_DRAWS: Final = 10_000_000  # 80 MB, as each gap seen is kept in 8 bytes
_CHUNK: Final = 2**15  # few enough draws for the processor's nearest memory
_CUT: Final = 3  # standard deviations from the middle of a band to its ends
_LARGEST: Final = 2**52  # up to here int64 cannot overflow and floats are exact to half a step
_USUAL: Final = (0.00135, 0.05, 0.5, 0.95, 0.99865)


@dataclass(frozen=True, slots=True)
class Share:
    """How many of n simulated assemblies are inside the limits."""

    inside: int
    n: int
    certain: bool  # whether the worst case alone settles it

    @property
    def share(self) -> float:
        """The share inside, from 0 to 1."""
        return self.inside / self.n

    @property
    def error(self) -> float:
        """The standard error of the share, binomial; zero only where the worst case settles it.

        With one assembly more inside and one more outside than were seen: none outside among n
        seen does not prove that there is none.
        """
        if self.certain:
            return 0.0
        near = (self.inside + 1) / (self.n + 2)
        return sqrt(near * (1 - near) / self.n)


@dataclass(frozen=True, slots=True, eq=False)
class _Gaps:
    """The gaps seen, in order: each is `low` + `above[i]` in steps of 10 nm / `scale`."""

    low: int
    width: int
    scale: int
    above: Whole

    def __len__(self) -> int:
        return len(self.above)

    def units(self, index: int) -> Fraction:
        """One gap in units of 10 nm, exactly."""
        return Fraction(self.low + int(self.above[index]), self.scale)

    def steps(self, gap: Length) -> int:
        """Where a gap lies above the worst-case low; beyond the worst case by one step at most."""
        return min(max(gap.units * self.scale - self.low, -1), self.width + 1)


@dataclass(frozen=True, slots=True)
class Spread:
    """What the gap was in n simulated assemblies."""

    n: int
    seed: int
    distribution: Distribution
    mean_mm: float
    deviation_mm: float  # the standard deviation of the sample
    lo: Length  # the smallest and the largest gap seen, outwards to 10 nm
    hi: Length
    _gaps: _Gaps = field(repr=False, compare=False)

    def quantile(self, share: Fraction | float) -> Length:
        """The smallest gap seen that at least this share of the assemblies does not exceed.

        Where a factor leaves a rest below 10 nm it is rounded away from the median.
        """
        expect(share, (Fraction, float, int), "a share")
        if not 0 <= share <= 1:
            raise FitError(f"a share is from 0 to 1, not {share}")
        exact = Fraction(share).limit_denominator(10**9)  # the float 0.05 is a little above 1/20
        rank = max(ceil(exact * self.n), 1)
        gap = self._gaps.units(rank - 1)
        return Length(floor(gap) if share < 0.5 else ceil(gap))

    @property
    def quantiles(self) -> dict[float, Length]:
        """The gaps at 0.135, 5, 50, 95 and 99.865 per cent."""
        return {share: self.quantile(share) for share in _USUAL}

    def inside(self, at_least: Length | None, at_most: Length | None) -> Share:
        """How many assemblies have a gap inside the limits; a gap just at a limit is inside."""
        _check_limits(at_least, at_most)
        gaps = self._gaps
        first = 0 if at_least is None else gaps.steps(at_least)
        last = gaps.width if at_most is None else gaps.steps(at_most)
        count = int(gaps.above.searchsorted(last, "right")) - int(gaps.above.searchsorted(first, "left"))
        all_in, all_out = first <= 0 and last >= gaps.width, first > gaps.width or last < 0
        return Share(max(count, 0), self.n, certain=all_in or all_out)


def simulate(
    links: Sequence[Link], low: Fraction, high: Fraction, n: int, seed: int, distribution: Distribution
) -> Spread:
    """Draw n assemblies of links whose gap is from `low` to `high` units; see Chain.monte_carlo."""
    import numpy as np

    _check_draws(n, seed, distribution)
    # A gap is counted from the worst-case low, in the smallest step that all factors divide. Both
    # shapes are symmetric, so a link that takes from the gap is drawn from its other end.
    scale = lcm(*(link.factor.denominator for link in links))
    bottom, top = int(low * scale), int(high * scale)
    if max(abs(bottom), abs(top)) > _LARGEST:
        raise FitError(
            "this chain is too long to simulate exactly; give its links shorter sizes, "
            "or factors with a smaller common denominator"
        )
    above = np.empty(n, dtype=np.int64)
    for start, chunk in _chunks(links, scale, n, seed, distribution):
        above[start : start + len(chunk)] = chunk
    above.sort()
    above.setflags(write=False)
    gaps, step_mm = _Gaps(bottom, top - bottom, scale, above), 1 / (scale * UNITS_PER_MM)
    off, deviation = _moments(above, (top - bottom) / 2)
    return Spread(
        n,
        seed,
        distribution,
        mean_mm=((bottom + top) / 2 + off) * step_mm,
        deviation_mm=deviation * step_mm,
        lo=Length(floor(gaps.units(0))),
        hi=Length(ceil(gaps.units(-1))),
        _gaps=gaps,
    )


def _moments(above: Whole, middle: float) -> tuple[float, float]:
    """How far the mean is off the middle, and the standard deviation of the sample.

    About the middle, which is the true mean, so that a long chain does not swallow a small spread.
    """
    total = squares = 0.0
    for start in range(0, len(above), _CHUNK):
        off = above[start : start + _CHUNK] - middle
        total += float(off.sum())
        squares += float((off * off).sum())
    n = len(above)
    return total / n, sqrt(max(squares - total * total / n, 0.0) / (n - 1))


def _chunks(
    links: Sequence[Link], scale: int, n: int, seed: int, distribution: Distribution
) -> Iterator[tuple[int, Whole]]:
    """The gaps in steps above the worst-case low, some at a time, and how many went before.

    Each link has a stream of its own, from the seed and its name: the order of the links changes
    nothing, and a swapped part leaves the draws of all others as they were.
    """
    import numpy as np

    draw = _normal if distribution == "normal" else _uniform
    varying = [
        (np.random.default_rng(np.random.SeedSequence(seed, spawn_key=tuple(link.name.encode()))), link)
        for link in links
        if link.band.lo < link.band.hi
    ]
    for start in range(0, n, _CHUNK):
        count = min(_CHUNK, n - start)
        gaps = np.zeros(count, dtype=np.int64)
        for stream, link in varying:
            drawn = draw(stream, link.band.width.units, count)
            drawn *= int(link.factor * scale)
            gaps += drawn
        yield start, gaps


def _uniform(stream: np.random.Generator, width: int, count: int) -> Whole:
    """Every whole number from 0 to width equally often."""
    import numpy as np

    return stream.integers(0, width, count, dtype=np.int64, endpoint=True)


def _normal(stream: np.random.Generator, width: int, count: int) -> Whole:
    """Whole numbers from 0 to width, normal about the middle, what falls beyond drawn again."""
    import numpy as np

    shape = stream.standard_normal(count)
    beyond = np.flatnonzero(np.abs(shape) > _CUT)
    while beyond.size:
        shape[beyond] = stream.standard_normal(beyond.size)
        beyond = beyond[np.abs(shape[beyond]) > _CUT]
    shape *= width / (2 * _CUT)
    shape += width / 2
    np.rint(shape, out=shape)
    return np.clip(shape, 0, width, out=shape).astype(np.int64)


def _check_draws(n: int, seed: int, distribution: str) -> None:
    expect(n, int, "a number of draws")
    expect(seed, int, "a seed")
    if not 2 <= n <= MOST_DRAWS:
        raise FitError(f"draw from 2 to {MOST_DRAWS:,} assemblies, not {n:,}")
    if seed < 0:
        raise FitError(f"a seed is zero or a positive whole number, not {seed}")
    if distribution not in get_args(Distribution):
        raise FitError(f"a distribution is 'normal' or 'uniform', not {distribution!r}")


def _check_limits(at_least: Length | None, at_most: Length | None) -> None:
    expect(at_least, (Length, type(None)), "the lower limit")
    expect(at_most, (Length, type(None)), "the upper limit")
    if at_least is None and at_most is None:
        raise FitError("give a lower limit, an upper limit or both; without one every gap is inside")
    if at_least is not None and at_most is not None and at_least > at_most:
        raise FitError(f"the limits run from low to high; {at_least} is above {at_most}")
