"""Tolerance chains against worked examples; each with its source.

Where an attribution or a printed value is called recalled, it comes from memory; every expected
number was recomputed by closed form and confirmed by all corners and a simulation.
"""

from fractions import Fraction

import pytest

from kits.fit import Band, Chain, Length, Link

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


def test_the_limits_of_the_mean_shift_model_are_rss_and_worst_case() -> None:
    """Chase & Greenwood, Manufacturing Review 1 (1988): m = 0 is 0.24495, m = 1 is 0.4 mm; recalled."""
    stack = chain("mm", (1, "100", "0.2"), (-1, "40", "0.1"), (-1, "59.4", "0.1"))
    middle, step = Length.parse("0.6 mm"), Length.parse("0.00001 mm")
    assert stack.worst_case() == Band.around(middle, Length.parse("0.4 mm"))
    assert abs(stack.rss().hi - middle - Length.parse("0.24495 mm")) <= step


def test_four_equal_parts_give_twice_one_by_root_sum_square() -> None:
    """Variance of a sum of independent variables (any probability text): 4 x 0.10 gives 0.20 mm."""
    stack = chain("mm", *((sign, "10", "0.10") for sign in (1, -1, 1, -1)))
    assert stack.rss() == Band.parse("0 +/-0.20 mm")
    assert stack.worst_case() == Band.parse("0 +/-0.40 mm")
