"""The working below a drawing: what a calculator makes of its rows is what the verdict rests on."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import given

from kits.fit import Band, Figure, Length, Measured, Term, Verdict, Wanted, judge
from kits.picturing import Row, working
from tests.kits.drawn import MARKS, chain, pair
from tests.kits.fit.strategies import known_terms, wishes
from tests.kits.test_drawing import flow


def number(text: str) -> Decimal:
    return Decimal(text.replace("\N{MINUS SIGN}", "-"))


def total(rows: tuple[Row, ...], end: str) -> Decimal:
    return sum((number(getattr(row, end)) for row in rows), Decimal(0))


def test_the_rows_add_up_to_the_sum_and_the_sum_to_the_margin() -> None:
    found = working(chain(), MARKS)
    assert [row.mark.sign for row in found.rows] == ["E", "1", "2"]
    assert [(row.least, row.most) for row in found.rows][1] == ("−39.65", "−39.60")
    assert (
        found.result
        == ("+0.30", "+0.45")
        == (f"+{total(found.rows, 'least')}", f"+{total(found.rows, 'most')}")
    )
    assert found.wanted == ("+0.30", "+0.60") and found.margin == ("0.00", "+0.15")


@given(known_terms(), wishes())
def test_a_calculator_finds_what_the_core_found(terms: list[Term], wanted: Wanted) -> None:
    whole = [Term(one.sign, one.measured, 1) for one in terms]
    finding = judge("g", "Gap", whole, wanted)
    found = working(finding, {})
    assert finding.result is not None and found.result is not None and found.margin is not None
    assert total(found.rows, "least") == number(found.result[0]) == finding.result.lo.mm
    assert total(found.rows, "most") == number(found.result[1]) == finding.result.hi.mm
    spare = [number(side) for side in found.margin if side]
    assert finding.margin is not None and min(spare) == finding.margin.mm


@given(known_terms())
def test_where_a_factor_leaves_a_rest_the_rows_never_look_better_than_the_sum(terms: list[Term]) -> None:
    found = working(judge("g", "Gap", terms, Wanted(Length(0), None)), {})
    assert found.result is not None
    assert total(found.rows, "least") <= number(found.result[0])
    assert number(found.result[1]) <= total(found.rows, "most")


def test_the_shares_of_the_spread_come_to_all_of_it() -> None:
    found = working(chain("39.60..39.70 mm"), MARKS)
    assert found.is_chain and [row.share for row in found.rows] == ["50 %", "50 %", "0 %"]


def test_what_is_not_known_has_no_figures_and_no_sum() -> None:
    found = working(chain(None), MARKS)
    assert (found.rows[1].least, found.rows[1].most) == ("?", "?")
    assert found.rows[1].note == "not known, measure with a caliper (0.02 mm)"
    assert found.result is None and found.margin is None and not found.is_chain


def test_a_limit_that_there_is_not_has_no_margin() -> None:
    found = working(chain(at_most=None), MARKS)
    assert found.wanted == ("+0.30", "") and found.margin == ("0.00", "")


def test_a_factor_is_told_and_counted() -> None:
    half = Term(1, Measured("pulley", "bore", Band.parse("20.0..20.2 mm"), "drawing"), Fraction(1, 2))
    row = working(judge("g", "Gap", [half], Wanted(Length(0), None)), {}).rows[0]
    assert (row.least, row.most) == ("+10.00", "+10.10") and row.note.endswith("times 1/2")


def test_a_pair_is_added_up_like_a_chain() -> None:
    found = working(pair(), MARKS)
    assert found.result == ("+0.007", "+0.041")


def test_what_is_no_length_lists_its_figures_and_repeats_none() -> None:
    found = working(flow(), {})
    assert found.wanted is None and found.rows == ()
    assert found.figures[-1] == Figure("asked for at the most", "45 l/min", "sum of the demands")
    assert flow().verdict is Verdict.GOES_TOGETHER
