"""Tolerance chains against worked examples; each with its source.

Where an attribution or a printed value is called recalled, it comes from memory; every expected
number was recomputed by closed form and confirmed by all corners and a simulation.
"""

from fractions import Fraction
from math import exp, lcm, pi, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from kits.fit import Band, Chain, Length, Link
from kits.fit.sampling import Distribution

HALF = Fraction(1, 2)


def chain(unit: str, *links: tuple[int, str, str] | tuple[int, str, str, Fraction]) -> Chain:
    return Chain(
        Link(f"link {i}", sign, Band.parse(f"{size} +/-{by} {unit}"), *factor)
        for i, (sign, size, by, *factor) in enumerate(links)
    )


# Shigley's Mechanical Engineering Design, tolerance example (1-3 or 1-7 by edition): w = 0.005
# +-0.010 in. Recalled; a page with it was searched for and not found.
SHOULDER_SCREW = chain(
    "in", (1, "1.75", "0.003"), (-1, "0.75", "0.001"), (-1, "0.12", "0.005"), (-1, "0.875", "0.001")
)
# Fortini (1967), as used by K. Chase, Tolerance Allocation Methods for Designers: nominal 0.020,
# worst case 0.0245, root sum square 0.0111 in. Recalled.
BEARING_SHAFT = chain(
    "in",
    (-1, "0.0505", "0.0015"),
    (1, "8", "0.008"),
    (-1, "0.5093", "0.0025"),
    (1, "0.4", "0.002"),
    (-1, "7.711", "0.006"),
    (1, "0.4", "0.002"),
    (-1, "0.5093", "0.0025"),
)
# Own numbers; method of Scholz, Tolerance Stack Analysis Methods (Boeing ISSTECH-95-030, 1995).
DECK_HEIGHT = chain("mm", (1, "220", "0.1"), (-1, "45", "0.03"), (-1, "140", "0.05"), (-1, "34.5", "0.05"))
# Own numbers; sensitivity coefficients other than 1 as in Scholz 1995.
DIAMETERS = chain("mm", (1, "62.5", "0.05"), (-1, "80", "0.04", HALF), (-1, "44", "0.02", HALF))


@pytest.mark.parametrize(
    ("stack", "worst", "rss", "half_last_digit"),
    [
        (SHOULDER_SCREW, "-0.005..0.015 in", ("-0.0010 in", "0.0110 in"), "0.00005 in"),
        (BEARING_SHAFT, "-0.0046..0.0444 in", ("0.00882 in", "0.03098 in"), "0.000005 in"),
        (DECK_HEIGHT, "0.27..0.73 mm", ("0.374 mm", "0.626 mm"), "0.0005 mm"),
        (DIAMETERS, "0.42..0.58 mm", ("0.4452 mm", "0.5548 mm"), "0.00005 mm"),
    ],
)
def test_worked_examples_come_out_as_published(
    stack: Chain, worst: str, rss: tuple[str, str], half_last_digit: str
) -> None:
    assert stack.worst_case() == Band.parse(worst)  # exact: no factor leaves a rest
    found = stack.rss()
    # Half a unit of the last digit shown, and a step of 10 nm each for rounding theirs and ours.
    within = Length.parse(half_last_digit, rounding="up") + Length(2)
    for ours, theirs in zip((found.lo, found.hi), rss, strict=True):
        assert abs(ours - Length.parse(theirs, rounding="down")) <= within


# Limits and shares below them for the examples above; each share by closed form for normal parts with
# the band at three standard deviations and tails beyond it.
SHARES_BELOW = [
    (SHOULDER_SCREW, "0 in", 0.00621),
    (BEARING_SHAFT, "0 in", 3.553e-08),
    (DECK_HEIGHT, "0.35 mm", 0.0001794),
    (DIAMETERS, "0.45 mm", 0.003085),
]


@pytest.mark.parametrize(("stack", "limit", "published"), SHARES_BELOW)
def test_the_root_sum_square_band_gives_the_published_shares(
    stack: Chain, limit: str, published: float
) -> None:
    """Within 0.2 %, as ours is rounded outwards to 10 nm."""
    band = stack.rss()
    gap = NormalDist(float(band.middle), band.width.units / 6)
    assert gap.cdf(Length.parse(limit).units) == pytest.approx(published, rel=0.002)


def chances(width: int, shape: Distribution) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """How often each whole number from 0 to width comes up, by the distribution function."""
    if shape == "uniform":
        return np.full(width + 1, 1 / (width + 1))
    normal = NormalDist(width / 2, width / 6)
    edges = [normal.cdf(min(max(step - 0.5, 0), width)) for step in range(width + 2)]
    return np.diff(edges) / (edges[-1] - edges[0])


