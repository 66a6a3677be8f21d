from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Amount, FitError, Verdict, ask

from .asking import amount, found, question, verdict

FLOWS = st.tuples(st.integers(0, 30), st.integers(0, 5)).map(
    lambda r: Amount(Decimal(r[0]), Decimal(r[0] + r[1]), "l/min")
)


def flow(lo: str, hi: str = "") -> Amount:
    return amount(lo, hi, "l/min")


@given(
    st.lists(FLOWS, min_size=1, max_size=2),
    st.lists(FLOWS, min_size=1, max_size=2),
    st.sampled_from(("0", "10", "12.5")),
)
def test_the_verdict_is_that_of_all_corners(
    supplies: list[Amount], demands: list[Amount], reserve: str
) -> None:
    enough = [
        sum(ends[: len(supplies)]) >= sum(ends[len(supplies) :]) * (1 + Decimal(reserve) / 100)
        for ends in product(*((one.lo, one.hi) for one in supplies + demands))
    ]
    asked = question("bound", {"supply": [*supplies], "demand": [*demands]}, {"reserve": reserve})
    unsure = Verdict.MEASURE_FIRST if any(enough) else Verdict.DOES_NOT_GO
    assert verdict(asked) is (Verdict.GOES_TOGETHER if all(enough) else unsure)


def test_exactly_enough_is_enough_and_a_thousandth_less_is_not() -> None:
    demand = [flow("20"), flow("22.5")]
    assert verdict(question("bound", {"supply": flow("42.5"), "demand": demand})) is Verdict.GOES_TOGETHER
    assert verdict(question("bound", {"supply": flow("42.499"), "demand": demand})) is Verdict.DOES_NOT_GO
    reserve = {"reserve": "10"}
    assert (
        verdict(question("bound", {"supply": flow("46.749"), "demand": demand}, reserve))
        is Verdict.DOES_NOT_GO
    )


def test_the_figures_can_be_added_up_by_hand() -> None:
    asked = question(
        "bound", {"supply": flow("60", "62"), "demand": [flow("20"), flow("22.5", "23")]}, {"reserve": "10"}
    )
    finding = found(asked)[""]
    assert [(figure.name, figure.value) for figure in finding.figures] == [
        ("Corran supply", "60 to 62 l/min"),
        ("Corran 1 demand", "20 l/min"),
        ("Corran 2 demand", "22.5 to 23 l/min"),
        ("supply together", "60 to 62 l/min"),
        ("demand together", "42.5 to 43 l/min"),
        ("reserve wanted", "10 % of the demand"),
        ("left, below zero short", "12.7 to 15.25 l/min"),
    ]
    assert finding.reason == (
        "Check: supply 60 to 62 l/min against demand 42.5 to 43 l/min and a reserve of 10 %, at least "
        "12.7 l/min is left."
    )


def test_a_miss_says_by_how_much_and_what_would_have_to_change() -> None:
    finding = found(question("bound", {"supply": flow("40", "41"), "demand": flow("42.5", "43")}))[""]
    assert finding.reason == (
        "Check: supply 40 to 41 l/min against demand 42.5 to 43 l/min, short by 1.5 l/min at the least. All "
        "supply together would have to be at least 43 l/min, or all demand at most 40 l/min."
    )


def test_what_is_unknown_is_looked_up_and_the_reason_says_what_would_do() -> None:
    finding = found(question("bound", {"supply": flow("60", "62"), "demand": [flow("20"), None]}))[""]
    assert finding.verdict is Verdict.MEASURE_FIRST
    assert [measured.label for measured in finding.measure] == ["Corran 2 demand"]
    assert finding.reason.endswith(
        "Find out Corran 2 demand (read its plate or the maker's data sheet); at most 40 l/min is enough."
    )


def test_a_band_across_the_limit_is_read_closely_enough_to_decide() -> None:
    given = {"supply": flow("45", "52"), "demand": flow("42.5", "43")}
    finding = found(question("bound", given, {"reserve": "10"}))[""]
    assert finding.verdict is Verdict.MEASURE_FIRST
    assert finding.reason.endswith("at least 47.3 l/min is enough, read to 0.47 l/min.")


def test_a_demand_that_is_too_much_by_itself_needs_no_other_to_be_read() -> None:
    finding = found(question("bound", {"supply": flow("12"), "demand": [flow("20"), None]}))[""]
    assert (finding.verdict, finding.measure) == (Verdict.DOES_NOT_GO, ())
    both = question("bound", {"supply": [flow("12"), None], "demand": [flow("20"), None]})
    assert verdict(both) is Verdict.MEASURE_FIRST


def test_ratings_in_two_units_or_below_zero_are_refused() -> None:
    with pytest.raises(FitError, match="record all of it in one unit"):
        ask(question("bound", {"supply": flow("12"), "demand": amount("2", unit="kW")}))
    with pytest.raises(FitError, match="record each as zero or more"):
        ask(question("bound", {"supply": flow("12"), "demand": flow("-2", "2")}))


@pytest.mark.parametrize("reserve", ["ten", "-1", "1001", "nan", "inf"])
def test_a_reserve_without_sense_is_refused(reserve: str) -> None:
    with pytest.raises(FitError, match="reserve"):
        ask(question("bound", {"supply": flow("12"), "demand": flow("2")}, {"reserve": reserve}))


def test_what_does_not_end_in_decimals_is_printed_so_that_it_never_flatters() -> None:
    asked = question("bound", {"supply": flow("2"), "demand": flow("1")})
    thirds = tuple(replace(term, factor=Fraction(1, 3)) for term in asked.terms)
    finding = found(replace(asked, terms=thirds))[""]
    assert "supply 0.666666 to 0.666667 l/min against demand 0.333333 to 0.333334 l/min" in finding.reason
    assert finding.reason.endswith("at least 0.333333 l/min is left.")
    short = found(replace(asked, terms=(replace(asked.terms[0], factor=Fraction(1, 3)), asked.terms[1])))[""]
    assert "short by 0.333334 l/min at the least" in short.reason
