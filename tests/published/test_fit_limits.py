"""ISO 286 limits against published values, a second library and the standard's own formulas.

The text of ISO 286 was not seen. Where a value is called recalled, its attribution and the printed
value come from memory; the number was recomputed and compared with pressfit 0.1.0 or isofits 1.0.
Beyond what runs here, every row of kits/fit/iso286_tables.py was once compared with two public
reproductions of the tables (1480 limits of isofits 1.0, of which 6 differed, each of them in isofits
a band not as wide as its grade; and 650 values of the repository WaldekS710/isoFits, equal).
"""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise, product
from math import sqrt

import pressfit  # type: ignore[import-untyped]  # ships no types
import pytest

from kits.fit import Band, FitError, Length, limits, pair
from kits.fit.iso286_tables import ABOVE, ABOVE_FINE, BELOW, FINE_ENDS_MM, MAIN_ENDS_MM, TOLERANCES, Row

UM = Length.parse("1 um")


def um(lo: int, hi: int) -> Band:
    return Band(lo * UM, hi * UM)


@pytest.mark.parametrize(
    ("size", "hole", "shaft", "hole_um", "shaft_um", "clearance_um", "kind"),
    [
        # ISO 286-2:2010 tables as commonly reproduced; recalled, agrees with pressfit and isofits.
        ("25 mm", "H7", "g6", (0, 21), (-20, -7), (7, 41), "clearance"),
        ("50 mm", "H7", "p6", (0, 25), (26, 42), (-42, -1), "interference"),
        ("80 mm", "H7", "s6", (0, 30), (59, 78), (-78, -29), "interference"),
        ("40 mm", "H8", "f7", (0, 39), (-50, -25), (25, 89), "clearance"),
        # ISO 286-1:2010 rule ES = -ei + Delta; recalled, agrees with isofits.
        ("30 mm", "K7", "h6", (-15, 6), (-13, 0), (-15, 19), "transition"),
        # ISO 286-1:2010 JS = +-IT/2; recalled, agrees with isofits.
        ("60 mm", "JS7", "h6", (-15, 15), (-19, 0), (-15, 34), "transition"),
        # Budynas & Nisbett, Shigley's Mechanical Engineering Design, 9th ed., Example 7-7 (p. 398):
        # hole 34.160/34.000, shaft 33.880/33.720; printed value seen in a reproduction.
        ("34 mm", "H11", "c11", (0, 160), (-280, -120), (120, 440), "clearance"),
        # ISO 286-2 as used for 60 H7/s6; recalled, agrees with pressfit.
        ("60 mm", "H7", "s6", (0, 30), (53, 72), (-72, -23), "interference"),
    ],
)
def test_fits_have_their_published_limits(
    size: str,
    hole: str,
    shaft: str,
    hole_um: tuple[int, int],
    shaft_um: tuple[int, int],
    clearance_um: tuple[int, int],
    kind: str,
) -> None:
    nominal = Length.parse(size)
    bore, pin = limits(nominal, hole), limits(nominal, shaft)
    fit = pair(bore + nominal, pin + nominal)
    assert (bore, pin) == (um(*hole_um), um(*shaft_um))
    assert (fit.clearance, fit.kind) == (um(*clearance_um), kind)


def test_a_size_belongs_to_the_range_that_ends_with_it() -> None:
    """ISO 286-1:2010, 'above ... up to and including'; recalled, agrees with pressfit."""
    assert limits(Length.parse("80 mm"), "s6") == um(59, 78)
    assert limits(Length.parse("80.5 mm"), "s6") == um(71, 93)