def share_below(stack: Chain, limit: Length, shape: Distribution) -> float:
    """By convolution of the links' distributions: no chance and nothing of kits.fit.sampling in it."""
    worst, scale = stack.worst_case(), lcm(*(link.factor.denominator for link in stack.links))
    size = worst.width.units * scale + 1
    product = np.ones(size + 1, dtype=np.complex128)
    for link in stack.links:
        step, row = int(link.factor * scale), np.zeros(size)
        row[: link.band.width.units * step + 1 : step] = chances(link.band.width.units, shape)
        product *= np.fft.rfft(row, 2 * size)
    gaps = np.fft.irfft(product, 2 * size)
    return float(gaps[: (limit.units - worst.lo.units) * scale].sum())


@pytest.mark.parametrize("shape", ["normal", "uniform"])
@pytest.mark.parametrize(("stack", "limit", "published"), SHARES_BELOW)
def test_simulated_shares_are_those_of_the_convolution(
    stack: Chain, limit: str, published: float, shape: Distribution
) -> None:
    """A million draws, within four standard errors.

    Normal parts are cut at their bands here, so that fewer gaps fall below than were published for
    tails without end.
    """
    chance, at_least = share_below(stack, Length.parse(limit), shape), Length.parse(limit)
    seen = stack.capability(at_least, None, 1_000_000, 7, shape)
    assert 1 - seen.share == pytest.approx(chance, abs=4 * seen.error)
    assert (chance < published) == (shape == "normal")


# The standard deviation of a normal distribution cut at three of its own, and of a uniform one over
# the same width, by that of the normal one uncut: any probability text.
_AT_CUT = exp(-4.5) / sqrt(2 * pi)
SHRUNK = {"normal": sqrt(1 - 6 * _AT_CUT / (2 * NormalDist().cdf(3) - 1)), "uniform": sqrt(3)}
FOUR_EQUAL = chain("mm", *((sign, "10", "0.10") for sign in (1, -1, 1, -1)))


@pytest.mark.parametrize("shape", ["normal", "uniform"])
@pytest.mark.parametrize("stack", [SHOULDER_SCREW, BEARING_SHAFT, DECK_HEIGHT, DIAMETERS, FOUR_EQUAL])
def test_the_simulated_deviation_is_the_closed_form(stack: Chain, shape: Distribution) -> None:
    """Variance of a sum of independent variables; a million draws, within 0.6 %."""
    spread, worst = stack.monte_carlo(1_000_000, 3, shape), stack.worst_case()
    expected = float(stack.rss().width.mm) / 6 * SHRUNK[shape]
    assert spread.deviation_mm == pytest.approx(expected, rel=0.006)
    assert spread.mean_mm == pytest.approx(float(worst.middle) / 100_000, abs=4 * expected / 1000)
    assert worst.lo <= spread.lo < spread.hi <= worst.hi


def test_four_uniform_parts_vary_by_the_published_deviation() -> None:
    """Uniform on +-0.10 mm: 0.11547 mm, within 0.6 % (any probability text)."""
    spread = FOUR_EQUAL.monte_carlo(1_000_000, 3, "uniform")
    assert spread.deviation_mm == pytest.approx(0.11547, rel=0.006)
    assert max(abs(spread.lo), abs(spread.hi)) <= Length.parse("0.4 mm")


def widened(stack: Chain, factor: Fraction) -> Chain:
    return Chain(Link(k.name, k.sign, k.band, factor) for k in stack.links)


def test_the_mean_shift_model_is_a_sum_of_worst_case_and_rss() -> None:
    """Chase & Greenwood, as below, m = 0.2: 0.27596 mm; recalled."""
    stack = chain("mm", (1, "100", "0.2"), (-1, "40", "0.1"), (-1, "59.4", "0.1"))
    shifted = widened(stack, Fraction(1, 5)).worst_case().width + widened(stack, Fraction(4, 5)).rss().width
    assert float(shifted.mm) / 2 == pytest.approx(0.27596, abs=1e-5)


def test_the_limits_of_the_mean_shift_model_are_rss_and_worst_case() -> None:
    """Chase & Greenwood, Manufacturing Review 1 (1988): m = 0 is 0.24495, m = 1 is 0.4 mm; recalled."""
    stack = chain("mm", (1, "100", "0.2"), (-1, "40", "0.1"), (-1, "59.4", "0.1"))
    middle, step = Length.parse("0.6 mm"), Length.parse("0.00001 mm")
    assert stack.worst_case() == Band.around(middle, Length.parse("0.4 mm"))
    assert abs(stack.rss().hi - middle - Length.parse("0.24495 mm")) <= step


def test_four_equal_parts_give_twice_one_by_root_sum_square() -> None:
    """Variance of a sum of independent variables (any probability text): 4 x 0.10 gives 0.20 mm."""
    assert FOUR_EQUAL.rss() == Band.parse("0 +/-0.20 mm")
    assert FOUR_EQUAL.worst_case() == Band.parse("0 +/-0.40 mm")
