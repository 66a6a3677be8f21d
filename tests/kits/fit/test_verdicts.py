from fractions import Fraction
from itertools import permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Band, FitError, Length, Measured, Term, Verdict, Wanted, judge, size_for, worst

from .checks import GAP, gap, term, wanted
from .strategies import bands, factors, is_wanted, known_terms, small, term_corners, wishes

STEP = Length(1)


@given(known_terms(), wishes())
def test_the_verdict_is_that_of_all_corners(terms: list[Term], wish: Wanted) -> None:
    finding = judge("gap", "Gap", terms, wish)
    gaps = term_corners(terms)
    inside = [is_wanted(value, wish) for value in gaps]
    low = wish.at_least is not None and max(gaps) < wish.at_least.units
    high = wish.at_most is not None and min(gaps) > wish.at_most.units
    if all(inside):
        assert finding.verdict is Verdict.GOES_TOGETHER
    elif low or high:
        assert finding.verdict is Verdict.DOES_NOT_GO
    else:
        assert finding.verdict is Verdict.MEASURE_FIRST
        assert finding.measure and all(m.band is not None and m.band.width.units for m in finding.measure)


def test_a_step_of_10_nm_across_a_limit_flips_the_verdict_and_back() -> None:
    inside = Band.parse("0.10..0.60 mm")
    for lo, hi, verdict in (
        (inside.lo, inside.hi, Verdict.GOES_TOGETHER),
        (inside.lo - STEP, inside.hi, Verdict.MEASURE_FIRST),
        (inside.lo, inside.hi + STEP, Verdict.MEASURE_FIRST),
        (inside.hi, inside.hi + STEP, Verdict.MEASURE_FIRST),
        (inside.lo - STEP, inside.lo, Verdict.MEASURE_FIRST),
        (inside.hi + STEP, inside.hi + STEP, Verdict.DOES_NOT_GO),
        (inside.lo - STEP, inside.lo - STEP, Verdict.DOES_NOT_GO),
        (inside.lo, inside.lo, Verdict.GOES_TOGETHER),
    ):
        assert gap(Term(1, Measured("", "gap", Band(lo, hi), ""))).verdict is verdict


def test_half_a_step_counts_where_a_factor_makes_one() -> None:
    half = Term(1, Measured("Corran", "diameter", Band.exactly(Length(3)), ""), Fraction(1, 2))
    assert judge("r", "Radius", [half], Wanted(Length(2), None)).verdict is Verdict.DOES_NOT_GO
    assert judge("r", "Radius", [half], Wanted(Length(1), Length(2))).verdict is Verdict.GOES_TOGETHER


@given(known_terms(), st.sampled_from((1, -1)), factors, bands(small))
def test_the_sizes_for_an_open_feature_are_those_that_go_together(
    terms: list[Term], sign: int, factor: Fraction, wish: Band
) -> None:
    wanted_gap = Wanted(wish.lo, wish.hi)
    sizes = size_for(terms, sign, wanted_gap, factor)
    for units in range(0, 200, 3):
        spacer = Term(sign, Measured("Corran", "spacer", Band.exactly(Length(units)), ""), factor)
        goes = judge("gap", "Gap", [*terms, spacer], wanted_gap).verdict is Verdict.GOES_TOGETHER
        assert goes == (sizes is not None and Length(units) in sizes)


def test_a_spacer_is_never_thinner_than_nothing() -> None:
    assert size_for([term(1, "1 mm")], 1, wanted("0 mm", "0.5 mm")) is None
    assert size_for([term(1, "1 mm")], 1, wanted("0.5 mm", "1.5 mm")) == Band.parse("0..0.5 mm")
    assert size_for([], 1, wanted("0.5 mm", "1.5 mm")) == Band.parse("0.5..1.5 mm")


def test_a_spacer_cannot_be_sized_from_an_unknown_feature() -> None:
    with pytest.raises(FitError, match="unknown: Corran bracket boss height; measure first"):
        size_for([term(1, None)], -1, GAP)


def test_verdicts_rank_from_best_to_worst() -> None:
    assert [v.rank for v in Verdict] == [0, 1, 2, 3]
    assert [v.value for v in sorted(Verdict)] == [
        "goes together",
        "goes with work",
        "measure first",
        "does not go",
    ]


def test_the_worst_verdict_counts_in_any_order() -> None:
    for some in (p for n in range(1, 5) for p in permutations(Verdict, n)):
        assert worst(some).rank == max(v.rank for v in some)
    assert worst([]) is Verdict.GOES_TOGETHER


@pytest.mark.parametrize(("at_least", "at_most"), [(None, None), ("0.6 mm", "0.1 mm")])
def test_a_wish_that_cannot_be_met_is_refused(at_least: str | None, at_most: str | None) -> None:
    with pytest.raises(FitError):
        wanted(at_least, at_most)


def test_a_check_of_nothing_is_refused() -> None:
    with pytest.raises(FitError, match="at least one term"):
        gap()


@pytest.mark.parametrize(("first", "second"), list(product((None, "0.2 mm", "0.7 mm"), repeat=2)))
def test_no_unknown_is_ever_shown_as_fitting(first: str | None, second: str | None) -> None:
    finding = gap(term(1, first), term(1, second, "washer"))
    if None in (first, second):
        assert finding.verdict is Verdict.MEASURE_FIRST and finding.result is None
    else:
        assert finding.result is not None