PRESSFIT_LETTERS = ["c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "u"]
PRESSFIT_GRADES = [5, 6, 7, 8, 9, 10, 11]


def test_the_range_of_pressfit_is_the_one_compared() -> None:
    """pressfit 0.1.0: holes H and these shafts, IT5 to IT11, above 0 up to 500 mm, nothing else."""
    assert (pressfit.SHAFT_LETTERS, pressfit.GRADES) == (PRESSFIT_LETTERS, PRESSFIT_GRADES)
    for beyond in ("25 H4/h5", "25 H7/h12", "25 H7/r6"):
        with pytest.raises(NotImplementedError, match="scope"):
            pressfit.fit(beyond)
    for unread in ("25 P7/h6", "500.01 H7/h6"):
        with pytest.raises(ValueError, match=r"hole-basis|size must be"):
            pressfit.fit(unread)


@pytest.mark.parametrize("letter", PRESSFIT_LETTERS)
def test_limits_agree_with_pressfit_over_its_whole_range(letter: str) -> None:
    """The PyPI library pressfit 0.1.0, every class of its range, with no disagreement.

    At the end of every range of sizes, 0.01 mm above it and midway to the next; and at 0.5 mm.
    """
    ends = sorted({*MAIN_ENDS_MM, *FINE_ENDS_MM})
    hundredths = {50, *(100 * end for end in ends), *(100 * end + 1 for end in ends[:-1])}
    hundredths |= {50 * (low + high) for low, high in pairwise(ends)}
    for size in (Length.from_mm(Fraction(count, 100)) for count in sorted(hundredths)):
        for grade in PRESSFIT_GRADES:
            theirs = pressfit.fit(f"H{grade}/{letter}{grade}", float(size.mm))
            hole, shaft = limits(size, f"H{grade}"), limits(size, f"{letter}{grade}")
            assert (hole.lo.units, hole.hi.units) == (theirs.hole_ei_um * 100, theirs.hole_es_um * 100)
            assert (shaft.lo.units, shaft.hi.units) == (theirs.shaft_ei_um * 100, theirs.shaft_es_um * 100)


@pytest.mark.parametrize("letter", PRESSFIT_LETTERS)
def test_pairs_agree_with_pressfit_for_every_two_grades(letter: str) -> None:
    """The same library: clearance and kind of every H and shaft grade together, once in each range."""
    for size in (Length.from_mm(end) for end in sorted({*MAIN_ENDS_MM, *FINE_ENDS_MM})):
        for hole, shaft in product(PRESSFIT_GRADES, repeat=2):
            theirs = pressfit.fit(f"H{hole}/{letter}{shaft}", float(size.mm))
            ours = pair(limits(size, f"H{hole}") + size, limits(size, f"{letter}{shaft}") + size)
            tight, free = theirs.clearance_um
            assert (ours.clearance.lo.units, ours.clearance.hi.units) == (tight * 100, free * 100)
            assert ours.kind == theirs.kind


def middle_mm(end: int, ends: tuple[int, ...]) -> float:
    """The geometric mean of a range's ends, with which ISO 286-1 computes; recalled."""
    place = ends.index(end)
    return sqrt((ends[place - 1] if place else 1) * end)


@pytest.mark.parametrize(
    ("letter", "grade", "per_mm"),
    [
        ("t", "7", 0.63),
        ("u", "7", 1.0),
        ("v", "7", 1.25),
        ("x", "7", 1.6),
        ("y", "7", 2.0),
        ("z", "7", 2.5),
        ("za", "8", 3.15),
        ("zb", "9", 4.0),
        ("zc", "10", 5.0),
    ],
)
def test_tight_letters_follow_their_formula(letter: str, grade: str, per_mm: float) -> None:
    """ISO 286-1 annex: ei = ITn + factor * D; formulas from memory. Up to 18 mm the tables depart."""
    for end, tabulated in zip(FINE_ENDS_MM, ABOVE_FINE[letter], strict=True):
        if end > 18 and tabulated is not None:
            tolerance = limits(Length.from_mm(end), f"h{grade}").width.units / 100
            formula = tolerance + per_mm * middle_mm(end, FINE_ENDS_MM)
            assert float(tabulated) == pytest.approx(formula, rel=0.025, abs=3.2)


@pytest.mark.parametrize(
    ("rows", "letter", "formula"),
    [
        (BELOW, "d", lambda d: 16 * d**0.44),
        (BELOW, "e", lambda d: 11 * d**0.41),
        (BELOW, "f", lambda d: 5.5 * d**0.41),
        (BELOW, "g", lambda d: 2.5 * d**0.34),
        (ABOVE, "k", lambda d: 0.6 * d ** (1 / 3)),
        (ABOVE, "n", lambda d: 5 * d**0.34),
    ],
)
def test_letters_near_nominal_follow_their_formula(
    rows: dict[str, Row], letter: str, formula: Callable[[float], float]
) -> None:
    """ISO 286-1 annex; formulas from memory. Up to 3 mm the tables depart."""
    for end, tabulated in list(zip(MAIN_ENDS_MM, rows[letter], strict=True))[1:]:
        assert tabulated is not None
        assert float(tabulated) == pytest.approx(formula(middle_mm(end, MAIN_ENDS_MM)), rel=0.045, abs=1.2)


@pytest.mark.parametrize("letter", ["cd", "ef", "fg"])
def test_letters_in_between_are_geometric_means(letter: str) -> None:
    """ISO 286-1 annex; from memory. Tabulated up to 50 mm."""
    for end in (3, 6, 10, 18, 30, 50):
        first, second = (-limits(Length.from_mm(end), f"{near}7").hi.units / 100 for near in letter)
        between = -limits(Length.from_mm(end), f"{letter}7").hi.units / 100
        assert between == pytest.approx(sqrt(first * second), rel=0.09, abs=1)


@pytest.mark.parametrize(
    ("grade", "units_of_i"),
    [
        ("5", 7),
        ("6", 10),
        ("7", 16),
        ("8", 25),
        ("9", 40),
        ("10", 64),
        ("11", 100),
        ("12", 160),
        ("13", 250),
        ("14", 400),
        ("15", 640),
        ("16", 1000),
        ("17", 1600),
        ("18", 2500),
    ],
)
def test_tolerance_grades_follow_the_tolerance_unit(grade: str, units_of_i: int) -> None:
    """ISO 286-1: i = 0.45 * D^(1/3) + 0.001 * D; from memory. Up to 3 mm the table departs."""
    for end, tabulated in list(zip(MAIN_ENDS_MM, TOLERANCES[grade], strict=True))[1:]:
        middle = middle_mm(end, MAIN_ENDS_MM)
        assert tabulated is not None
        formula = units_of_i * (0.45 * middle ** (1 / 3) + 0.001 * middle)
        assert float(tabulated) == pytest.approx(formula, rel=0.045, abs=1.6)


@pytest.mark.parametrize(
    ("size", "cls", "um_lo", "um_hi"),
    [
        # ISO 286-2:1988, Technical Corrigendum 1:2006, whose text was seen: four corrected limits.
        ("330 mm", "A13", None, 2090),
        ("100 mm", "E8", None, 126),
        ("25 mm", "R10", None, -28),
        ("300 mm", "f9", -186, None),
    ],
)
def test_limits_are_those_of_the_corrigendum(
    size: str, cls: str, um_lo: int | None, um_hi: int | None
) -> None:
    band = limits(Length.parse(size), cls)
    assert band.lo == (band.lo if um_lo is None else um_lo * UM)
    assert band.hi == (band.hi if um_hi is None else um_hi * UM)


def test_what_is_not_tabulated_is_not_made_up() -> None:
    """t begins above 24 mm, v above 14, y above 18; recalled, agrees with both reproductions."""
    for letter, last_without in (("t", 24), ("v", 14), ("y", 18)):
        edge = Length.from_mm(last_without)
        with pytest.raises(FitError, match=f"gives no {letter}"):
            limits(edge, f"{letter}6")
        assert limits(edge + Length(1), f"{letter}6").lo > Length(0)
