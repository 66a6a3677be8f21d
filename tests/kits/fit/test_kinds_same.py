from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import FitError, Verdict, ask

from .asking import amount, found, question, verdict


def same(*values: str | None, stands_for: str = "") -> Verdict:
    settings = {"stands-for": stands_for} if stands_for else {}
    return verdict(question("same", {"value": list(values)}, settings))


@pytest.mark.parametrize(
    "values", [("SPA", "SPA"), ("SPA", " spa "), ("13x10", "13 \N{MULTIPLICATION SIGN} 10", "13X10", "13*10")]
)
def test_case_spaces_and_the_sign_for_times_do_not_count(values: tuple[str, ...]) -> None:
    assert same(*values) is Verdict.GOES_TOGETHER


def test_one_that_differs_does_not_go_even_while_another_is_unknown() -> None:
    assert same("SPA", "SPA", "SPZ") is Verdict.DOES_NOT_GO
    assert same("SPA", "SPZ", None) is Verdict.DOES_NOT_GO


def test_what_is_unknown_or_blank_is_read_first() -> None:
    assert same("SPA", None) is Verdict.MEASURE_FIRST
    assert same("SPA", "  ") is Verdict.MEASURE_FIRST
    assert same(None, None) is Verdict.MEASURE_FIRST


def test_designations_stand_for_each_other_in_both_directions_but_not_by_way_of_a_third() -> None:
    rule = "SPA = 13x10; 13x10 = XPA"
    assert same("SPA", "13 x 10", stands_for=rule) is Verdict.GOES_TOGETHER
    assert same("13x10", "spa", stands_for=rule) is Verdict.GOES_TOGETHER
    assert same("SPA", "XPA", stands_for=rule) is Verdict.DOES_NOT_GO
    assert same("SPA", "XPA", stands_for="SPA = 13x10, XPA") is Verdict.GOES_TOGETHER


@pytest.mark.parametrize("rule", ["SPA", "SPA =", "SPA = XPA;", "= XPA", ";"])
def test_a_rule_that_says_nothing_is_refused_with_how_to_write_it(rule: str) -> None:
    with pytest.raises(FitError, match="write it as in SPA = XPA"):
        same("SPA", "SPA", stands_for=rule)


def test_the_reasons_say_what_each_is_and_what_it_would_have_to_be() -> None:
    reasons = [
        found(question("same", {"value": values}))[""].reason
        for values in (["SPA", "spa"], ["SPA", "SPZ"], ["SPA", None])
    ]
    assert reasons == [
        "Check: Corran 1 value is SPA and Corran 2 value is spa, which is the same.",
        "Check: Corran 1 value is SPA and Corran 2 value is SPZ, which are not the same. All would have to "
        "say SPA, or all SPZ.",
        "Check: Corran 1 value is SPA and Corran 2 value is unknown, so it cannot be told. Find out Corran 2 "
        "value (read the marking on the part, its box or its drawing); it must say the same as SPA.",
    ]


def test_a_number_is_no_designation() -> None:
    with pytest.raises(FitError, match="no designation"):
        ask(question("same", {"value": ["SPA", 2]}))
    with pytest.raises(FitError, match="neither a count nor a rating"):
        ask(question("same-count", {"count": ["SPA", 2]}))


ranges = st.tuples(st.integers(0, 4), st.integers(0, 2)).map(lambda r: (r[0], r[0] + r[1]))


@given(st.lists(ranges, min_size=2, max_size=4))
def test_counts_are_the_same_as_trying_every_number_says(counts: list[tuple[int, int]]) -> None:
    choices = [set(range(low, high + 1)) for low, high in counts]
    possible = bool(set.intersection(*choices))
    certain = possible and all(len(choice) == 1 for choice in choices)
    asked = question("same-count", {"count": [amount(str(low), str(high)) for low, high in counts]})
    wanted = Verdict.GOES_TOGETHER if certain else Verdict.MEASURE_FIRST
    assert verdict(asked) is (wanted if possible else Verdict.DOES_NOT_GO)


def test_a_count_is_taken_as_often_as_the_check_says() -> None:
    asked = question("same-count", {"count": [12, 6]})
    first, second = asked.terms
    twice = found(replace(asked, terms=(first, replace(second, factor=2))))[""]
    assert (verdict(asked), twice.verdict) == (Verdict.DOES_NOT_GO, Verdict.GOES_TOGETHER)
    assert "2 times Corran 2 count is 12" in twice.reason


def test_the_reason_for_a_wrong_number_says_what_would_have_to_change() -> None:
    assert found(question("same-count", {"count": [2, 3]}))[""].reason == (
        "Check: Corran 1 count is 2 and Corran 2 count is 3, which must be the same and differ by 1 at the "
        "least. Corran 1 count would have to be 3, or Corran 2 count 2."
    )
