"""Bolt circles, keys and ratings against the standards and the practice of the trade.

What is called recalled comes from memory; no copy of those standards was at hand.
"""

from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest

from kits.fit import KINDS, Amount, Band, Length, Measured, Question, Term, Verdict, ask, limits, worst

STEP = Length(1)


def verdict(kind: str, settings: dict[str, str] | None = None, /, **values: Any) -> Verdict:
    terms = []
    for name, given in values.items():
        role = KINDS[kind].role(name.replace("_", "-"))
        value = Amount.exactly(given) if isinstance(given, int) else given
        terms.append(Term(role.sign, Measured("part", role.name, value, "recalled"), role=role.code))
    question = Question(KINDS[kind], "c", "Check", tuple(terms), None, tuple((settings or {}).items()))
    return worst(finding.verdict for finding in ask(question))


# ASME Y14.5-2018, appendix B: T = H - F for floating fasteners, T1 + T2 = H - F for fixed ones, with
# its example of a 3.5 mm fastener in 3.94 mm holes: 0.44 for each part, or 0.22 (or 0.18 with 0.26).
# Recalled, formulas and figures.
HOLE, FASTENER, CIRCLE = Length.parse("3.94 mm"), Length.parse("3.5 mm"), Length.parse("50 mm")


def pattern(first: Length, second: Length, floating: bool, circle: Length = CIRCLE) -> Verdict:
    mating = {"mate_hole": Band.exactly(HOLE)} if floating else {}
    return verdict(
        "bolt-circle",
        None,
        holes=4,
        mate_holes=4,
        hole=Band.exactly(HOLE),
        bolt=Band.exactly(FASTENER),
        position=Band.exactly(first),
        mate_position=Band.exactly(second),
        circle=Band.exactly(circle),
        mate_circle=Band.exactly(CIRCLE),
        **mating,
    )


@pytest.mark.parametrize(
    ("first", "second", "floating"),
    [("0.44 mm", "0.44 mm", True), ("0.22 mm", "0.22 mm", False), ("0.18 mm", "0.26 mm", False)],
)
def test_the_tolerances_of_the_fastener_formulas_go_together_and_no_more(
    first: str, second: str, floating: bool
) -> None:
    one, other = Length.parse(first), Length.parse(second)
    assert pattern(one, other, floating) is Verdict.GOES_TOGETHER
    assert pattern(one + STEP, other, floating) is Verdict.MEASURE_FIRST
    assert pattern(one, other + STEP, floating) is Verdict.MEASURE_FIRST


@pytest.mark.parametrize("turn", [1, -1])
def test_circles_that_differ_take_that_much_from_the_tolerances(turn: int) -> None:
    """Common practice, no source: the axes are half the difference of the diameters apart, both ways."""
    apart, left = Length.parse("0.10 mm"), Length.parse("0.12 mm")
    assert pattern(left, Length.parse("0.22 mm"), False, CIRCLE + apart * turn) is Verdict.GOES_TOGETHER
    assert (
        pattern(left + STEP, Length.parse("0.22 mm"), False, CIRCLE + apart * turn) is Verdict.MEASURE_FIRST
    )


# DIN 6885-1 and ISO/R 773, recalled: the widths of parallel keys; h9 for the key; N9 in the shaft and
# JS9 in the hub for the normal fit, H9 and D10 for the free one. The limits are those of ISO 286.
KEYS = (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18)


def keyed(key: int, keyway: int, shaft: str, hub: str, settings: dict[str, str] | None = None) -> Verdict:
    def sized(width: int, fit: str) -> Band:
        nominal = Length.from_mm(width)
        return limits(nominal, fit) + nominal

    return verdict(
        "keyway",
        settings,
        shaft_keyways=1,
        hub_keyways=1,
        shaft_width=sized(keyway, shaft),
        hub_width=sized(keyway, hub),
        key_width=sized(key, "h9"),
    )


@pytest.mark.parametrize("key", KEYS)
def test_a_key_in_the_normal_fit_goes_together_by_the_usual_limits(key: int) -> None:
    assert keyed(key, key, "N9", "JS9") is Verdict.GOES_TOGETHER


@pytest.mark.parametrize(("key", "next_key"), list(pairwise(KEYS)))
def test_a_key_of_the_next_size_never_goes(key: int, next_key: int) -> None:
    assert keyed(next_key, key, "N9", "JS9") is Verdict.DOES_NOT_GO
    assert keyed(key, next_key, "N9", "JS9") is Verdict.DOES_NOT_GO


def test_the_free_fit_needs_the_check_to_allow_more_play() -> None:
    """8 D10 is 8.040 to 8.098 and 8 h9 is 7.964 to 8 (recalled): up to 0.134 mm of play."""
    assert keyed(8, 8, "H9", "D10") is Verdict.MEASURE_FIRST
    assert keyed(8, 8, "H9", "D10", {"most-play": "0.134 mm"}) is Verdict.GOES_TOGETHER
    assert keyed(8, 8, "H9", "D10", {"most-play": "0.13399 mm"}) is Verdict.MEASURE_FIRST


@pytest.mark.parametrize(
    ("supply", "expected"), [("48.125", Verdict.GOES_TOGETHER), ("48.124", Verdict.DOES_NOT_GO)]
)
def test_a_generator_carries_its_consumers_with_a_reserve(supply: str, expected: Verdict) -> None:
    """Common practice, no source: 6 + 12.5 + 20 = 38.5 A, and a quarter more is 48.125 A."""
    consumers = Amount.exactly(Decimal("38.5"), "A")
    generator = Amount.exactly(Decimal(supply), "A")
    assert verdict("bound", {"reserve": "25"}, supply=generator, demand=consumers) is expected
